/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The words of enums and the rows of the check and limit tables, as every report spells them. */
#ifndef SWAPMARGIN_REPORT_WORDS_H
#define SWAPMARGIN_REPORT_WORDS_H

#include "swapmargin/loadrun.h"
#include "swapmargin/result.h"

/* One row of checks.def or limits.def. */
struct word_row {
    const char *name;  /* in JSON and CSV */
    const char *unit;  /* of its values, "" for none */
    const char *title; /* on the sheet */
    const char *rule;  /* the formula; "" for a limit */
};

const struct word_row *word_check(enum sm_check_id id);
const struct word_row *word_limit(enum sm_limit_id id);

/* One row of comparison.def. */
struct word_compared {
    const char *name;       /* in JSON and CSV */
    const char *unit;       /* of the two values, "" for none */
    const char *difference; /* unit of their difference */
    const char *title;      /* on the sheet */
};

const struct word_compared *word_compared(enum sm_compared_id id);

/* A key of a module file. */
struct word_key {
    const char *section;
    const char *key;
};

const struct word_key *word_module_key(enum sm_module_key id);

/* The row of sanity.def with its placeholders. */
const char *word_sanity(enum sm_sanity_id id);

const char *word_verdict(enum sm_verdict verdict);          /* "approve" */
const char *word_chip(enum sm_chip_kind chip);              /* "igbt": for machines */
const char *word_chip_title(enum sm_chip_kind chip);        /* "IGBT": for people */
const char *word_check_result(enum sm_check_result result); /* "not checked" */
const char *word_circuit(enum sm_circuit circuit);          /* "half-bridge" */
const char *word_modulation(enum sm_modulation modulation);
const char *word_origin(enum sm_origin_kind kind); /* "default" */

/* Why a value is not told, the row of untold.def, NULL for SM_TOLD; and the row that points and
 * whole results have too. */
const char *word_untold(enum sm_untold_id id);
const char *word_runaway(void);

/* How a margin stands to the required one. */
enum margin_state { MARGIN_KEPT, MARGIN_SHORT, MARGIN_NONE /* runaway */ };
enum margin_state margin_state(bool runaway, double margin, double required);
const char *word_margin_state(enum margin_state state); /* "kept", "short", "runaway" */

/* The cautions that every sheet carries; index < word_caution_count(). */
size_t word_caution_count(void);
const char *word_caution(size_t index);

#endif
