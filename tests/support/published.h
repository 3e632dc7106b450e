/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Values from outside, each beside what this library makes of the same inputs.  The rows stand in
 * tests/published/; the tests check them and docs/validation.md shows them.
 * Needs no test framework: the tool that writes the document uses it too. */
#ifndef SM_TESTS_PUBLISHED_H
#define SM_TESTS_PUBLISHED_H

#include "swapmargin/text.h"

#include <stddef.h>

/* How far it is known that the publication says so, and what it says: a value with its inputs, a
 * formula (the value is then the formula's), or a maker's rule of thumb. */
enum published_tag {
    READ, /* seen in a copy of the publication */
    READ_FORMULA,
    READ_RULE,
    TRANSCRIBED, /* seen in a public transcription of it */
    TRANSCRIBED_FORMULA,
    RECALLED, /* from memory of the named publication */
    RECALLED_FORMULA,
    PUBLISHED_TAGS
};

struct published {
    const char *what; /* the quantity, and what it is computed from */
    const char *unit;
    const char *printed;     /* the value with its digits */
    double value, tolerance; /* in the unit */
    const char *why;         /* of the tolerance */
    enum published_tag tag;
    const char *source;
    double ours; /* in the unit; NaN when the library refused */
};

#define PUBLISHED_MOST 60 /* rows of one group */

enum published_group {
    PUBLISHED_CHAIN,  /* data sheet to junction temperature, in one run */
    PUBLISHED_LOSSES, /* of one leg */
    PUBLISHED_HEAT,   /* junction to ambient */
    PUBLISHED_DRIVE,  /* bus, modulation, gate, checks */
    PUBLISHED_GROUPS
};

/* The group's name in docs/validation.md. */
const char *published_name(enum published_group group);

/* Computes and writes the rows of a group: rows[PUBLISHED_MOST].  Returned: how many. */
size_t published_rows(enum published_group group, struct published *rows);

/* One group each, called by the above. */
size_t published_chain(struct published *rows);
size_t published_losses(struct published *rows);
size_t published_heat(struct published *rows);
size_t published_drive(struct published *rows);

/* The group's rows as a Markdown table. */
void published_table(enum published_group group, struct sm_text *out);

#endif
