/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The heat of one module over output frequency, current and a held temperature, for the many
 * readings of a log: solved at the nodes of a grid when one is first asked for, straight lines
 * between them.
 *
 * Equations: docs/method.md, eq. 18.1. */
#ifndef SM_SOLVE_HEAT_MAP_H
#define SM_SOLVE_HEAT_MAP_H

#include "base/arena.h"
#include "solve/electrothermal.h"

/* What will be asked for. */
struct heat_bounds {
    double hz_low, hz_high; /* Hz  > 0 */
    double i_high;          /* A   rms, whole drive, >= 0 */
    double t_low, t_high;   /* K */
};

/* How steep the nodes lie: straight lines between them are within 0.1 % of the heat
 * (tests/test_heat_map.c). */
#define HEAT_MAP_HZ 1.02      /* 1  of the frequency before; base_frequency is a node */
#define HEAT_MAP_CURRENT 0.04 /* 1  of output_current */
#define HEAT_MAP_KELVIN 5.0   /* K */

struct heat_map {
    struct arena *arena, *scratch;
    const struct stage *stage;
    const struct sm_drive *drive;
    struct heat_bounds bounds;
    long first_hz; /* power of HEAT_MAP_HZ of the first node */
    size_t n_hz, n_current, n_kelvin;
    /* [n_hz * n_current]: of all held temperatures, NULL until asked for */
    struct heat_node **columns;
    bool out_of_memory;
};

/* Given: stage, borrowed; its heat path says what is held, for its own sink counts no more: with no
 * joint in it the case, else the sink.  Nodes live in `arena`; `scratch` is cleared by each
 * solution.
 * Errors: SM_ERR_MEMORY. */
enum sm_status heat_map_open(struct arena *arena, struct arena *scratch, const struct stage *stage,
                             const struct sm_drive *drive, const struct heat_bounds *bounds,
                             struct heat_map *map);

/* Heat of one module, W, and how it follows the held temperature, W/K.  Given: a place within the
 * bounds.  Returned: false when there is no equilibrium near, or no memory. */
bool heat_map_at(struct heat_map *map, double hz, double current, double held, double *heat,
                 double *slope);

#endif
