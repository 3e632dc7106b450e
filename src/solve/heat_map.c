/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/heat_map.h"

#include "load/operating_point.h"

#include <math.h>

enum node_state { NODE_UNKNOWN, NODE_SOLVED, NODE_RUNAWAY };

struct heat_node {
    enum node_state state;
    double heat; /* W */
};

/* Where a value lies between two nodes. */
struct place {
    size_t low;   /* index of the node below */
    double share; /* 1  of the way to the next */
};

static long hz_power(const struct heat_map *map, double hz)
{
    return lround(floor(log(hz / map->drive->rating.base_frequency) / log(HEAT_MAP_HZ)));
}

static double hz_of(const struct heat_map *map, size_t k)
{
    return map->drive->rating.base_frequency * pow(HEAT_MAP_HZ, (double)(map->first_hz + (long)k));
}

static double current_of(const struct heat_map *map, size_t k)
{
    return (double)k * HEAT_MAP_CURRENT * map->drive->rating.output_current;
}

static double kelvin_of(const struct heat_map *map, size_t k)
{
    return map->bounds.t_low + (double)k * HEAT_MAP_KELVIN;
}

/* Nodes from 0 on that hold a whole range, each with one above it. */
static size_t nodes_over(double range, double step)
{
    return (size_t)floor(range / step) + 2;
}

enum sm_status heat_map_open(struct arena *arena, struct arena *scratch, const struct stage *stage,
                             const struct sm_drive *drive, const struct heat_bounds *bounds,
                             struct heat_map *map)
{
    *map = (struct heat_map){
        .arena = arena, .scratch = scratch, .stage = stage, .drive = drive, .bounds = *bounds
    };
    map->first_hz = hz_power(map, bounds->hz_low);
    map->n_hz = (size_t)(hz_power(map, bounds->hz_high) - map->first_hz) + 2;
    map->n_current = nodes_over(bounds->i_high, current_of(map, 1));
    map->n_kelvin = nodes_over(bounds->t_high - bounds->t_low, HEAT_MAP_KELVIN);
    map->columns = arena_bytes(arena, map->n_hz * map->n_current * sizeof(struct heat_node *));
    return arena->failed ? SM_ERR_MEMORY : SM_OK;
}

/* ------------------------------------------------------------------ nodes */

static void node_solve(struct heat_map *map, size_t k_hz, size_t k_current, size_t k_kelvin,
                       struct heat_node *node)
{
    const double held = kelvin_of(map, k_kelvin);
    struct chip_state chips[SM_CHIP_COUNT];
    struct sm_point point;
    if (k_current == 0) { /* no current, no loss */
        *node = (struct heat_node){ NODE_SOLVED, map->stage->path.same_case_heat };
        return;
    }
    const struct operating_point at =
        operating_point_with_current(map->drive, hz_of(map, k_hz), current_of(map, k_current));
    arena_clear(map->scratch);
    if (electrothermal_prepare(map->scratch, map->stage, &at, chips) != SM_OK) {
        map->out_of_memory = true;
        return;
    }
    const bool runaway = electrothermal_try(map->stage, &at, &held, chips, &point);
    *node = (struct heat_node){ runaway ? NODE_RUNAWAY : NODE_SOLVED, point.module_heat };
}

/* NULL when there is no memory or no equilibrium. */
static const struct heat_node *node_at(struct heat_map *map, size_t k_hz, size_t k_current,
                                       size_t k_kelvin)
{
    struct heat_node **column = &map->columns[k_hz * map->n_current + k_current];
    if (!*column)
        *column = arena_bytes(map->arena, map->n_kelvin * sizeof **column);
    if (!*column) {
        map->out_of_memory = true;
        return NULL;
    }
    struct heat_node *node = &(*column)[k_kelvin];
    if (node->state == NODE_UNKNOWN)
        node_solve(map, k_hz, k_current, k_kelvin, node);
    return node->state == NODE_SOLVED ? node : NULL;
}

/* ---------------------------------------------------------------- between */

static struct place place_even(double value, double step)
{
    const double low = floor(value / step);
    return (struct place){ (size_t)low, value / step - low };
}

static struct place place_hz(const struct heat_map *map, double hz)
{
    const size_t low = (size_t)(hz_power(map, hz) - map->first_hz);
    return (struct place){ low, (hz - hz_of(map, low)) / (hz_of(map, low + 1) - hz_of(map, low)) };
}

bool heat_map_at(struct heat_map *map, double hz, double current, double held, double *heat,
                 double *slope)
{
    const struct place f = place_hz(map, hz), i = place_even(current, current_of(map, 1));
    const struct place t = place_even(held - map->bounds.t_low, HEAT_MAP_KELVIN);
    double at[2] = { 0.0, 0.0 }; /* W  at the temperatures below and above */
    for (size_t corner = 0; corner < 8; corner++) {
        const size_t k_f = corner & 1u, k_i = corner >> 1 & 1u, k_t = corner >> 2;
        const double share = (k_f ? f.share : 1.0 - f.share) * (k_i ? i.share : 1.0 - i.share);
        const struct heat_node *node = node_at(map, f.low + k_f, i.low + k_i, t.low + k_t);
        if (!node)
            return false;
        at[k_t] += share * node->heat;
    }
    *heat = (1.0 - t.share) * at[0] + t.share * at[1];
    *slope = (at[1] - at[0]) / HEAT_MAP_KELVIN;
    return true;
}
