/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/root.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>
#include <math.h>
#include <stdbool.h>

enum { ROOT_CAP = 100 }; /* evaluations; 6 are usual, a jump takes some 25 */

/* The search and the best place so far. */
struct root_state {
    const struct root_search *search;
    double x, f;
    bool lost; /* f was not finite */
};

static double evaluate(double x, void *context)
{
    struct root_state *state = context;
    const struct root_search *s = state->search;
    if (x <= s->low) /* the ends are known: the solver asks for them first */
        return s->f_low;
    if (x >= s->high)
        return s->f_high;
    const double f = s->f(x, s->context);
    if (!isfinite(f)) { /* told here: the solver's own error handler may end the program */
        state->lost = true;
        return 0.0;
    }
    if (fabs(f) < fabs(state->f)) {
        state->x = x;
        state->f = f;
    }
    return f;
}

static enum sm_status iterate(gsl_root_fsolver *solver, struct root_state *state)
{
    gsl_function excess = { .function = evaluate, .params = state };
    const struct root_search *s = state->search;
    if (gsl_root_fsolver_set(solver, &excess, s->low, s->high) != GSL_SUCCESS)
        return SM_ERR_CONVERGE;
    for (int turn = 0; turn < ROOT_CAP; turn++) {
        const double left = gsl_root_fsolver_x_upper(solver) - gsl_root_fsolver_x_lower(solver);
        if (fabs(state->f) <= s->tolerance || left <= s->width)
            return SM_OK;
        if (gsl_root_fsolver_iterate(solver) != GSL_SUCCESS || state->lost)
            return SM_ERR_CONVERGE;
    }
    return SM_ERR_CONVERGE;
}

enum sm_status root_find(const struct root_search *search, double *x)
{
    const bool low_nearer = fabs(search->f_low) < fabs(search->f_high);
    struct root_state state = { .search = search,
                                .x = low_nearer ? search->low : search->high,
                                .f = low_nearer ? search->f_low : search->f_high };
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    if (!solver)
        return SM_ERR_MEMORY;
    const enum sm_status status = iterate(solver, &state);
    gsl_root_fsolver_free(solver);
    if (status == SM_OK)
        *x = state.x;
    return status;
}
