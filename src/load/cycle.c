/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/cycle.h"

#include "device/segment.h"

#include <math.h>

/* ---------------------------------------------------------- the losses */

/* The tables while they are filled: first with what the device has at each current, then with what
 * the load makes of it. */
struct tables {
    double *loss[LOSS_COUNT]; /* V and J, then W */
    double *total, *slope;
};

static bool tables_allocate(struct arena *arena, size_t n_knots, size_t n_nodes,
                            struct tables *tables)
{
    for (size_t m = 0; m < LOSS_COUNT; m++)
        tables->loss[m] = arena_doubles(arena, n_knots * n_nodes);
    tables->total = arena_doubles(arena, n_knots * n_nodes);
    tables->slope = arena_doubles(arena, (n_knots - 1) * n_nodes);
    return !arena->failed;
}

static void knot_losses(const struct cycle *cycle, size_t knot, const double *switching,
                        const struct tables *tables)
{
    double *conduction = &tables->loss[LOSS_CONDUCTION][knot * cycle->n_nodes];
    double *first = &tables->loss[LOSS_FIRST][knot * cycle->n_nodes];
    double *second = &tables->loss[LOSS_SECOND][knot * cycle->n_nodes];
    double *total = &tables->total[knot * cycle->n_nodes];
    for (size_t j = 0; j < cycle->n_nodes; j++) {
        conduction[j] *= cycle->duty[j] * cycle->current[j];
        first[j] *= switching[j];
        second[j] *= switching[j];
        total[j] = conduction[j] + first[j] + second[j];
    }
}

static void losses_build(struct arena *arena, const struct device *device, const double *switching,
                         struct cycle *cycle)
{
    const size_t n = cycle->n_nodes;
    struct tables tables;
    if (!tables_allocate(arena, cycle->n_knots, n, &tables))
        return;
    device_voltage_at_knots(device, cycle->current, n, tables.loss[LOSS_CONDUCTION]);
    for (size_t m = 0; m < ENERGY_COUNT; m++)
        device_energy_at_knots(device, (enum energy_kind)m, cycle->current, n,
                               tables.loss[LOSS_FIRST + m]);
    for (size_t k = 0; k < cycle->n_knots; k++)
        knot_losses(cycle, k, switching, &tables);
    for (size_t k = 0; k + 1 < cycle->n_knots; k++)
        for (size_t q = k * n; q < (k + 1) * n; q++)
            tables.slope[q] = segment_slope(cycle->t_knot, k, tables.total[q], tables.total[q + n]);
    for (size_t m = 0; m < LOSS_COUNT; m++)
        cycle->loss[m] = tables.loss[m];
    cycle->total = tables.total;
    cycle->slope = tables.slope;
}

static const double *duty_of(struct arena *arena, enum sm_chip_kind kind,
                             const struct panels *panels)
{
    if (kind == SM_IGBT)
        return panels->duty;
    double *duty = arena_doubles(arena, panels->n_nodes);
    for (size_t j = 0; duty && j < panels->n_nodes; j++)
        duty[j] = 1.0 - panels->duty[j];
    return duty;
}

struct cycle cycle_build(struct arena *arena, const struct device *device,
                         const struct panels *panels)
{
    struct cycle cycle = { .n_panels = panels->n_panels,
                           .n_nodes = panels->n_nodes,
                           .width = panels->width,
                           .psi = panels->psi,
                           .current = panels->current,
                           .weight = panels->weight,
                           .duty = duty_of(arena, device->kind, panels),
                           .n_knots = device->n_knots,
                           .t_knot = device->t_knot };
    if (cycle.duty)
        losses_build(arena, device, panels->switching, &cycle);
    return cycle;
}

/* ---------------------------------------------------------- evaluation */

double cycle_mean(const struct cycle *cycle, const double *values)
{
    double sum = 0.0;
    for (size_t j = 0; j < cycle->n_nodes; j++)
        sum += cycle->weight[j] * values[j];
    return sum;
}

double cycle_rms_current(const struct cycle *cycle)
{
    double sum = 0.0;
    for (size_t j = 0; j < cycle->n_nodes; j++)
        sum += cycle->weight[j] * cycle->duty[j] * cycle->current[j] * cycle->current[j];
    return sqrt(sum);
}

void cycle_mean_losses(const struct cycle *cycle, const double *t, double mean[LOSS_COUNT])
{
    const size_t n = cycle->n_nodes;
    for (size_t m = 0; m < LOSS_COUNT; m++)
        mean[m] = 0.0;
    for (size_t j = 0; j < n; j++) {
        const size_t k = segment_of(cycle->t_knot, cycle->n_knots, t[j]);
        const double share = segment_value(cycle->t_knot, k, 0.0, 1.0, t[j]);
        for (size_t m = 0; m < LOSS_COUNT; m++) {
            const double low = cycle->loss[m][k * n + j], high = cycle->loss[m][(k + 1) * n + j];
            mean[m] += cycle->weight[j] * (low + share * (high - low));
        }
    }
}

struct mean_loss cycle_losses(const struct cycle *cycle, double factor, const double *t, double *p,
                              double *dp)
{
    const double *t_knot = cycle->t_knot, *weight = cycle->weight;
    double loss[PANEL_NODES] = { 0.0 }, slope[PANEL_NODES] = { 0.0 };
    for (size_t j = 0; j < cycle->n_nodes; j++) {
        const size_t k = segment_of(t_knot, cycle->n_knots, t[j]);
        const size_t q = k * cycle->n_nodes + j;
        dp[j] = factor * cycle->slope[q];
        p[j] = factor * cycle->total[q] + dp[j] * (t[j] - t_knot[k]);
        loss[j % PANEL_NODES] += weight[j] * p[j];
        slope[j % PANEL_NODES] += weight[j] * dp[j];
    }
    return (struct mean_loss){ lanes_sum(loss), lanes_sum(slope) };
}
