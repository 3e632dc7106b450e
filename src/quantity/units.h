/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The unit table: spellings of units, their dimension and what they are in SI. */
#ifndef SM_QUANTITY_UNITS_H
#define SM_QUANTITY_UNITS_H

#include "swapmargin/quantity.h"
#include "swapmargin/text.h"

struct unit {
    const char *symbol;
    enum sm_dimension dimension;
    double factor; /* SI = number * factor + offset */
    double offset;
    bool shown;          /* named in faults; the others are accepted only */
    const char *foreign; /* what it is, when no key takes it; else NULL */
};

size_t unit_count(void);
const struct unit *unit_at(size_t i);

enum unit_match {
    UNIT_FOUND,     /* *unit has the wanted dimension */
    UNIT_OTHER,     /* *unit is known, but is another kind of quantity */
    UNIT_AMBIGUOUS, /* another letter case could mean *unit or others */
    UNIT_UNKNOWN
};

/* Looks a folded symbol up: exactly first, then in another letter case, which counts only when all
 * rows that it could mean are one and the same unit. */
enum unit_match unit_find(const char *symbol, enum sm_dimension wanted, const struct unit **unit);

/* "a voltage", "a temperature difference", ... */
const char *dimension_name(enum sm_dimension dimension);

/* Adds "A, mA or kA" to text. */
void units_list(enum sm_dimension dimension, struct sm_text *text);

/* Replaces what people write for the same thing by one spelling: both micro signs, both ohm signs,
 * the degree sign, dots in the middle, superscripts, fixed blanks, the minus sign.
 * Given: size > 0.  Returned: false when the folded text does not fit. */
bool unit_fold(const char *text, char *folded, size_t size);

/* Where in the text stands what begins at `folded` bytes of its fold. */
const char *unit_unfold(const char *text, size_t folded);

#endif
