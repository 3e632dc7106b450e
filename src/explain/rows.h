/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rows of quantities.def and formulas.def. */
#ifndef SM_EXPLAIN_ROWS_H
#define SM_EXPLAIN_ROWS_H

#include "swapmargin/result.h"

#include <stdbool.h>
#include <stddef.h>

enum group {
    GROUP_CASE,
    GROUP_JOINT,
    GROUP_POINT,
    GROUP_CHIP,
    GROUP_CYCLE,
    GROUP_FOSTER,
    GROUP_DEVICE,
    GROUP_HOLD,
    GROUP_OVERLOAD,
    GROUP_LIMIT,
    GROUP_CHECK,
    GROUP_COUNT
};

/* Where a symbol is looked for first: several groups share one. */
enum scope { SCOPE_CASE, SCOPE_SITE, SCOPE_DEVICE, SCOPE_HOLD, SCOPE_COUNT };

enum quantity {
#define QUANTITY(id, ...) QUANTITY_##id,
#include "swapmargin/quantities.def"
    QUANTITY_COUNT
};

enum column {
#define COLUMN(id, ...) COLUMN_##id,
#include "swapmargin/quantities.def"
    COLUMN_COUNT
};

enum formula {
#define FORMULA(id, ...) FORMULA_##id,
#include "swapmargin/formulas.def"
    FORMULA_COUNT
};

enum listing { LISTING_RESULT, LISTING_STEP, LISTING_PART };

struct quantity_row {
    enum group group;
    const char *path, *symbol, *unit;
    int chip; /* SM_IGBT, SM_DIODE, or SM_CHIP_COUNT for any */
    enum listing listing;
    const char *meaning;
};

struct column_row {
    enum quantity table;
    const char *symbol, *unit, *meaning;
};

struct formula_row {
    const char *text, *source;
};

struct constant_row {
    const char *symbol, *unit;
    double value;
    const char *meaning, *source;
};

/* Keys of the files by symbol. */
struct symbol_row {
    bool drive;
    int key[SM_CHIP_COUNT]; /* enum sm_drive_key or enum sm_module_key */
    const char *symbol;
};

struct function_row {
    const char *name, *text;
};

const struct quantity_row *quantity_row(enum quantity q);
const struct column_row *column_row(enum column column);
const struct formula_row *formula_row(enum formula formula);
enum scope group_scope(enum group group);

/* The unit that a quantity is told in; k: the limit or check. */
const char *quantity_unit(enum quantity q, size_t k);

/* The name of a limit or check in the JSON of a check; NULL for other groups and past the end. */
const char *row_name(enum group group, size_t k);

/* i = 0, 1, ...; NULL after the last. */
const struct constant_row *constant_row(size_t i);
const struct symbol_row *symbol_row(size_t i);
const struct function_row *function_row(size_t i);

/* The quantity whose columns a table has: curves over the gate resistor have those of a curve. */
enum quantity columns_owner(enum quantity q);

#endif
