/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The overload, which is solved before: its worst frequency is judged. */
#include "assess/check_row.h"

#include "assess/notes.h"

/* The row that weighs most: runaway before any temperature. */
static const struct sm_overload *worst_of(const struct sm_result *result)
{
    const struct sm_overload *worst = &result->overload[0];
    for (size_t i = 1; i < result->n_overload && !worst->runaway; i++) {
        const struct sm_overload *o = &result->overload[i];
        if (o->runaway || o->margin < worst->margin)
            worst = o;
    }
    return worst;
}

static struct sm_note runaway_note(const struct sm_overload *o)
{
    struct sm_note note = { .id = SM_NOTE_OVERLOAD_RUNAWAY, .value = { o->output_hz } };
    if (o->allowed_time.given) {
        note.id = SM_NOTE_OVERLOAD_RUNAWAY_AFTER;
        note.value[1] = o->allowed_time.value;
    }
    return note;
}

static struct sm_note temperature_note(const struct sm_overload *o, double tvj_op_max)
{
    struct sm_note note = { .value = { o->output_hz, o->tvj_max, tvj_op_max },
                            .text = note_chip(o->worst) };
    if (o->margin >= 0.0)
        note.id = o->sink_settled ? SM_NOTE_OVERLOAD_FITS_SETTLED : SM_NOTE_OVERLOAD_FITS;
    else if (o->sink_settled)
        note.id = SM_NOTE_OVERLOAD_HOT_SETTLED;
    else
        note.id = o->allowed_time.value > 0.0 ? SM_NOTE_OVERLOAD_HOT : SM_NOTE_OVERLOAD_HOT_AT_ONCE;
    note.value[3] = o->allowed_time.value;
    return note;
}

struct sm_check check_overload(const struct fit *fit)
{
    struct wanted wanted = { .n = 0 };
    want_drive(&wanted, SM_DRIVE_OVERLOAD_CURRENT, fit->drive->rating.overload_current.given);
    if (wanted.n > 0)
        return check_missing(SM_CHECK_OVERLOAD, &wanted);
    const double limit = fit->module->tvj_op_max;
    const struct sm_overload *worst = worst_of(fit->result);
    const bool fits = !worst->runaway && worst->margin >= 0.0;
    return (struct sm_check){ .result = fits ? SM_CHECK_PASS : SM_CHECK_FAIL,
                              .value = { .given = !worst->runaway, .value = worst->tvj_max },
                              .limit = { .given = true, .value = limit },
                              .why = worst->runaway ? runaway_note(worst)
                                                    : temperature_note(worst, limit) };
}
