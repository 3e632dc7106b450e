/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The comparison with the original in words, the same for every report. */
#ifndef SWAPMARGIN_REPORT_COMPARISON_WORDS_H
#define SWAPMARGIN_REPORT_COMPARISON_WORDS_H

#include "swapmargin/report.h"
#include "swapmargin/result.h"

/* The row in which the candidate is worse by the most, over all points; NULL when it is nowhere.
 * Without equilibrium only margins are told: the other rows say the same. */
const struct sm_compared *comparison_worst(const struct sm_comparison *comparison,
                                           enum sm_compared_id id);

/* Adds what one side says: "118.4 degC", "M6", "not given", "thermal runaway". */
void comparison_side(struct sm_text *out, const struct sm_compared *row,
                     const struct sm_side *side);

/* Adds the difference: "same", "+8.2 K", "differs"; "-" where there is none. */
void comparison_difference(struct sm_text *out, const struct sm_compared *row);

/* Adds the row as a sentence: "highest IGBT junction at 60 Hz: 118.4 degC, the original 110.2 degC
 * (+8.2 K)". */
void comparison_sentence(struct sm_text *out, const struct sm_compared *row);

#endif
