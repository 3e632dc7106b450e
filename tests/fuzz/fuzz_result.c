/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What holds of every run, whatever the case. */
#include "fuzz/fuzz.h"

#include "swapmargin/engine.h"

#include <math.h>
#include <string.h>

/* 1, W, K: identities between numbers of one solution, which are sums and products of it. */
#define SAME_PART 1e-9
/* K: the loop stops at 1 mK, and case and chip follow from losses of the turn before. */
#define SETTLED 5e-3
/* K: hotter is no equilibrium (673.15 K, where runaway is told). */
#define HOTTEST 673.15

static bool near(double a, double b)
{
    return fabs(a - b) <= SAME_PART * (1.0 + fabs(a) + fabs(b));
}

static bool all_finite(const double *values, size_t n)
{
    bool finite = true;
    for (size_t i = 0; i < n; i++)
        finite = finite && isfinite(values[i]);
    return finite;
}

static void check_chip(const struct sm_chip_result *chip, double tvj_op_max)
{
    const double all[] = { chip->conduction, chip->turn_on, chip->turn_off, chip->recovery,
                           chip->total,      chip->i_rms,   chip->t_case,   chip->tvj_mean,
                           chip->tvj_min,    chip->tvj_max, chip->margin };
    FUZZ_CHECK(all_finite(all, sizeof all / sizeof all[0]));
    FUZZ_CHECK(
        near(chip->total, chip->conduction + chip->turn_on + chip->turn_off + chip->recovery));
    FUZZ_CHECK(near(chip->margin, tvj_op_max - chip->tvj_max));
    FUZZ_CHECK(chip->tvj_max < HOTTEST + SETTLED && chip->tvj_min > 0.0);
}

static bool negative(const struct sm_chip_result *chip)
{
    return chip->conduction < 0.0 || chip->turn_on < 0.0 || chip->turn_off < 0.0 ||
           chip->recovery < 0.0;
}

/* Straight lines beyond a data sheet's curves may give a loss below zero; then it is told. */
static bool negative_told(const struct sm_result *result)
{
    for (size_t i = 0; i < result->conditions.count; i++)
        if (result->conditions.list[i].id == SM_NOTE_NEGATIVE_LOSS)
            return true;
    return false;
}

static void check_point(const struct sm_case *c, const struct sm_result *result,
                        const struct sm_point *point)
{
    const struct sm_cooling *cooling = &c->drive->cooling;
    const double all[] = { point->output_hz, point->i_module,  point->i_drive,
                           point->v_dc,      point->v_out,     point->modulation_requested,
                           point->phi,       point->lead,      point->modulation_index,
                           point->margin,    point->t_sink,    point->power_factor,
                           point->residual,  point->sink_heat, point->module_heat };
    FUZZ_CHECK(all_finite(all, sizeof all / sizeof all[0]));
    if (point->runaway)
        return;
    const struct sm_chip_result *igbt = &point->chip[SM_IGBT], *diode = &point->chip[SM_DIODE];
    check_chip(igbt, c->module->tvj_op_max);
    check_chip(diode, c->module->tvj_op_max);
    const double switches = sm_module_switches(c->module);
    FUZZ_CHECK(near(point->module_heat, switches * (igbt->total + diode->total + point->lead) +
                                            cooling->same_case_heat));
    FUZZ_CHECK(
        near(point->sink_heat, result->module_count * point->module_heat + cooling->other_heat));
    FUZZ_CHECK(near(point->t_sink, cooling->ambient + result->rth_sa * point->sink_heat));
    FUZZ_CHECK(near(point->margin, fmin(igbt->margin, diode->margin)));
    FUZZ_CHECK(near(point->margin, point->chip[point->worst].margin));
    if (negative_told(result))
        return;
    FUZZ_CHECK(!negative(igbt) && !negative(diode));
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const struct sm_chip_result *chip = &point->chip[k];
        FUZZ_CHECK(chip->t_case >= point->t_sink - SETTLED);
        FUZZ_CHECK(chip->tvj_mean >= chip->t_case - SETTLED);
        FUZZ_CHECK(chip->tvj_min <= chip->tvj_mean + SETTLED);
        FUZZ_CHECK(chip->tvj_max >= chip->tvj_mean - SETTLED);
        FUZZ_CHECK(chip->tvj_min >= chip->t_case - SETTLED);
    }
}

static void check_notes(const struct sm_notes *notes, enum sm_note_kind kind)
{
    FUZZ_CHECK(!notes->out_of_memory);
    for (size_t i = 0; i < notes->count; i++) {
        FUZZ_CHECK(sm_note_kind(notes->list[i].id) == kind);
        FUZZ_CHECK(all_finite(notes->list[i].value, SM_NOTE_ARGS));
    }
}

static void check_verdict(const struct sm_case *c, const struct sm_result *result)
{
    const size_t reasons = result->reasons.count, conditions = result->conditions.count;
    bool fails = result->runaway, asks = false;
    check_notes(&result->reasons, SM_KIND_REASON);
    check_notes(&result->conditions, SM_KIND_CONDITION);
    check_notes(&result->notes, SM_KIND_NOTE);
    for (size_t i = 0; i < SM_CHECK_COUNT; i++) {
        const struct sm_check *check = &result->checks[i];
        fails = fails || check->result == SM_CHECK_FAIL;
        asks = asks || check->result == SM_CHECK_WARN || check->result == SM_CHECK_NOT_CHECKED;
        FUZZ_CHECK(isfinite(check->value.value) && isfinite(check->limit.value));
        FUZZ_CHECK(all_finite(check->why.value, SM_NOTE_ARGS));
    }
    for (size_t i = 0; i < result->n_points; i++)
        fails = fails || result->points[i].margin < c->drive->test.required_margin;
    FUZZ_CHECK(fails == (reasons > 0) && (!asks || conditions > 0));
    FUZZ_CHECK(result->verdict == (reasons > 0      ? SM_REJECT
                                   : conditions > 0 ? SM_CONDITIONAL
                                                    : SM_APPROVE));
}

static void check_extras(const struct sm_result *result)
{
    const struct sm_hold *hold = &result->hold;
    const double all[] = { hold->current,
                           hold->power[0],
                           hold->power[1],
                           hold->tvj[0],
                           hold->tvj[1],
                           hold->other_power[0],
                           hold->other_power[1],
                           hold->other_tvj[0],
                           hold->other_tvj[1],
                           hold->t_sink,
                           hold->margin,
                           hold->allowed_current.value,
                           result->joint.rth_module,
                           result->joint.rth_switch[0],
                           result->joint.rth_switch[1],
                           result->joint.coverage,
                           result->rth_sa,
                           result->margin,
                           result->ten_percent_cost };
    FUZZ_CHECK(all_finite(all, sizeof all / sizeof all[0]));
    for (size_t i = 0; i < result->n_overload; i++) {
        const struct sm_overload *o = &result->overload[i];
        FUZZ_CHECK(isfinite(o->tvj_max) && isfinite(o->t_sink) && isfinite(o->margin));
        FUZZ_CHECK(isfinite(o->allowed_time.value) && isfinite(o->i_drive));
    }
    for (size_t i = 0; i < SM_LIMIT_COUNT; i++) {
        const struct sm_limit *limit = &result->limits[i];
        FUZZ_CHECK(isfinite(limit->value) && isfinite(limit->low) && isfinite(limit->high));
        FUZZ_CHECK(limit->state != SM_LIMIT_FOUND ||
                   (limit->value >= limit->low * (1.0 - SAME_PART) &&
                    limit->value <= limit->high * (1.0 + SAME_PART)));
    }
}

void fuzz_check_result(const struct sm_case *c, const struct sm_result *result)
{
    double least = HUGE_VAL;
    bool runaway = false;
    FUZZ_CHECK(result->n_points == c->drive->test.frequencies.n);
    FUZZ_CHECK(result->module_count == sm_case_module_count(c));
    for (size_t i = 0; i < result->n_points; i++) {
        check_point(c, result, &result->points[i]);
        runaway = runaway || result->points[i].runaway;
        least = fmin(least, result->points[i].margin);
    }
    FUZZ_CHECK(result->runaway == runaway);
    FUZZ_CHECK(near(result->margin, runaway ? 0.0 : least));
    check_extras(result);
    check_verdict(c, result);
    if (result->comparison.original) {
        const struct sm_case own = { .drive = c->drive, .module = c->original };
        fuzz_check_result(&own, result->comparison.original);
        for (size_t i = 0; i < result->comparison.n_rows; i++)
            FUZZ_CHECK(isfinite(result->comparison.rows[i].difference));
    }
}

/* 1: a hotter row's value over a cooler one's.  A part's own curves end higher when hot, and only
 * an on-state voltage at little current falls, by less than a third. */
#define FALLS_AT_THE_END 0.95
#define FALLS_ANYWHERE 0.7

static bool rows_fall(const struct sm_rows *rows)
{
    bool falls = false;
    for (size_t i = 1; i < rows->n; i++) {
        const struct sm_list *cool = &rows->row[i - 1].values, *hot = &rows->row[i].values;
        falls = falls || hot->v[hot->n - 1] < FALLS_AT_THE_END * cool->v[cool->n - 1];
        for (size_t j = 0; j < hot->n; j++)
            falls = falls || hot->v[j] < FALLS_ANYWHERE * cool->v[j];
    }
    return falls;
}

/* At t, the line through the two coldest rows; where there is one row, that of the coefficient. */
static bool rows_cross_zero(const struct sm_rows *rows, double coefficient, double t)
{
    if (rows->n == 1)
        return 1.0 + coefficient * (t - rows->row[0].at) < 0.0;
    const struct sm_row *cool = &rows->row[0], *hot = &rows->row[1];
    const double way = (t - cool->at) / (hot->at - cool->at);
    bool crosses = false;
    for (size_t j = 0; j < cool->values.n; j++)
        crosses = crosses || cool->values.v[j] + way * (hot->values.v[j] - cool->values.v[j]) < 0.0;
    return crosses;
}

/* No physics of a module that heats itself: the wrong way round with temperature, or a heat that
 * is drawn in. */
static bool may_not_settle(const struct sm_module *module, double coldest)
{
    const struct sm_switching *igbt = &module->igbt_switching, *diode = &module->diode_recovery;
    const struct {
        const struct sm_rows *rows;
        double coefficient;
    } list[] = { { &module->igbt_conduction.voltage, 0.0 },
                 { &igbt->e_on, igbt->temperature_coefficient },
                 { &igbt->e_off, igbt->temperature_coefficient },
                 { &module->diode_conduction.voltage, 0.0 },
                 { &diode->e_rr, diode->temperature_coefficient } };
    bool may = false;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++)
        may = may || rows_fall(list[i].rows) ||
              rows_cross_zero(list[i].rows, list[i].coefficient, coldest);
    return may;
}

bool fuzz_refused(const struct sm_case *c, bool wild, double coldest, enum sm_status status,
                  const struct sm_faults *faults)
{
    if (status != SM_ERR_CONVERGE)
        return false;
    FUZZ_CHECK(faults->count == 1 && strstr(faults->list[0].message, "look for a slip in vce_sat"));
    FUZZ_CHECK(wild || may_not_settle(c->module, coldest) ||
               (c->original && may_not_settle(c->original, coldest)));
    return true;
}
