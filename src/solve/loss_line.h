/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A chip's mean loss over an output cycle as a curve over its mean junction temperature, and how
 * far its highest junction is above that mean: read off solutions over sinks held ever hotter.
 *
 * A chip's losses depend on its own junction only, so what leads there (sink, joint, case) does not
 * matter; its ripple over the mean is that of the periodic steady state.
 *
 * Equations: docs/method.md, eq. 17.10. */
#ifndef SM_SOLVE_LOSS_LINE_H
#define SM_SOLVE_LOSS_LINE_H

#include "solve/electrothermal.h"

struct loss_line {
    size_t n;                          /* solutions; 0: no equilibrium anywhere */
    struct curve loss[SM_CHIP_COUNT];  /* W over K */
    struct curve crest[SM_CHIP_COUNT]; /* K over K */
    double hottest[SM_CHIP_COUNT];     /* K  beyond that there is no equilibrium over any sink */
    double lead;                       /* W  per switch */
};

/* Given: chips that electrothermal_prepare() made for the point.  Errors: SM_ERR_MEMORY. */
enum sm_status loss_line_build(struct arena *arena, const struct stage *stage,
                               const struct operating_point *point, struct chip_state *chips,
                               struct loss_line *out);

#endif
