/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/cycle.h"

#include "base/maths.h"
#include "solve/stage.h"

#include <stdlib.h>

void sm_cycle_init(struct sm_cycle *cycle)
{
    *cycle = (struct sm_cycle){ .n = 0 };
}

void sm_cycle_release(struct sm_cycle *cycle)
{
    free(cycle->phase);
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        free(cycle->tvj[k]);
    sm_cycle_init(cycle);
}

/* Instants of half a cycle, both ends counted: a panel's last node is the next one's first. */
static size_t half_instants(size_t n_panels)
{
    return (PANEL_NODES - 1) * n_panels + 1;
}

static size_t instant_node(size_t instant)
{
    return instant == 0 ? 0 : instant + (instant - 1) / (PANEL_NODES - 1);
}

static enum sm_status cycle_reserve(struct sm_cycle *cycle, size_t n_panels)
{
    cycle->n = 2 * half_instants(n_panels) - 1;
    cycle->phase = calloc(cycle->n, sizeof *cycle->phase);
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        cycle->tvj[k] = calloc(cycle->n, sizeof *cycle->tvj[k]);
    return cycle->phase && cycle->tvj[SM_IGBT] && cycle->tvj[SM_DIODE] ? SM_OK : SM_ERR_MEMORY;
}

/* One chip: `from` is the instant at which it begins to conduct, `rest` that at which it ends. */
static void chip_fill(const struct chip_state *chip, double t_case, double output_hz, size_t from,
                      size_t rest, double *tvj)
{
    const size_t half = half_instants(chip->ripple.n_panels);
    for (size_t i = 0; i < half; i++) {
        const size_t node = instant_node(i);
        const double seconds = (chip->cycle.psi[node] + 0.5 * PI) / (2.0 * PI * output_hz);
        tvj[rest + i] = t_case + ripple_after(&chip->ripple, chip->p, seconds);
    }
    for (size_t i = 0; i < half; i++)
        tvj[from + i] = t_case + chip->rise[instant_node(i)];
}

static void cycle_fill(const struct chip_state *chips, const struct sm_point *point,
                       struct sm_cycle *cycle)
{
    const size_t half = half_instants(chips[SM_IGBT].ripple.n_panels);
    for (size_t i = 0; i < half; i++) {
        const double phase = chips[SM_IGBT].cycle.psi[instant_node(i)] + 0.5 * PI;
        cycle->phase[i] = phase;
        cycle->phase[half - 1 + i] = PI + phase;
    }
    chip_fill(&chips[SM_IGBT], point->chip[SM_IGBT].t_case, point->output_hz, 0, half - 1,
              cycle->tvj[SM_IGBT]);
    chip_fill(&chips[SM_DIODE], point->chip[SM_DIODE].t_case, point->output_hz, half - 1, 0,
              cycle->tvj[SM_DIODE]);
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        cycle->lowest[k] = point->chip[k].tvj_min;
        cycle->highest[k] = point->chip[k].tvj_max;
    }
}

static enum sm_status cycle_solve(struct arena *arena, const struct sm_case *c, double output_hz,
                                  struct sm_cycle *out)
{
    const struct stage stage = stage_build(arena, c);
    const struct operating_point at = operating_point_at(c->drive, output_hz, c->drive->test.load);
    struct chip_state chips[SM_CHIP_COUNT];
    struct sm_point point;
    if (arena->failed)
        return SM_ERR_MEMORY;
    enum sm_status status = electrothermal_solve(arena, &stage, &at, NULL, &point, chips);
    if (status != SM_OK)
        return status;
    out->output_hz = output_hz;
    out->runaway = point.runaway;
    if (point.runaway)
        return SM_OK;
    status = cycle_reserve(out, chips[SM_IGBT].ripple.n_panels);
    if (status == SM_OK)
        cycle_fill(chips, &point, out);
    return status;
}

enum sm_status sm_cycle(const struct sm_case *c, double output_hz, struct sm_cycle *out,
                        struct sm_faults *faults)
{
    struct arena arena;
    arena_init(&arena);
    const enum sm_status status = cycle_solve(&arena, c, output_hz, out);
    arena_release(&arena);
    if (status == SM_OK)
        return SM_OK;
    sm_cycle_release(out);
    const struct sm_place place = { .file = c->module->file };
    return sm_fault_add(faults, status, &place, "at %g Hz: %s", output_hz, sm_status_text(status));
}
