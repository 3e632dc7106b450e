/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The data sheet looked through for slips: what the rules are made from.  Each function below warns
 * of what it finds and says nothing else.
 *
 * Equations: docs/method.md, eq. 13.1 to 13.3. */
#ifndef SM_ASSESS_SANITY_H
#define SM_ASSESS_SANITY_H

#include "swapmargin/case.h"
#include "swapmargin/result.h"

/* One module being looked through. */
struct look {
    const struct sm_module *module;
    struct sm_warnings *warnings;
    bool out_of_memory;
};

/* Adds a warning, with the module's file; with line 0 at the line of its key. */
void look_warn(struct look *look, struct sm_warning warning);

/* The same if it is a slip. */
void look_warn_if(struct look *look, bool slip, struct sm_warning warning);

/* y at x of a table: straight lines between its points and beyond them.  n >= 2. */
double look_at(const struct sm_list *x, const struct sm_list *y, double at);

/* The same for energies, which pass through (0, 0); n >= 1. */
double look_energy(const struct sm_list *current, const struct sm_list *energy, double at);

/* sanity_ratings.c */
void look_ratings(struct look *look);
void look_thermal(struct look *look);
void look_mounting(struct look *look);
void look_gate(struct look *look);
/* sanity_curves.c */
void look_conduction(struct look *look);
void look_energies(struct look *look);

#endif
