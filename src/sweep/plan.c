/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sweep/plan.h"

#include "thermal/heat_path.h"

#include <math.h>
#include <string.h>

/* 1: digits of a typed value; as many as any report shows. */
#define TYPED_DIGITS 10

/* 1: a bound typed in another unit comes out a rounding error away from the bound in SI. */
#define BOUND_TOLERANCE 1e-9

const struct sm_sweep_quantity *sm_sweep_quantity(enum sm_sweep_over over)
{
    static const struct sm_sweep_quantity rows[SM_SWEEP_COUNT] = {
#define SWEEP(id, name, dimension, unit, low, high, head, title)                                   \
    [SM_SWEEP_##id] = { name, SM_DIM_##dimension, unit, low, high, head, title },
#include "swapmargin/sweep.def"
#undef SWEEP
    };
    return &rows[over];
}

struct typed plan_typed(enum sm_sweep_over over, double si)
{
    const char *unit = sm_sweep_quantity(over)->unit;
    struct typed typed = { "" };
    double shown = si;
    (void)sm_quantity_to_unit(si, unit, &shown);
    sm_number_format(typed.text, sizeof typed.text, shown, TYPED_DIGITS);
    const size_t length = strlen(typed.text);
    if (length + strlen(unit) + 2 <= sizeof typed.text) {
        typed.text[length] = ' ';
        memcpy(typed.text + length + 1, unit, strlen(unit) + 1);
    }
    return typed;
}

/* ------------------------------------------------------------------ rules */

static struct sm_place place(const char *what)
{
    return (struct sm_place){ .file = "swapmargin", .key = what };
}

static double highest(const struct sm_case *c, enum sm_sweep_over over)
{
    const double high = sm_sweep_quantity(over)->high;
    return over == SM_SWEEP_AMBIENT ? fmin(high, c->module->tvj_op_max) : high;
}

static enum sm_status range_check(const struct sm_case *c, enum sm_sweep_over over,
                                  const char *what, double value, struct sm_faults *faults)
{
    const double low = sm_sweep_quantity(over)->low, high = highest(c, over);
    if (value >= low - BOUND_TOLERANCE * low && value <= high + BOUND_TOLERANCE * high)
        return SM_OK;
    const struct sm_place at = place(what);
    return sm_fault_add(faults, SM_ERR_RANGE, &at, "'%s' is out of range; expected %s to %s",
                        plan_typed(over, value).text, plan_typed(over, low).text,
                        plan_typed(over, high).text);
}

static enum sm_status ends_check(const struct sm_case *c, const struct sm_sweep_plan *plan,
                                 struct sm_faults *faults)
{
    const enum sm_status from = range_check(c, plan->over, "--from", plan->from, faults);
    const enum sm_status to = range_check(c, plan->over, "--to", plan->to, faults);
    if (from != SM_OK || to != SM_OK)
        return SM_ERR_RANGE;
    if (plan->from < plan->to)
        return SM_OK;
    const struct sm_place at = place("--to");
    return sm_fault_add(
        faults, SM_ERR_VALUE, &at, "'%s' is %s where the sweep begins; expected a value above '%s'",
        plan_typed(plan->over, plan->to).text, plan->to < plan->from ? "below" : "the same as",
        plan_typed(plan->over, plan->from).text);
}

static enum sm_status steps_check(const struct sm_sweep_plan *plan, struct sm_faults *faults)
{
    if (plan->steps >= SM_SWEEP_FEWEST && plan->steps <= SM_SWEEP_MOST)
        return SM_OK;
    const struct sm_place at = place("--steps");
    return sm_fault_add(faults, SM_ERR_RANGE, &at, "'%zu' is out of range; expected %d to %d",
                        plan->steps, SM_SWEEP_FEWEST, SM_SWEEP_MOST);
}

static enum sm_status spacing_check(const struct sm_sweep_plan *plan, struct sm_faults *faults)
{
    if (!plan->logarithmic || plan->over != SM_SWEEP_AMBIENT)
        return SM_OK;
    const struct sm_place at = place("--spacing");
    return sm_fault_add(faults, SM_ERR_VALUE, &at,
                        "equal factors mean nothing for a temperature; expected even spacing");
}

/* A sweep in which every row is the same would look like an answer. */
static enum sm_status joint_check(const struct sm_case *c, const struct sm_sweep_plan *plan,
                                  struct sm_faults *faults)
{
    if (plan->over != SM_SWEEP_JOINT_THICKNESS || joint_of(&c->drive->joint, c->module).layer_used)
        return SM_OK;
    const struct sm_place at = { .file = c->module->file };
    return sm_fault_add(
        faults, SM_ERR_VALUE, &at,
        "the thickness of the joint changes nothing here: rth_cs is printed without "
        "the layer it holds for; expected rth_cs_conductivity and "
        "rth_cs_thickness beside it");
}

enum sm_status plan_check(const struct sm_case *c, const struct sm_sweep_plan *plan,
                          struct sm_faults *faults)
{
    const enum sm_status all[] = { ends_check(c, plan, faults), steps_check(plan, faults),
                                   spacing_check(plan, faults), joint_check(c, plan, faults) };
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
        if (all[i] != SM_OK)
            return all[i];
    return SM_OK;
}

/* ----------------------------------------------------------------- values */

static double value_at(const struct sm_sweep_plan *plan, size_t i)
{
    const double share = (double)i / (double)(plan->steps - 1);
    if (plan->logarithmic)
        return plan->from * pow(plan->to / plan->from, share);
    return plan->from + share * (plan->to - plan->from);
}

enum sm_status plan_values(const struct sm_sweep_plan *plan, double *values,
                           struct sm_faults *faults)
{
    const enum sm_dimension dimension = sm_sweep_quantity(plan->over)->dimension;
    for (size_t i = 0; i < plan->steps; i++) {
        const struct sm_place at = place("--steps");
        enum sm_status status = SM_OK;
        values[i] = i == 0 ? plan->from : plan->to;
        if (i > 0 && i + 1 < plan->steps)
            status = sm_quantity_parse(plan_typed(plan->over, value_at(plan, i)).text, dimension,
                                       &at, &values[i], faults);
        if (status != SM_OK)
            return status;
        if (i > 0 && !(values[i] > values[i - 1]))
            return sm_fault_add(faults, SM_ERR_VALUE, &at,
                                "%zu rows from %s to %s lie nearer to each other than %d digits "
                                "tell; expected fewer, or a wider range",
                                plan->steps, plan_typed(plan->over, plan->from).text,
                                plan_typed(plan->over, plan->to).text, TYPED_DIGITS);
    }
    return SM_OK;
}
