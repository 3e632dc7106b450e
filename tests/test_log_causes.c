/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which cause is told when: the rules of docs/method.md, section 18 (common practice). */
#include "assess/log_causes.h"

#include <criterion/criterion.h>
#include <string.h>

static bool told[SM_LOG_CAUSE_COUNT]; /* by any test of a run through all rules */

static struct sm_log_judgement sound(void)
{
    struct sm_log_judgement j = { .asides = NULL };
    j.joint.is.result = j.sink.is.result = SM_LOG_IS_AS_EXPECTED;
    j.joint.rth.value = j.joint.expected = 0.05;
    j.sink.rth.value = j.sink.expected = 0.04;
    j.joint.thickness = sm_given(100e-6);
    j.balance.is.result = j.bus.is.result = j.ripple.is.result = SM_LOG_IS_PASS;
    j.balance.phase[1] = -0.01;
    j.balance.worst = 1;
    j.bus.median = j.bus.expected = 650.0;
    j.ripple.median = j.ripple.expected = 30.0;
    j.ntc.why = SM_LOG_WHY_NO_NTC;
    return j;
}

/* Joint so many times what is expected. */
static struct sm_log_judgement joint_at(double times)
{
    struct sm_log_judgement j = sound();
    j.joint.is.result = times > 1.0 ? SM_LOG_IS_HIGH : SM_LOG_IS_LOW;
    j.joint.rth.value *= times;
    j.joint.thickness.value *= times;
    return j;
}

static struct sm_log_judgement sink_at(double times)
{
    struct sm_log_judgement j = sound();
    j.sink.is.result = times > 1.0 ? SM_LOG_IS_HIGH : SM_LOG_IS_LOW;
    j.sink.rth.value *= times;
    return j;
}

static void find(struct sm_log_judgement *j, enum sm_air air)
{
    const struct sm_drive drive = { .cooling.air = (int)air };
    const struct sm_log_finding *all[] = { &j->joint.is, &j->sink.is, &j->balance.is, &j->bus.is,
                                           &j->ripple.is };
    log_causes_find(&drive, j);
    for (size_t i = 0; i < 5; i++)
        for (size_t k = 0; k < all[i]->n_causes; k++)
            told[all[i]->cause[k]] = true;
}

static enum sm_log_cause_id joint_first(struct sm_log_judgement j)
{
    find(&j, SM_AIR_FORCED);
    cr_assert_gt(j.joint.is.n_causes, 0);
    return j.joint.is.cause[0];
}

static enum sm_log_cause_id sink_first(struct sm_log_judgement j, enum sm_air air)
{
    find(&j, air);
    cr_assert_gt(j.sink.is.n_causes, 0);
    return j.sink.is.cause[0];
}

static struct sm_log_judgement with_ntc(struct sm_log_judgement j, double over_case)
{
    j.ntc.why = SM_LOG_TOLD;
    j.ntc.over_case = sm_given(over_case);
    return j;
}

static void sound_log(void)
{
    struct sm_log_judgement j = sound();
    find(&j, SM_AIR_FORCED);
    cr_expect_eq(j.joint.is.n_causes + j.sink.is.n_causes + j.balance.is.n_causes +
                     j.bus.is.n_causes + j.ripple.is.n_causes,
                 0);
}

static void high_joint(void)
{
    cr_expect_eq(joint_first(joint_at(2.0)), SM_LOG_CAUSE_THICK_LAYER);
    cr_expect_eq(joint_first(with_ntc(joint_at(2.0), 2.0)), SM_LOG_CAUSE_THICK_LAYER);
    cr_expect_eq(joint_first(with_ntc(joint_at(2.0), -2.9)), SM_LOG_CAUSE_THICK_LAYER);
    cr_expect_eq(joint_first(with_ntc(joint_at(2.0), -3.1)), SM_LOG_CAUSE_DRY_SPOT);
    cr_expect_eq(joint_first(joint_at(4.9)), SM_LOG_CAUSE_THICK_LAYER);
    cr_expect_eq(joint_first(joint_at(5.1)), SM_LOG_CAUSE_NOT_SEATED);
    struct sm_log_judgement j = joint_at(5.1);
    j.joint.thickness.given = false;
    cr_expect_eq(joint_first(j), SM_LOG_CAUSE_NOT_SEATED);
    j = joint_at(2.0);
    j.joint.drift = sm_given(0.2);
    cr_expect_eq(joint_first(j), SM_LOG_CAUSE_GROWING);
    j.joint.drift = sm_given(-0.2);
    cr_expect_eq(joint_first(j), SM_LOG_CAUSE_FRESH);
    /* a thermistor that stands for the case cannot be held against it */
    j = with_ntc(joint_at(2.0), -5.0);
    j.joint.from_ntc = true;
    cr_expect_eq(joint_first(j), SM_LOG_CAUSE_THICK_LAYER);
}

/* One case reading cannot tell them apart: all three are named. */
static void undecided_joint(void)
{
    struct sm_log_judgement j = joint_at(2.0);
    find(&j, SM_AIR_FORCED);
    cr_expect_eq(j.joint.is.n_causes, 3);
    cr_expect_eq(j.joint.is.cause[1], SM_LOG_CAUSE_DRY_SPOT);
    cr_expect_eq(j.joint.is.cause[2], SM_LOG_CAUSE_LOOSE_SCREWS);
    struct sm_log_judgement low = joint_at(0.5);
    low.joint.rth.high = 0.01;
    cr_expect_eq(joint_first(low), SM_LOG_CAUSE_CASE_SENSOR);
    low.joint.rth.high = -0.01;
    cr_expect_eq(joint_first(low), SM_LOG_CAUSE_SWAPPED);
    low.sink.is.result = SM_LOG_IS_HIGH;
    low.sink.rth.value *= 1.3;
    cr_expect_eq(sink_first(low, SM_AIR_FORCED), SM_LOG_CAUSE_SWAPPED);
}

static void heatsink(void)
{
    cr_expect_eq(sink_first(sink_at(1.9), SM_AIR_FORCED), SM_LOG_CAUSE_BLOCKED_FINS);
    cr_expect_eq(sink_first(sink_at(2.6), SM_AIR_FORCED), SM_LOG_CAUSE_DEAD_FAN);
    cr_expect_eq(sink_first(sink_at(2.6), SM_AIR_NATURAL), SM_LOG_CAUSE_BLOCKED_FINS);
    cr_expect_eq(sink_first(sink_at(0.7), SM_AIR_FORCED), SM_LOG_CAUSE_SINK_SENSOR_COLD);
    struct sm_log_judgement j = sink_at(1.9);
    find(&j, SM_AIR_FORCED);
    cr_expect_eq(j.joint.is.n_causes, 0);
}

/* Whatever the size: all is read against a thermometer that does not follow. */
static void stuck(void)
{
    struct sm_log_judgement j = joint_at(2.0);
    j.sink.is.result = SM_LOG_IS_HIGH;
    j.sink.rth.value *= 2.0;
    j.sink.stuck = true;
    find(&j, SM_AIR_FORCED);
    cr_expect_eq(j.joint.is.n_causes, 1);
    cr_expect_eq(j.joint.is.cause[0], SM_LOG_CAUSE_SINK_STUCK);
    cr_expect_eq(j.sink.is.n_causes, 1);
    cr_expect_eq(j.sink.is.cause[0], SM_LOG_CAUSE_SINK_STUCK);
    cr_expect_not(j.joint.thickness.given);
    j = sound();
    j.sink.stuck = true;
    find(&j, SM_AIR_FORCED);
    cr_expect_eq(j.joint.is.n_causes + j.sink.is.n_causes, 0);
}

/* Both by like factors: the heat that both rest on. */
static void heat(void)
{
    struct sm_log_judgement j = joint_at(1.5);
    j.sink.is.result = SM_LOG_IS_HIGH;
    j.sink.rth.value *= 1.6;
    cr_expect_eq(joint_first(j), SM_LOG_CAUSE_MORE_HEAT);
    cr_expect_eq(sink_first(j, SM_AIR_FORCED), SM_LOG_CAUSE_MORE_HEAT);
    j.sink.rth.value *= 1.2;
    cr_expect_eq(joint_first(j), SM_LOG_CAUSE_THICK_LAYER);
    j = joint_at(0.7);
    j.sink.is.result = SM_LOG_IS_LOW;
    j.sink.rth.value *= 0.7;
    cr_expect_eq(joint_first(j), SM_LOG_CAUSE_LESS_HEAT);
}

static void electric(void)
{
    struct sm_log_judgement j = sound();
    j.balance.is.result = j.bus.is.result = j.ripple.is.result = SM_LOG_IS_FAIL;
    j.balance.phase[1] = -0.1;
    j.bus.median = 500.0;
    find(&j, SM_AIR_FORCED);
    cr_expect_eq(j.balance.is.cause[0], SM_LOG_CAUSE_WEAK_PHASE);
    cr_expect_eq(j.bus.is.cause[0], SM_LOG_CAUSE_LOW_LINE);
    cr_expect_eq(j.ripple.is.cause[0], SM_LOG_CAUSE_LOST_PHASE);
    j = sound();
    j.balance.is.result = j.bus.is.result = SM_LOG_IS_FAIL;
    j.balance.phase[1] = 0.1;
    j.bus.median = 750.0;
    struct sm_log_judgement none = j; /* no phase is weak where none is below the mean */
    none.balance.phase[1] = 0.0;
    find(&none, SM_AIR_FORCED);
    cr_expect_eq(none.balance.is.cause[0], SM_LOG_CAUSE_STRONG_PHASE);
    j.ripple.median = 60.0; /* nearer to a sound bus all the same */
    find(&j, SM_AIR_FORCED);
    cr_expect_eq(j.balance.is.cause[0], SM_LOG_CAUSE_STRONG_PHASE);
    cr_expect_eq(j.bus.is.cause[0], SM_LOG_CAUSE_HIGH_LINE);
    cr_expect_eq(j.ripple.is.cause[0], SM_LOG_CAUSE_DRY_CAPACITORS);
}

Test(log_causes, nothing_is_named_for_a_sound_log)
{
    sound_log();
}

Test(log_causes, a_high_joint_is_told_apart_by_thermistor_drift_and_size)
{
    high_joint();
    undecided_joint();
}

Test(log_causes, a_high_heatsink_is_told_apart_by_size_and_air)
{
    heatsink();
}

Test(log_causes, joint_and_heatsink_off_by_like_factors_are_a_matter_of_heat)
{
    heat();
}

Test(log_causes, a_heatsink_sensor_that_stands_still_is_the_only_cause)
{
    stuck();
}

Test(log_causes, phases_bus_and_ripple_have_theirs)
{
    electric();
}

Test(log_causes, every_row_of_the_table_is_told_by_some_log)
{
    memset(told, 0, sizeof told);
    high_joint();
    undecided_joint();
    heatsink();
    heat();
    stuck();
    electric();
    for (int i = 0; i < SM_LOG_CAUSE_COUNT; i++)
        cr_expect(told[i], "row %d of log_causes.def", i + 1);
}
