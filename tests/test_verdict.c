/* SPDX-License-Identifier: GPL-3.0-or-later
 * The rules of the verdict and of what is told; each expected value is the rule's own statement. */
#include "assess/verdict.h"

#include "base/maths.h"
#include "support/fixture.h"
#include "support/near.h"
#include "support/solved.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>
#include <string.h>

static bool has(const struct sm_notes *notes, enum sm_note_id id)
{
    for (size_t i = 0; i < notes->count; i++)
        if (notes->list[i].id == id)
            return true;
    return false;
}

Test(verdict, rejects_exactly_when_a_margin_is_below_the_required_one)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    solved_run(&f, &result);
    const double margin = result.margin;
    NEAR(margin, fmin(result.points[0].margin, result.points[1].margin), 0.0);
    sm_result_release(&result);
    f.drive.test.required_margin = margin + 1e-6;
    solved_run(&f, &result);
    cr_assert_eq(result.verdict, SM_REJECT);
    cr_assert(has(&result.reasons, SM_NOTE_REASON_MARGIN));
    sm_result_release(&result);
    f.drive.test.required_margin = margin - 1e-6;
    solved_run(&f, &result);
    cr_assert_eq(result.reasons.count, 0);
    cr_assert_eq(result.verdict, SM_CONDITIONAL, "rows that were not checked are conditions");
    sm_result_release(&result);
}

Test(verdict, approves_when_nothing_is_left_to_settle)
{
    struct sm_point points[1] = { { .output_hz = 30.0, .margin = 20.0 } };
    struct fixture f;
    fixture_make(&f);
    struct sm_result result;
    sm_result_init(&result);
    result.points = points;
    result.n_points = 1;
    for (int i = 0; i < SM_CHECK_COUNT; i++)
        result.checks[i] = (struct sm_check){ .id = (enum sm_check_id)i, .result = SM_CHECK_PASS };
    margin_gather(&result);
    verdict_reach(&f.c, &result);
    cr_assert_eq(result.verdict, SM_APPROVE);
    result.checks[3].result = SM_CHECK_WARN;
    result.checks[3].why.id = SM_NOTE_NOT_CHECKED;
    verdict_reach(&f.c, &result);
    cr_assert_eq(result.verdict, SM_CONDITIONAL);
    result.checks[3].result = SM_CHECK_FAIL;
    result.checks[3].why.id = SM_NOTE_OVERCURRENT_TRIP_FAIL;
    verdict_reach(&f.c, &result);
    cr_assert_eq(result.verdict, SM_REJECT);
    result.points = NULL;
    sm_result_release(&result);
}

Test(verdict, confirmed_rows_are_no_conditions)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    solved_run(&f, &result);
    const size_t before = result.conditions.count;
    sm_result_release(&result);
    f.drive.confirmed = (struct sm_confirmed){ true, true, true, true, true, true };
    solved_run(&f, &result);
    /* six rows, of which "same lot" was none: no modules in parallel */
    cr_assert_eq(result.conditions.count, before - 5);
    cr_assert_eq(result.checks[SM_CHECK_OUTLINE].result, SM_CHECK_CONFIRMED);
    sm_result_release(&result);
}

/* Each assumption is told, and as what the method says: condition or note. */
Test(verdict, assumptions_are_told)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    f.drive.joint.coverage = 0.9;
    f.drive.rating.parallel = 2;
    f.power_factor[0] = -0.8;
    f.drive.rating.dc_bus_voltage.given = false;
    f.module.mounting.rth_cs_conductivity.given = f.module.mounting.rth_cs_thickness.given = false;
    f.current[1] = f.e_current[1] = 40.0;
    f.module.igbt_switching.test_voltage = f.module.diode_recovery.test_voltage = 300.0;
    solved_run(&f, &result);
    cr_assert(has(&result.conditions, SM_NOTE_JOINT_COVERAGE));
    cr_assert(has(&result.conditions, SM_NOTE_JOINT_AS_PRINTED));
    cr_assert(has(&result.conditions, SM_NOTE_BRAKING_BUS));
    cr_assert(has(&result.conditions, SM_NOTE_RG_NOT_GIVEN));
    cr_assert(has(&result.notes, SM_NOTE_EQUAL_SHARING));
    cr_assert(has(&result.notes, SM_NOTE_VOLTAGE_BEYOND));
    cr_assert(has(&result.notes, SM_NOTE_ENERGY_BEYOND));
    cr_assert(has(&result.notes, SM_NOTE_BUS_FAR));
    cr_assert(has(&result.notes, SM_NOTE_TYPICAL_CURVES));
    sm_result_release(&result);
}

/* No layer is thin of compound at 100 %, and only a swing above 40 K is told (common practice),
 * with its size. */
Test(verdict, neither_a_full_joint_nor_a_swing_up_to_40_k_is_a_condition)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    f.foster_tau[SM_IGBT][0] = 0.001; /* s: the IGBT follows each half cycle, the diode hardly */
    f.foster_r[SM_IGBT][0] = f.module.igbt_thermal.rth_jc = 0.5;
    solved_run(&f, &result);
    cr_expect_not(has(&result.conditions, SM_NOTE_JOINT_COVERAGE));
    size_t expected = 0, told = 0;
    for (size_t i = 0; i < result.n_points; i++)
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            const struct sm_chip_result *chip = &result.points[i].chip[k];
            expected += chip->tvj_max - chip->tvj_min > 40.0 ? 1u : 0u;
        }
    for (size_t i = 0; i < result.conditions.count; i++) {
        const struct sm_note *note = &result.conditions.list[i];
        if (note->id == SM_NOTE_SWING) {
            const struct sm_point *p = &result.points[note->value[1] > 45.0 ? 1 : 0];
            NEAR(note->value[0], p->chip[SM_IGBT].tvj_max - p->chip[SM_IGBT].tvj_min, 1e-9);
            told++;
        }
    }
    cr_expect_gt(expected, (size_t)0);
    cr_expect_eq(told, expected);
    sm_result_release(&result);
}

static bool told_of(const struct sm_notes *notes, enum sm_note_id id, const char *name)
{
    for (size_t i = 0; i < notes->count; i++)
        if (notes->list[i].id == id && strcmp(notes->list[i].text, name) == 0)
            return true;
    return false;
}

/* Turn-off at one temperature follows the coefficient: told, though turn-on has two. */
Test(verdict, one_temperature_of_turn_off_alone_is_told)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    solved_run(&f, &result);
    cr_assert_not(has(&result.notes, SM_NOTE_ENERGY_ONE_TEMPERATURE));
    sm_result_release(&result);
    f.module.igbt_switching.e_off.n = 1;
    solved_run(&f, &result);
    cr_assert(told_of(&result.notes, SM_NOTE_ENERGY_ONE_TEMPERATURE, "IGBT turn-off"));
    cr_assert_not(told_of(&result.notes, SM_NOTE_ENERGY_ONE_TEMPERATURE, "IGBT turn-on"));
    sm_result_release(&result);
    f.module.igbt_switching.e_on.n = 1;
    solved_run(&f, &result);
    cr_assert(told_of(&result.notes, SM_NOTE_ENERGY_ONE_TEMPERATURE, "IGBT"), "both alike: once");
    sm_result_release(&result);
}

/* 77 A rms peak at 108.9 A, within the table; an overload of 150 % does not: 163.3 A. */
Test(verdict, an_overload_beyond_the_curves_is_told)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    f.current[1] = f.e_current[1] = 120.0;
    solved_run(&f, &result);
    cr_assert_not(has(&result.notes, SM_NOTE_VOLTAGE_BEYOND));
    sm_result_release(&result);
    f.drive.rating.overload_current = (struct sm_optional){ true, 1.5 };
    f.drive.rating.overload_time = (struct sm_optional){ true, 1.0 };
    solved_run(&f, &result);
    cr_assert(has(&result.notes, SM_NOTE_VOLTAGE_BEYOND));
    cr_assert(has(&result.notes, SM_NOTE_ENERGY_BEYOND));
    for (size_t i = 0; i < result.notes.count; i++)
        if (result.notes.list[i].id == SM_NOTE_VOLTAGE_BEYOND)
            NEAR(result.notes.list[i].value[0], SQRT2 * 1.5 * 77.0, 1e-9);
    sm_result_release(&result);
}

/* The factor of the gate resistor leaves the table at either of its two resistors. */
Test(verdict, a_test_resistor_outside_the_table_is_told)
{
    struct fixture f;
    struct sm_result result;
    double rg[2] = { 5.0, 10.0 }, energy[2] = { 10e-3, 12e-3 };
    fixture_make(&f);
    f.module.igbt_switching.rg = (struct sm_list){ rg, 2 };
    f.module.igbt_switching.e_on_rg = f.module.igbt_switching.e_off_rg =
        (struct sm_list){ energy, 2 };
    f.drive.gate.rg_on = f.drive.gate.rg_off = (struct sm_optional){ true, 6.0 };
    f.module.igbt_switching.test_rg_on = f.module.igbt_switching.test_rg_off =
        (struct sm_optional){ true, 8.0 };
    solved_run(&f, &result);
    cr_assert_not(has(&result.notes, SM_NOTE_RG_BEYOND));
    sm_result_release(&result);
    f.module.igbt_switching.test_rg_off.value = 12.0;
    solved_run(&f, &result);
    cr_assert(told_of(&result.notes, SM_NOTE_RG_BEYOND, "rg_off"));
    sm_result_release(&result);
}

/* Losses that do not follow temperature: 10 % more of them is 10 % of the rise over ambient, less
 * the part that the chips do not make; by linearity of the heat path. */
Test(verdict, ten_percent_more_loss_costs_a_tenth_of_the_rise)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    solved_run(&f, &result);
    const struct sm_point *p = &result.points[result.worst_point];
    NEAR(result.ten_percent_cost, 0.1 * (p->chip[p->worst].tvj_max - 313.15), 1e-4);
    sm_result_release(&result);
}

/* A result of one point, to be judged; each sentence has the numbers of what it is about. */
static const struct sm_note *judged(struct sm_result *result, struct sm_point *point,
                                    const struct fixture *f, enum sm_note_id id)
{
    const struct sm_result like = *result;
    sm_result_init(result);
    result->points = point;
    result->n_points = 1;
    result->hold = like.hold;
    result->ten_percent_cost = like.ten_percent_cost;
    result->ten_percent_runaway = like.ten_percent_runaway;
    for (int i = 0; i < SM_CHECK_COUNT; i++)
        result->checks[i].result = SM_CHECK_PASS;
    margin_gather(result);
    verdict_reach(&f->c, result);
    const struct sm_notes *lists[] = { &result->reasons, &result->conditions, &result->notes };
    for (size_t k = 0; k < 3; k++)
        for (size_t i = 0; i < lists[k]->count; i++)
            if (lists[k]->list[i].id == id)
                return &lists[k]->list[i];
    return NULL;
}

static void given_back(struct sm_result *result)
{
    result->points = NULL;
    sm_result_release(result);
}

/* The required margin itself is enough. */
Test(verdict, a_margin_of_just_what_is_required_is_no_reason)
{
    struct sm_point point = { .output_hz = 30.0, .margin = 15.0 };
    struct sm_result result = { .ten_percent_cost = 1.0 };
    struct fixture f;
    fixture_make(&f); /* 15 K */
    cr_expect_not(judged(&result, &point, &f, SM_NOTE_REASON_MARGIN));
    given_back(&result);
    point.margin = 14.999;
    cr_expect(judged(&result, &point, &f, SM_NOTE_REASON_MARGIN));
    given_back(&result);
}

Test(verdict, what_ten_percent_more_costs_is_told_or_that_it_runs_away)
{
    struct sm_point point = { .output_hz = 30.0, .margin = 20.0 };
    struct sm_result result = { .ten_percent_cost = 4.5 };
    struct fixture f;
    fixture_make(&f);
    const struct sm_note *note = judged(&result, &point, &f, SM_NOTE_TEN_PERCENT);
    cr_assert(note);
    NEAR(note->value[0], 4.5, 0.0);
    NEAR(note->value[1], 30.0, 0.0);
    given_back(&result);
    result.ten_percent_runaway = true;
    note = judged(&result, &point, &f, SM_NOTE_TEN_PERCENT_RUNAWAY);
    cr_assert(note);
    NEAR(note->value[0], 30.0, 0.0);
    cr_expect_not(has(&result.notes, SM_NOTE_TEN_PERCENT));
    given_back(&result);
    /* where the point itself has no equilibrium neither is told */
    point.runaway = true;
    note = judged(&result, &point, &f, SM_NOTE_REASON_RUNAWAY);
    cr_assert(note);
    NEAR(note->value[0], 30.0, 0.0);
    cr_expect_not(has(&result.notes, SM_NOTE_TEN_PERCENT));
    cr_expect_eq(result.verdict, SM_REJECT);
    NEAR(result.margin, 0.0, 0.0);
    given_back(&result);
}

/* 423.15 K and 3 K beyond it; 0.8 of 77 A may stand. */
Test(verdict, a_hold_that_is_too_hot_is_told_with_the_current_that_may_stand)
{
    struct sm_point point = { .output_hz = 30.0, .margin = 20.0 };
    struct sm_result result = { .hold = { .margin = -3.0, .allowed_current = { true, 61.6 } } };
    struct fixture f;
    fixture_make(&f);
    const struct sm_note *note = judged(&result, &point, &f, SM_NOTE_HOLD_HOT);
    cr_assert(note);
    NEAR(note->value[0], 426.15, 1e-9);
    NEAR(note->value[1], 423.15, 1e-9);
    NEAR(note->value[2], 0.8, 1e-12);
    given_back(&result);
    result.hold = (struct sm_hold){ .margin = -3.0 };
    f.drive.load.torque = SM_TORQUE_FAN;
    note = judged(&result, &point, &f, SM_NOTE_HOLD_HOT_FAN);
    cr_assert(note);
    NEAR(note->value[2], 0.01, 0.0); /* no current from 1 % on may stand */
    cr_expect_not(has(&result.conditions, SM_NOTE_HOLD_HOT));
    given_back(&result);
    result.hold = (struct sm_hold){ .margin = 0.0 };
    cr_expect_not(judged(&result, &point, &f, SM_NOTE_HOLD_HOT_FAN));
    given_back(&result);
    result.hold = (struct sm_hold){ .runaway = true, .allowed_current = { true, 38.5 } };
    note = judged(&result, &point, &f, SM_NOTE_HOLD_RUNAWAY);
    cr_assert(note);
    NEAR(note->value[0], 0.5, 1e-12);
    given_back(&result);
}

/* 1.8 K of the 15 K asked for: a note, no condition.  A fan does not ask to stand still. */
Test(verdict, a_hold_with_less_than_the_required_margin_is_noted_and_never_judged)
{
    struct sm_point point = { .output_hz = 30.0, .margin = 20.0 };
    struct sm_result result = { .hold = { .margin = 1.8 } };
    struct fixture f;
    fixture_make(&f);
    const struct sm_note *note = judged(&result, &point, &f, SM_NOTE_HOLD_SHORT);
    cr_assert(note);
    NEAR(note->value[0], 1.8, 0.0);
    NEAR(note->value[1], 15.0, 0.0);
    cr_expect_eq(sm_note_kind(note->id), SM_KIND_NOTE);
    cr_expect_eq(result.verdict, SM_APPROVE);
    given_back(&result);
    result.hold.margin = 15.0;
    cr_expect_not(judged(&result, &point, &f, SM_NOTE_HOLD_SHORT));
    given_back(&result);
    result.hold.margin = -0.1; /* too hot is told instead */
    cr_expect_not(judged(&result, &point, &f, SM_NOTE_HOLD_SHORT));
    given_back(&result);
    result.hold.margin = 1.8;
    f.drive.load.torque = SM_TORQUE_FAN;
    cr_expect_not(judged(&result, &point, &f, SM_NOTE_HOLD_SHORT));
    given_back(&result);
}

/* The first of several points without equilibrium is told as the worst, whatever margins are. */
Test(verdict, the_worst_point_is_the_first_runaway_else_the_smallest_margin)
{
    struct sm_point points[] = {
        { .margin = 5.0 }, { .margin = 3.0 }, { .margin = 4.0 }, { .margin = 3.0 }
    };
    struct sm_result result;
    sm_result_init(&result);
    result.points = points;
    result.n_points = 4;
    margin_gather(&result);
    cr_expect_eq(result.worst_point, 1);
    NEAR(result.margin, 3.0, 0.0);
    cr_expect_not(result.runaway);
    points[2].runaway = points[3].runaway = true;
    margin_gather(&result);
    cr_expect_eq(result.worst_point, 2);
    NEAR(result.margin, 0.0, 0.0);
    cr_expect(result.runaway);
}
