/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sweep_words.h"

#include "base/text.h"
#include "report/phrase.h"
#include "report/sheet_check.h"
#include "swapmargin/quantity.h"

#include <math.h>

enum { DECIMALS_MOST = 9 };

/* 1: a printed value may miss the row's by this share of the distance to the next row. */
#define VALUE_BLUR 0.01

/* 1: the last digit of an interpolated value, as a share of the distance between its rows: what
 * lies between them is a guess, and many digits would say otherwise. */
#define CROSSING_DIGIT 0.03

double sweep_shown(const struct sm_sweep *sweep, double si)
{
    double value = si;
    (void)sm_quantity_to_unit(si, sm_sweep_quantity(sweep->plan.over)->unit, &value);
    return value;
}

static bool decimals_tell(const struct sm_sweep *sweep, int decimals)
{
    const double factor = pow(10.0, decimals);
    double gap = HUGE_VAL, blur = 0.0;
    for (size_t i = 0; i < sweep->n_rows; i++) {
        const double value = sweep_shown(sweep, sweep->rows[i].value);
        blur = fmax(blur, fabs(nearbyint(value * factor) / factor - value));
        if (i > 0) {
            gap = fmin(gap, value - sweep_shown(sweep, sweep->rows[i - 1].value));
        }
    }
    return blur <= VALUE_BLUR * gap;
}

int sweep_decimals(const struct sm_sweep *sweep)
{
    int decimals = 0;
    while (decimals < DECIMALS_MOST && !decimals_tell(sweep, decimals)) {
        decimals++;
    }
    return decimals;
}

const char *sweep_value(struct sheet *sheet, const struct sm_sweep *sweep, double si, int decimals)
{
    struct sm_text unit;
    sm_text_init(&unit);
    phrase_unit(&unit, sm_sweep_quantity(sweep->plan.over)->unit, true);
    const char *words =
        sheet_format(sheet, "%.*f %s", decimals, sweep_shown(sweep, si), text_words(&unit));
    text_close(&unit, &sheet->out_of_memory);
    return words;
}

/* Decimals of a value interpolated between two rows. */
static int crossing_decimals(const struct sm_sweep *sweep, const struct sm_sweep_crossing *crossing)
{
    const struct sm_sweep_row *row = &sweep->rows[crossing->before];
    const double gap = sweep_shown(sweep, row[1].value) - sweep_shown(sweep, row[0].value);
    int decimals = 0;
    while (decimals < DECIMALS_MOST && pow(10.0, -decimals) > CROSSING_DIGIT * gap) {
        decimals++;
    }
    return decimals;
}

const char *sweep_near(struct sheet *sheet, const struct sm_sweep *sweep,
                       const struct sm_sweep_crossing *crossing)
{
    return sweep_value(sheet, sweep, crossing->value, crossing_decimals(sweep, crossing));
}

const char *sweep_crossing(struct sheet *sheet, const struct sm_sweep *sweep,
                           const struct sm_sweep_crossing *crossing, const char *what)
{
    const struct sm_sweep_row *row = &sweep->rows[crossing->before];
    const int decimals = sweep_decimals(sweep);
    const char *verb = crossing->falls ? "falls below" : "rises to";
    const char *from = sweep_value(sheet, sweep, row[0].value, decimals);
    const char *to = sweep_value(sheet, sweep, row[1].value, decimals);
    if (!crossing->found) {
        return sheet_format(sheet,
                            "%s %s between %s and %s; one of these rows has no equilibrium, so "
                            "nothing can be interpolated",
                            verb, what, from, to);
    }
    return sheet_format(sheet, "%s %s at about %s, interpolated between the rows at %s and %s",
                        verb, what, sweep_near(sheet, sweep, crossing), from, to);
}

const char *sweep_note(struct sheet *sheet, const struct sm_sweep *sweep,
                       const struct sm_sweep_note *note)
{
    const char *sentence = sheet_note(sheet, &note->note);
    if (note->rows == sweep->n_rows && note->same) {
        return sentence;
    }
    const int decimals = sweep_decimals(sweep);
    const char *first = sweep_value(sheet, sweep, sweep->rows[note->first].value, decimals);
    if (note->rows == 1) {
        return sheet_format(sheet, "at %s: %s", first, sentence);
    }
    const char *last = sweep_value(sheet, sweep, sweep->rows[note->last].value, decimals);
    return sheet_format(sheet, "%s %s to %s%s: %s",
                        note->rows == note->last - note->first + 1 ? "from" : "in some rows from",
                        first, last, note->same ? "" : ", with the numbers of the first", sentence);
}
