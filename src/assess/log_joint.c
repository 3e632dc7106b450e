/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_joint.h"

#include "assess/log_joint_error.h"
#include "assess/log_outliers.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_fit.h>
#include <gsl/gsl_multifit.h>
#include <math.h>

/* 1: without cold readings the offset is fitted when the heat of the loaded ones spans this. */
#define SPAN_FOR_OFFSET 2.0

/* 1: loaded readings that a fit needs. */
enum { FEWEST = 5 };

struct joint_work {
    const struct joint_readings *r;
    struct joint_fit *fit;
    double *x, *y;    /* of the loaded readings in use, packed */
    double *residual; /* of every reading in use, packed in the order of time */
    double *scratch;
    double least; /* K  spread of readings */
};

static bool uses(const struct joint_readings *r, size_t i, bool cold)
{
    return r->cold[i] == cold && !r->outlier[i];
}

/* --------------------------------------------------------------- strays */

/* Sets aside cold readings far from their median; the offset is the mean of the rest. */
static void cold_mean(struct joint_work *work)
{
    const struct joint_readings *r = work->r;
    size_t n = 0;
    double sum = 0.0;
    for (size_t i = 0; i < r->n; i++)
        if (r->cold[i])
            work->y[n++] = r->rise[i];
    if (n == 0)
        return;
    const double middle = log_median(work->y, n);
    n = 0;
    for (size_t i = 0; i < r->n; i++)
        if (r->cold[i])
            work->residual[n++] = r->rise[i] - middle;
    const double spread = log_spread(work->residual, n, work->least, work->scratch);
    for (size_t i = 0; i < r->n; i++) {
        if (!r->cold[i])
            continue;
        r->outlier[i] = log_is_outlier(r->rise[i] - middle, spread, n);
        if (r->outlier[i])
            continue;
        sum += r->rise[i];
        work->fit->cold++;
    }
    work->fit->offset = sum / (double)work->fit->cold;
    work->fit->offset_from = SM_LOG_OFFSET_COLD;
}

/* Loaded readings in use, packed: heat, and rise less the offset. */
static size_t pack_loaded(const struct joint_work *work)
{
    const struct joint_readings *r = work->r;
    size_t n = 0;
    for (size_t i = 0; i < r->n; i++)
        if (uses(r, i, false)) {
            work->x[n] = r->power[i];
            work->y[n++] = r->rise[i] - work->fit->offset;
        }
    return n;
}

/* Whether the loaded readings can tell the offset, when no cold ones do. */
static void choose_offset(const struct joint_work *work, size_t n)
{
    if (work->fit->offset_from == SM_LOG_OFFSET_COLD)
        return;
    work->fit->offset_from = SM_LOG_OFFSET_NONE;
    double least = work->x[0], most = work->x[0];
    for (size_t i = 1; i < n; i++) {
        least = fmin(least, work->x[i]);
        most = fmax(most, work->x[i]);
    }
    if (most >= SPAN_FOR_OFFSET * least)
        work->fit->offset_from = SM_LOG_OFFSET_FITTED;
}

/* Slope and offset that strays hardly move: Tukey's biweight. */
static enum sm_status robust_line(const struct joint_work *work, size_t n, double line[2])
{
    const size_t p = work->fit->offset_from == SM_LOG_OFFSET_FITTED ? 2 : 1;
    gsl_multifit_robust_workspace *w =
        gsl_multifit_robust_alloc(gsl_multifit_robust_bisquare, n, p);
    gsl_matrix *x = gsl_matrix_alloc(n, p), *covariance = gsl_matrix_alloc(p, p);
    gsl_vector *c = gsl_vector_alloc(p);
    enum sm_status status = w && x && covariance && c ? SM_OK : SM_ERR_MEMORY;
    if (status == SM_OK) {
        for (size_t i = 0; i < n; i++) {
            gsl_matrix_set(x, i, 0, work->x[i]);
            if (p == 2)
                gsl_matrix_set(x, i, 1, 1.0);
        }
        const gsl_vector_const_view y = gsl_vector_const_view_array(work->y, n);
        /* what it reached at its cap of turns is good enough to tell strays by */
        (void)gsl_multifit_robust(x, &y.vector, c, covariance, w);
        line[0] = gsl_vector_get(c, 0);
        line[1] = p == 2 ? gsl_vector_get(c, 1) : 0.0;
    }
    gsl_vector_free(c);
    gsl_matrix_free(covariance);
    gsl_matrix_free(x);
    if (w) /* GSL's other frees take NULL, this one does not */
        gsl_multifit_robust_free(w);
    return status;
}

static void set_aside(const struct joint_work *work, size_t n, const double line[2])
{
    const struct joint_readings *r = work->r;
    for (size_t k = 0; k < n; k++)
        work->residual[k] = work->y[k] - line[0] * work->x[k] - line[1];
    const double spread = log_spread(work->residual, n, work->least, work->scratch);
    size_t k = 0;
    for (size_t i = 0; i < r->n; i++)
        if (!r->cold[i])
            r->outlier[i] = log_is_outlier(work->residual[k++], spread, n);
}

/* ------------------------------------------------------------- estimate */

/* Least squares on what is left. */
static void least_squares(const struct joint_work *work, size_t n, double *slope)
{
    double c00, c01, c11, chi2;
    if (work->fit->offset_from == SM_LOG_OFFSET_FITTED)
        (void)gsl_fit_linear(work->x, 1, work->y, 1, n, &work->fit->offset, slope, &c00, &c01, &c11,
                             &chi2);
    else
        (void)gsl_fit_mul(work->x, 1, work->y, 1, n, slope, &c11, &chi2);
}

enum sm_status joint_fit(struct arena *arena, const struct joint_readings *readings,
                         struct joint_fit *out)
{
    struct joint_work work = { .r = readings,
                               .fit = out,
                               .x = arena_doubles(arena, readings->n),
                               .y = arena_doubles(arena, readings->n),
                               .residual = arena_doubles(arena, readings->n),
                               .scratch = arena_doubles(arena, readings->n) };
    *out = (struct joint_fit){ .settled = false };
    if (arena->failed)
        return SM_ERR_MEMORY;
    for (size_t i = 0; i < readings->n; i++)
        readings->outlier[i] = false;
    work.least = out->least = log_least_spread(readings->rise, readings->n, work.scratch);
    cold_mean(&work);
    size_t n = pack_loaded(&work);
    out->loaded = n;
    out->too_few = n < FEWEST;
    if (out->too_few)
        return SM_OK;
    choose_offset(&work, n);
    double line[2];
    const enum sm_status status = robust_line(&work, n, line);
    if (status != SM_OK)
        return status;
    set_aside(&work, n, line);
    out->loaded = n = pack_loaded(&work);
    out->too_few = n < FEWEST;
    if (out->too_few)
        return SM_OK;
    double slope = 0.0;
    choose_offset(&work, n);
    least_squares(&work, n, &slope);
    out->rth.value = slope;
    return joint_error(arena, readings, out);
}
