/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "explain/rows.h"

#include "assess/check_constants.h"
#include "load/operating_point.h"
#include "thermal/heat_path.h"

#define ANY SM_CHIP_COUNT
#define IGBT SM_IGBT
#define DIODE SM_DIODE

static const struct quantity_row quantities[QUANTITY_COUNT] = {
#define QUANTITY(id, group, path, symbol, unit, chip, listing, meaning)                            \
    [QUANTITY_##id] = { GROUP_##group, path, symbol, unit, chip, LISTING_##listing, meaning },
#include "swapmargin/quantities.def"
};

static const struct column_row columns[COLUMN_COUNT] = {
#define COLUMN(id, table, symbol, unit, meaning)                                                   \
    [COLUMN_##id] = { QUANTITY_##table, symbol, unit, meaning },
#include "swapmargin/quantities.def"
};

static const struct symbol_row symbols[] = {
#define DRIVE_SYMBOL(key, symbol) { true, { SM_DRIVE_##key, SM_DRIVE_##key }, symbol },
#define MODULE_SYMBOL(igbt, diode, symbol)                                                         \
    { false, { SM_MODULE_##igbt, SM_MODULE_##diode }, symbol },
#include "swapmargin/quantities.def"
};

static const struct constant_row constants[] = {
#define CONSTANT(id, symbol, unit, value, meaning, source) { symbol, unit, value, meaning, source },
#include "swapmargin/quantities.def"
};

static const struct formula_row formulas[FORMULA_COUNT] = {
#define FORMULA(id, text, source) [FORMULA_##id] = { text, source },
#include "swapmargin/formulas.def"
};

static const struct function_row functions[] = {
#define FUNCTION(name, text) { name, text },
#include "swapmargin/formulas.def"
};

#define COUNT(rows) (sizeof(rows) / sizeof(rows)[0])

const struct quantity_row *quantity_row(enum quantity q)
{
    return &quantities[q];
}

const struct column_row *column_row(enum column column)
{
    return &columns[column];
}

const struct formula_row *formula_row(enum formula formula)
{
    return &formulas[formula];
}

const struct constant_row *constant_row(size_t i)
{
    return i < COUNT(constants) ? &constants[i] : NULL;
}

const struct symbol_row *symbol_row(size_t i)
{
    return i < COUNT(symbols) ? &symbols[i] : NULL;
}

const struct function_row *function_row(size_t i)
{
    return i < COUNT(functions) ? &functions[i] : NULL;
}

enum scope group_scope(enum group group)
{
    static const enum scope scopes[GROUP_COUNT] = {
        [GROUP_CASE] = SCOPE_CASE,     [GROUP_JOINT] = SCOPE_CASE, [GROUP_POINT] = SCOPE_SITE,
        [GROUP_CHIP] = SCOPE_SITE,     [GROUP_CYCLE] = SCOPE_SITE, [GROUP_FOSTER] = SCOPE_SITE,
        [GROUP_DEVICE] = SCOPE_DEVICE, [GROUP_HOLD] = SCOPE_HOLD,  [GROUP_OVERLOAD] = SCOPE_SITE,
        [GROUP_LIMIT] = SCOPE_CASE,    [GROUP_CHECK] = SCOPE_CASE,
    };
    return scopes[group];
}

enum quantity columns_owner(enum quantity q)
{
    return q == QUANTITY_RESISTOR_CURVE ? QUANTITY_CURVE : q;
}

/* Limits and checks: named rows, each with a unit of its own. */
struct named_row {
    const char *name, *unit;
};

/* NULL for other groups, and after the last. */
static const struct named_row *named_row(enum group group, size_t k)
{
    static const struct named_row limits[SM_LIMIT_COUNT] = {
#define LIMIT(id, name, unit, title) [SM_LIMIT_##id] = { name, unit },
#include "swapmargin/limits.def"
#undef LIMIT
    };
    static const struct named_row checks[SM_CHECK_COUNT] = {
#define CHECK(id, name, unit, title, rule) [SM_CHECK_##id] = { name, unit },
#include "swapmargin/checks.def"
#undef CHECK
    };
    if (group == GROUP_LIMIT)
        return k < SM_LIMIT_COUNT ? &limits[k] : NULL;
    return group == GROUP_CHECK && k < SM_CHECK_COUNT ? &checks[k] : NULL;
}

const char *quantity_unit(enum quantity q, size_t k)
{
    const bool own =
        q == QUANTITY_LIMIT_VALUE || q == QUANTITY_CHECK_VALUE || q == QUANTITY_CHECK_LIMIT;
    const struct named_row *row = own ? named_row(quantities[q].group, k) : NULL;
    return row ? row->unit : quantities[q].unit;
}

const char *row_name(enum group group, size_t k)
{
    const struct named_row *row = named_row(group, k);
    return row ? row->name : NULL;
}
