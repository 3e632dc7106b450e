/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/verdict.h"

#include "assess/notes.h"

/* K: junction swing per output cycle from which power cycling is a condition (common practice). */
#define SWING_LIMIT 40.0

void margin_gather(struct sm_result *result)
{
    result->runaway = false;
    result->worst_point = 0;
    for (size_t i = 0; i < result->n_points; i++) {
        const struct sm_point *p = &result->points[i];
        if (p->runaway && !result->runaway) {
            result->runaway = true;
            result->worst_point = i;
        }
        if (!result->runaway && p->margin < result->points[result->worst_point].margin)
            result->worst_point = i;
    }
    result->margin = result->runaway ? 0.0 : result->points[result->worst_point].margin;
}

static void judge_point(const struct sm_case *c, const struct sm_point *p, struct sm_result *result)
{
    const double required = c->drive->test.required_margin;
    if (p->runaway) {
        note_add(result,
                 (struct sm_note){ .id = SM_NOTE_REASON_RUNAWAY, .value = { p->output_hz } });
        return;
    }
    if (p->margin < required)
        note_add(result, (struct sm_note){ .id = SM_NOTE_REASON_MARGIN,
                                           .value = { p->margin, p->output_hz, required,
                                                      p->chip[p->worst].tvj_max },
                                           .text = note_chip(p->worst) });
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const double swing = p->chip[k].swing;
        if (swing > SWING_LIMIT)
            note_add(result, (struct sm_note){ .id = SM_NOTE_SWING,
                                               .value = { swing, p->output_hz },
                                               .text = note_chip((enum sm_chip_kind)k) });
    }
}

static void judge_hold(const struct sm_case *c, struct sm_result *result)
{
    const struct sm_hold *hold = &result->hold;
    const double limit = c->module->tvj_op_max, required = c->drive->test.required_margin;
    const bool fan = c->drive->load.torque == SM_TORQUE_FAN;
    /* not even the least that was tried may stand: then it is more than what may */
    const double share = hold->allowed_current.given
                             ? hold->allowed_current.value / c->drive->rating.output_current
                             : SM_HOLD_LEAST;
    if (hold->runaway) {
        note_add(result, (struct sm_note){ .id = SM_NOTE_HOLD_RUNAWAY, .value = { share } });
        return;
    }
    if (hold->margin < 0.0)
        note_add(result, (struct sm_note){ .id = fan ? SM_NOTE_HOLD_HOT_FAN : SM_NOTE_HOLD_HOT,
                                           .value = { limit - hold->margin, limit, share } });
    else if (hold->margin < required && !fan)
        note_add(result,
                 (struct sm_note){ .id = SM_NOTE_HOLD_SHORT, .value = { hold->margin, required } });
}

static void judge_ten_percent(struct sm_result *result)
{
    if (result->runaway)
        return;
    const double hz = result->points[result->worst_point].output_hz;
    if (result->ten_percent_runaway)
        note_add(result, (struct sm_note){ .id = SM_NOTE_TEN_PERCENT_RUNAWAY, .value = { hz } });
    else
        note_add(result, (struct sm_note){ .id = SM_NOTE_TEN_PERCENT,
                                           .value = { result->ten_percent_cost, hz } });
}

/* A check that passes or was confirmed says nothing; the others' own sentence is the condition. */
static void judge_checks(struct sm_result *result)
{
    for (int i = 0; i < SM_CHECK_COUNT; i++) {
        const struct sm_check *check = &result->checks[i];
        switch (check->result) {
        case SM_CHECK_FAIL:
        case SM_CHECK_WARN:
        case SM_CHECK_NOT_CHECKED:
            note_add(result, check->why);
            break;
        case SM_CHECK_PASS:
        case SM_CHECK_CONFIRMED:
            break;
        }
    }
}

void verdict_reach(const struct sm_case *c, struct sm_result *result)
{
    for (size_t i = 0; i < result->n_points; i++)
        judge_point(c, &result->points[i], result);
    judge_checks(result);
    judge_hold(c, result);
    judge_ten_percent(result);
    result->verdict = result->reasons.count      ? SM_REJECT
                      : result->conditions.count ? SM_CONDITIONAL
                                                 : SM_APPROVE;
}
