/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/check_curves.h"

#include <math.h>
#include <stdlib.h>

/* Rows of a curve: smooth on paper, and soon computed. */
enum { CURVE_ROWS = 41 };

/* Hz: where the curve over the output frequency begins. */
#define LOWEST_OUTPUT 1.0

/* 1: how far past the layer as applied, and past the thickest one allowed, the curve goes. */
#define PAST_APPLIED 4.0
#define PAST_LIMIT 1.3

/* m: the thinnest layer on the curve, in parts of the one applied. */
#define THINNEST_SHARE 0.1

void check_curves_init(struct check_curves *curves)
{
    *curves = (struct check_curves){ .n_cycles = 0 };
    sm_sweep_init(&curves->frequency);
    sm_sweep_init(&curves->thickness);
}

void check_curves_release(struct check_curves *curves)
{
    for (size_t i = 0; i < curves->n_cycles; i++) {
        sm_cycle_release(&curves->cycles[i]);
    }
    free(curves->cycles);
    sm_sweep_release(&curves->frequency);
    sm_sweep_release(&curves->thickness);
    check_curves_init(curves);
}

static enum sm_status cycles_gather(struct check_curves *curves, const struct sm_case *c,
                                    const struct sm_result *result)
{
    curves->cycles = calloc(result->n_points + 1, sizeof *curves->cycles);
    if (!curves->cycles) {
        return SM_ERR_MEMORY;
    }
    for (size_t i = 0; i < result->n_points; i++) {
        struct sm_cycle *cycle = &curves->cycles[curves->n_cycles++];
        sm_cycle_init(cycle);
        if (sm_cycle(c, result->points[i].output_hz, cycle, NULL) == SM_ERR_MEMORY) {
            return SM_ERR_MEMORY;
        }
    }
    curves->drawn.cycles = curves->cycles;
    curves->drawn.n_cycles = curves->n_cycles;
    return SM_OK;
}

/* From 1 Hz, or the lowest test frequency where that is lower, to the base frequency, or the
 * highest test frequency where that is higher. */
static struct sm_sweep_plan frequency_plan(const struct sm_case *c, const struct sm_result *result)
{
    struct sm_sweep_plan plan = { .over = SM_SWEEP_OUTPUT_FREQUENCY,
                                  .from = LOWEST_OUTPUT,
                                  .to = c->drive->rating.base_frequency,
                                  .steps = CURVE_ROWS,
                                  .logarithmic = true };
    for (size_t i = 0; i < result->n_points; i++) {
        plan.from = fmin(plan.from, result->points[i].output_hz);
        plan.to = fmax(plan.to, result->points[i].output_hz);
    }
    return plan;
}

static struct sm_sweep_plan thickness_plan(const struct sm_result *result)
{
    const struct sm_sweep_quantity *over = sm_sweep_quantity(SM_SWEEP_JOINT_THICKNESS);
    const struct sm_limit *limit = &result->limits[SM_LIMIT_JOINT_THICKNESS];
    const double applied = result->joint.thickness.value;
    const double thickest = limit->state == SM_LIMIT_FOUND
                                ? fmax(PAST_LIMIT * limit->value, PAST_LIMIT * applied)
                                : PAST_APPLIED * applied;
    return (struct sm_sweep_plan){ .over = SM_SWEEP_JOINT_THICKNESS,
                                   .from = fmax(over->low, THINNEST_SHARE * applied),
                                   .to = fmin(over->high, thickest),
                                   .steps = CURVE_ROWS };
}

/* Returned: the sweep, or NULL where it could not be computed. */
static const struct sm_sweep *curve_run(const struct sm_case *c, const struct sm_sweep_plan *plan,
                                        struct sm_sweep *sweep, enum sm_status *status)
{
    *status = sm_sweep(c, plan, sweep, NULL);
    return *status == SM_OK ? sweep : NULL;
}

/* Only where a layer of some thickness enters the result. */
static enum sm_status thickness_gather(const struct sm_case *c, const struct sm_result *result,
                                       struct sm_sweep *sweep, const struct sm_sweep **drawn)
{
    enum sm_status status = SM_OK;
    *drawn = NULL;
    if (result->joint.layer_used && result->joint.thickness.given) {
        const struct sm_sweep_plan plan = thickness_plan(result);
        *drawn = curve_run(c, &plan, sweep, &status);
    }
    return status == SM_ERR_MEMORY ? SM_ERR_MEMORY : SM_OK;
}

static enum sm_status gather(struct check_curves *curves, const struct sm_case *c,
                             const struct sm_result *result)
{
    enum sm_status status = cycles_gather(curves, c, result);
    if (status != SM_OK) {
        return status;
    }
    const struct sm_sweep_plan plan = frequency_plan(c, result);
    curves->drawn.frequency = curve_run(c, &plan, &curves->frequency, &status);
    if (status == SM_ERR_MEMORY) {
        return status;
    }
    return thickness_gather(c, result, &curves->thickness, &curves->drawn.thickness);
}

static enum sm_status told(enum sm_status status, struct sm_faults *faults)
{
    return status == SM_OK ? SM_OK : sm_fault_add(faults, status, NULL, "out of memory");
}

enum sm_status check_curves_thickness(const struct sm_case *c, const struct sm_result *result,
                                      struct sm_sweep *sweep, const struct sm_sweep **drawn,
                                      struct sm_faults *faults)
{
    return told(thickness_gather(c, result, sweep, drawn), faults);
}

enum sm_status check_curves_gather(struct check_curves *curves, const struct sm_case *c,
                                   const struct sm_result *result, struct sm_faults *faults)
{
    return told(gather(curves, c, result), faults);
}
