/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Losses and temperatures together, in the periodic steady state of one operating point: what it
 * takes to get there, and what is told of it.  The loop itself: solve/equilibrium.h. */
#ifndef SM_SOLVE_ELECTROTHERMAL_H
#define SM_SOLVE_ELECTROTHERMAL_H

#include "base/arena.h"
#include "device/device.h"
#include "load/operating_point.h"
#include "swapmargin/case.h"
#include "solve/equilibrium.h"
#include "swapmargin/result.h"
#include "thermal/heat_path.h"

/* What stays the same for all operating points of one case. */
struct stage {
    struct device device[SM_CHIP_COUNT];
    const struct sm_list *foster_r[SM_CHIP_COUNT], *foster_tau[SM_CHIP_COUNT];
    struct heat_path path;
    double lead_resistance; /* ohm  per switch */
    double tvj_op_max;      /* K */
    double loss_factor;     /* 1    on the chips' losses; 1 as a rule */
    double widest;          /* rad  panels; PANELS_WIDEST as a rule */
};

/* Both chips ready for one operating point, cold: what costs the most.  chips: [SM_CHIP_COUNT],
 * valid as long as the arena and the stage's devices.  Errors: SM_ERR_MEMORY. */
enum sm_status electrothermal_prepare(struct arena *arena, const struct stage *stage,
                                      const struct operating_point *point,
                                      struct chip_state *chips);

/* Given: chips that electrothermal_prepare() made for this point and this stage's devices; path,
 * loss_factor and tvj_op_max of the stage may have changed since.  The search starts at the
 * temperatures that the chips have: those of the last solution; after a runaway they are cold.
 * t_sink NULL as a rule, or the held sink temperature, K.
 * Returned: *out filled from the operating point and the solution; out->runaway when there is no
 * equilibrium (then the point's watts and temperatures are 0); in chips the nodes behind it.
 * Errors: SM_ERR_CONVERGE. */
enum sm_status electrothermal_settle(const struct stage *stage, const struct operating_point *point,
                                     const double *t_sink, struct chip_state *chips,
                                     struct sm_point *out);

/* The same for a search that comes near the edge of equilibrium on its way: there the iteration may
 * not settle, which is taken for no equilibrium.  Returned: out->runaway. */
bool electrothermal_try(const struct stage *stage, const struct operating_point *point,
                        const double *t_sink, struct chip_state *chips, struct sm_point *out);

/* The heat alone, W into the sink held at t_sink, for who marches the sink: a turn or two, and
 * nothing told.  Returned: false when there is no equilibrium, as electrothermal_try() sees it. */
bool electrothermal_heat(const struct stage *stage, double t_sink, struct chip_state *chips,
                         double *heat);

/* One after the other.  chips NULL, or [SM_CHIP_COUNT]. */
enum sm_status electrothermal_solve(struct arena *arena, const struct stage *stage,
                                    const struct operating_point *point, const double *t_sink,
                                    struct sm_point *out, struct chip_state *chips);

/* Margin and worst chip of a point, from those of its chips. */
void point_margin(struct sm_point *point);

/* K: by how much the hottest junction is too hot; without equilibrium as if it stood where runaway
 * begins. */
double point_excess(const struct sm_point *point, double tvj_op_max);

/* W  per switch, in the leads, from the rms currents of its chips, A. */
double point_lead_heat(const struct stage *stage, double i_igbt, double i_diode);

#endif
