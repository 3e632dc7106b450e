/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/mean_network.h"

#include <math.h>

enum { STEP_CAP = 60 }; /* turns for one step; 4 are usual */

/* K: how exact the temperatures in the middle of a step are. */
#define STEP_ACCURACY 1e-8

enum sm_status mean_network_open(struct arena *arena, const struct heat_network_plan *plan,
                                 struct mean_network *out)
{
    *out = (struct mean_network){ .t_ambient = plan->path->t_base };
    const enum sm_status status = heat_network_build(arena, plan, &out->heat);
    if (status != SM_OK)
        return status;
    out->power = arena_doubles(arena, out->heat.net.n);
    out->drive = arena_doubles(arena, out->heat.net.n);
    out->trial = arena_doubles(arena, out->heat.net.n);
    out->state = arena_doubles(arena, out->heat.net.n);
    return arena->failed ? SM_ERR_MEMORY : SM_OK;
}

/* What drives the modes when each chip loses so much. */
static void drive_of(struct mean_network *network, double lead, const double loss[SM_CHIP_COUNT])
{
    heat_network_constant(&network->heat, lead, network->power);
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        heat_network_loss(&network->heat, 0, (enum sm_chip_kind)k, loss[k], network->power);
    network_drive(&network->heat.net, network->power, network->drive);
}

static void junctions_of(const struct mean_network *network, const double *state,
                         double t[SM_CHIP_COUNT])
{
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        t[k] = network->t_ambient + network_rise_at(&network->heat.net, state, network->power,
                                                    network->heat.junction[0][k]);
}

void mean_network_settle(struct mean_network *network, const struct sm_point *point)
{
    const double loss[SM_CHIP_COUNT] = { point->chip[SM_IGBT].total, point->chip[SM_DIODE].total };
    drive_of(network, point->lead, loss);
    network_settle(&network->heat.net, network->drive, network->state);
}

/* One step, tried until the losses fit the temperatures in its middle. */
static bool step_once(struct mean_network *network, const struct network_step *step,
                      const struct loss_line *line)
{
    double start[SM_CHIP_COUNT], middle[SM_CHIP_COUNT], end[SM_CHIP_COUNT];
    junctions_of(network, network->state, start);
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        middle[k] = start[k];
    for (int turn = 0; turn < STEP_CAP; turn++) {
        double loss[SM_CHIP_COUNT], moved = 0.0;
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            if (!(middle[k] <= line->hottest[k]))
                return false;
            loss[k] = curve_at(&line->loss[k], middle[k]);
        }
        drive_of(network, line->lead, loss);
        for (size_t i = 0; i < network->heat.net.n_modes; i++)
            network->trial[i] = network->state[i];
        network_advance(&network->heat.net, step, network->drive, network->trial);
        junctions_of(network, network->trial, end);
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            const double next = 0.5 * (start[k] + end[k]);
            moved = fmax(moved, fabs(next - middle[k]));
            middle[k] = next;
        }
        if (moved < STEP_ACCURACY)
            break;
    }
    for (size_t i = 0; i < network->heat.net.n_modes; i++)
        network->state[i] = network->trial[i];
    return true;
}

bool mean_network_march(struct mean_network *network, const struct network_step *step, size_t n,
                        const struct loss_line *line)
{
    bool goes_on = line->n > 0;
    for (size_t k = 0; goes_on && k < n; k++)
        goes_on = step_once(network, step, line);
    return goes_on;
}

struct sm_stand mean_network_stand(struct mean_network *network, const struct loss_line *line)
{
    const struct heat_network *heat = &network->heat;
    struct sm_stand stand = { .tvj_max = 0.0 };
    double t[SM_CHIP_COUNT], loss[SM_CHIP_COUNT];
    junctions_of(network, network->state, t);
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        loss[k] = curve_at(&line->loss[k], t[k]);
    drive_of(network, line->lead, loss);
    stand.t_sink = network->t_ambient +
                   network_rise_at(&heat->net, network->state, network->power, heat->sink);
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        stand.t_case[k] =
            network->t_ambient +
            network_rise_at(&heat->net, network->state, network->power, heat->case_under[0][k]);
        stand.tvj_max = fmax(stand.tvj_max, t[k] + curve_at(&line->crest[k], t[k]));
    }
    return stand;
}
