/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Junction temperatures over one output cycle: the curve behind highest, mean and swing of a point.
 * Pure and re-entrant as the engine is. */
#ifndef SWAPMARGIN_CYCLE_H
#define SWAPMARGIN_CYCLE_H

#include "swapmargin/case.h"
#include "swapmargin/error.h"
#include "swapmargin/result.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* The upper switch of one leg.  The IGBT carries the half cycle from 0 to pi, in which the phase
 * current is positive, the diode the other; each cools freely in the half that it does not
 * carry. */
struct sm_cycle {
    double output_hz;
    bool runaway;               /* no equilibrium: n is 0 */
    size_t n;                   /* instants, closer together where the loss changes fast */
    double *phase;              /* rad  [n], owned; rises from 0 to 2 pi */
    double *tvj[SM_CHIP_COUNT]; /* K    [n], owned */
    double lowest[SM_CHIP_COUNT], highest[SM_CHIP_COUNT]; /* K  between the instants too */
};

void sm_cycle_init(struct sm_cycle *cycle);
/* Frees the contents; safe twice. */
void sm_cycle_release(struct sm_cycle *cycle);

/* The periodic steady state at the test load, at any output frequency.
 * Given: c from sm_case_assemble(); output_hz > 0; out from sm_cycle_init(), filled on SM_OK and
 * left as after init otherwise.
 * Valid: where this state governs; below 1 Hz the zero-speed hold may be the worse.
 * Errors: SM_ERR_CONVERGE, SM_ERR_MEMORY; one fault is added. */
enum sm_status sm_cycle(const struct sm_case *c, double output_hz, struct sm_cycle *out,
                        struct sm_faults *faults);

#ifdef __cplusplus
}
#endif

#endif
