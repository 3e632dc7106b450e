/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_causes.h"

#include <math.h>

/* K: a thermistor is cooler than the case only where the base is warm unevenly; its own tolerance
 * and the thermometer's are about 2 K and 1 K (common practice). */
#define COOLER 3.0

/* m: no layer under tightened screws is thicker (common practice). */
#define THICKEST 500e-6

/* 1: the same where the thickness is not known, of the expected joint (common practice). */
#define HIGHEST 5.0

/* 1: a heatsink made for a fan costs three to five times as much without; a blocked one up to twice
 * (common practice). */
#define NO_FAN 2.5

/* 1: joint and heatsink that are off by factors this near to each other share a cause. */
#define ALIKE 0.15

/* 1: a sound bus that ripples this much more than computed has lost capacitance (common practice:
 * half of it). */
#define WORN 1.8

static void add(struct sm_log_finding *finding, enum sm_log_cause_id cause)
{
    if (finding->n_causes < SM_LOG_CAUSES)
        finding->cause[finding->n_causes++] = cause;
}

static void add_all(struct sm_log_finding *finding, const enum sm_log_cause_id *causes, size_t n)
{
    for (size_t i = 0; i < n; i++)
        add(finding, causes[i]);
}

#define ADD(finding, ...)                                                                          \
    do {                                                                                           \
        static const enum sm_log_cause_id causes[] = { __VA_ARGS__ };                              \
        add_all(finding, causes, sizeof causes / sizeof causes[0]);                                \
    } while (0)

/* Joint and heatsink are off the same way by like factors: what both rest on is the heat. */
static bool heat_is_off(const struct sm_log_judgement *j)
{
    if (j->joint.is.result != j->sink.is.result)
        return false;
    const double joint = j->joint.rth.value / j->joint.expected;
    return fabs(j->sink.rth.value / j->sink.expected / joint - 1.0) <= ALIKE;
}

static bool not_seated(const struct sm_log_joint *joint)
{
    return joint->thickness.given ? joint->thickness.value > THICKEST
                                  : joint->rth.value > HIGHEST * joint->expected;
}

static void joint_high(struct sm_log_judgement *j)
{
    struct sm_log_joint *joint = &j->joint;
    const bool ntc = !joint->from_ntc && j->ntc.why == SM_LOG_TOLD && j->ntc.over_case.given;
    if (ntc && j->ntc.over_case.value < -COOLER)
        ADD(&joint->is, SM_LOG_CAUSE_DRY_SPOT, SM_LOG_CAUSE_LOOSE_SCREWS);
    else if (joint->drift.given && joint->drift.value > 0.0)
        ADD(&joint->is, SM_LOG_CAUSE_GROWING, SM_LOG_CAUSE_LOOSE_SCREWS, SM_LOG_CAUSE_DRY_SPOT);
    else if (joint->drift.given)
        ADD(&joint->is, SM_LOG_CAUSE_FRESH, SM_LOG_CAUSE_THICK_LAYER);
    else if (not_seated(joint))
        ADD(&joint->is, SM_LOG_CAUSE_NOT_SEATED, SM_LOG_CAUSE_LOOSE_SCREWS, SM_LOG_CAUSE_DRY_SPOT);
    else if (ntc)
        ADD(&joint->is, SM_LOG_CAUSE_THICK_LAYER, SM_LOG_CAUSE_LOOSE_SCREWS);
    else
        ADD(&joint->is, SM_LOG_CAUSE_THICK_LAYER, SM_LOG_CAUSE_DRY_SPOT, SM_LOG_CAUSE_LOOSE_SCREWS);
}

static bool is_swapped(const struct sm_log_joint *joint)
{
    return joint->is.result == SM_LOG_IS_LOW && joint->rth.high < 0.0;
}

static void joint_causes(struct sm_log_judgement *j)
{
    if (j->joint.is.result == SM_LOG_IS_HIGH)
        joint_high(j);
    else if (is_swapped(&j->joint))
        ADD(&j->joint.is, SM_LOG_CAUSE_SWAPPED);
    else if (j->joint.is.result == SM_LOG_IS_LOW)
        ADD(&j->joint.is, SM_LOG_CAUSE_CASE_SENSOR, SM_LOG_CAUSE_SINK_SENSOR_HOT,
            SM_LOG_CAUSE_THIN_LAYER);
}

static void sink_causes(const struct sm_drive *drive, struct sm_log_sink *sink)
{
    if (sink->is.result == SM_LOG_IS_LOW)
        ADD(&sink->is, SM_LOG_CAUSE_SINK_SENSOR_COLD, SM_LOG_CAUSE_AMBIENT_HOT,
            SM_LOG_CAUSE_LESS_OTHER_HEAT);
    if (sink->is.result != SM_LOG_IS_HIGH)
        return;
    if (drive->cooling.air == SM_AIR_NATURAL)
        ADD(&sink->is, SM_LOG_CAUSE_BLOCKED_FINS, SM_LOG_CAUSE_WARM_INLET);
    else if (sink->rth.value > NO_FAN * sink->expected)
        ADD(&sink->is, SM_LOG_CAUSE_DEAD_FAN, SM_LOG_CAUSE_BLOCKED_FINS, SM_LOG_CAUSE_WARM_INLET);
    else
        ADD(&sink->is, SM_LOG_CAUSE_BLOCKED_FINS, SM_LOG_CAUSE_SLOW_FAN, SM_LOG_CAUSE_WARM_INLET);
}

static void electric_causes(struct sm_log_judgement *j)
{
    if (j->balance.is.result == SM_LOG_IS_FAIL) {
        if (j->balance.phase[j->balance.worst] < 0.0)
            ADD(&j->balance.is, SM_LOG_CAUSE_WEAK_PHASE, SM_LOG_CAUSE_CLAMP);
        else
            ADD(&j->balance.is, SM_LOG_CAUSE_STRONG_PHASE, SM_LOG_CAUSE_CLAMP);
    }
    if (j->bus.is.result == SM_LOG_IS_FAIL)
        add(&j->bus.is,
            j->bus.median < j->bus.expected ? SM_LOG_CAUSE_LOW_LINE : SM_LOG_CAUSE_HIGH_LINE);
    if (j->ripple.is.result == SM_LOG_IS_FAIL)
        ADD(&j->ripple.is, SM_LOG_CAUSE_LOST_PHASE, SM_LOG_CAUSE_DRY_CAPACITORS);
    else if (j->ripple.is.result == SM_LOG_IS_PASS && j->ripple.median > WORN * j->ripple.expected)
        add(&j->ripple.is, SM_LOG_CAUSE_DRY_CAPACITORS);
}

/* What is read against a thermometer that does not follow says nothing of joint and heatsink. */
static void stuck_causes(struct sm_log_judgement *j)
{
    if (j->joint.is.result == SM_LOG_IS_HIGH || j->joint.is.result == SM_LOG_IS_LOW)
        add(&j->joint.is, SM_LOG_CAUSE_SINK_STUCK);
    if (j->sink.is.result == SM_LOG_IS_HIGH || j->sink.is.result == SM_LOG_IS_LOW)
        add(&j->sink.is, SM_LOG_CAUSE_SINK_STUCK);
    j->joint.thickness.given = false;
}

static void thermal_causes(const struct sm_drive *drive, struct sm_log_judgement *judgement)
{
    struct sm_log_finding *joint = &judgement->joint.is, *sink = &judgement->sink.is;
    if (joint->result == SM_LOG_IS_HIGH && heat_is_off(judgement)) {
        add(joint, SM_LOG_CAUSE_MORE_HEAT);
        add(sink, SM_LOG_CAUSE_MORE_HEAT);
    }
    if (joint->result == SM_LOG_IS_LOW && heat_is_off(judgement)) {
        add(joint, SM_LOG_CAUSE_LESS_HEAT);
        add(sink, SM_LOG_CAUSE_LESS_HEAT);
    }
    joint_causes(judgement);
    if (is_swapped(&judgement->joint) && sink->result == SM_LOG_IS_HIGH)
        add(sink, SM_LOG_CAUSE_SWAPPED);
    sink_causes(drive, &judgement->sink);
}

void log_causes_find(const struct sm_drive *drive, struct sm_log_judgement *judgement)
{
    if (judgement->sink.stuck)
        stuck_causes(judgement);
    else
        thermal_causes(drive, judgement);
    electric_causes(judgement);
}
