/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/comparison_words.h"

#include "report/phrase.h"
#include "report/words.h"
#include "swapmargin/quantity.h"

#include <math.h>
#include <stddef.h>

/* 1: significant digits of a difference; one less than the values have. */
#define DIFFERENCE_DIGITS 3

enum { NUMBER_SIZE = 40 };

const struct sm_compared *comparison_worst(const struct sm_comparison *comparison,
                                           enum sm_compared_id id)
{
    const struct sm_compared *worst = NULL;
    for (size_t i = 0; i < comparison->n_rows; i++) {
        const struct sm_compared *row = &comparison->rows[i];
        if (row->id != id || !row->worse) {
            continue;
        }
        if (row->candidate.state == SM_SIDE_RUNAWAY) {
            if (id == SM_COMPARED_MARGIN || id == SM_COMPARED_OVERLOAD_MARGIN ||
                id == SM_COMPARED_HOLD_MARGIN) {
                return row;
            }
            continue;
        }
        if (!worst || fabs(row->difference) > fabs(worst->difference)) {
            worst = row;
        }
    }
    return worst;
}

void comparison_side(struct sm_text *out, const struct sm_compared *row, const struct sm_side *side)
{
    const struct sm_side *other = side == &row->candidate ? &row->original : &row->candidate;
    const char *unit = word_compared(row->id)->unit;
    switch (side->state) {
    case SM_SIDE_NOT_GIVEN:
        sm_text_add(out, "not given");
        return;
    case SM_SIDE_RUNAWAY:
        sm_text_add(out, "thermal runaway");
        return;
    case SM_SIDE_GIVEN:
        break;
    }
    if (side->text) {
        sm_text_add(out, "%s", side->text);
    } else if (row->comparable && !row->same) {
        phrase_beside(out, side->value, other->value, unit, true);
    } else {
        phrase_quantity(out, side->value, unit, true);
    }
}

void comparison_difference(struct sm_text *out, const struct sm_compared *row)
{
    const char *unit = word_compared(row->id)->difference;
    if (!row->comparable || row->same || row->candidate.text) {
        sm_text_add(out, "%s", !row->comparable ? "-" : row->same ? "same" : "differs");
        return;
    }
    char number[NUMBER_SIZE];
    double shown = row->difference;
    (void)sm_quantity_to_unit(row->difference, unit, &shown);
    sm_number_format(number, sizeof number, shown, DIFFERENCE_DIGITS);
    sm_text_add(out, "%s%s%s", shown > 0.0 ? "+" : "", number, unit[0] != '\0' ? " " : "");
    phrase_unit(out, unit, true);
}

void comparison_sentence(struct sm_text *out, const struct sm_compared *row)
{
    const char *quote = row->candidate.text ? "'" : "";
    sm_text_add(out, "%s", word_compared(row->id)->title);
    if (row->output_hz > 0.0) {
        sm_text_add(out, " at ");
        phrase_quantity(out, row->output_hz, "Hz", true);
    }
    sm_text_add(out, ": %s", quote);
    comparison_side(out, row, &row->candidate);
    sm_text_add(out, "%s, the original %s", quote, quote);
    comparison_side(out, row, &row->original);
    sm_text_add(out, "%s", quote);
    if (row->comparable && !row->candidate.text) {
        sm_text_add(out, " (");
        comparison_difference(out, row);
        sm_text_add(out, ")");
    }
}
