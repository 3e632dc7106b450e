/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_sink.h"

#include "assess/log_noise.h"
#include "assess/log_outliers.h"

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <math.h>

/* 1: time constants that a log must cover. */
#define LEAST_COVER 2.0

/* 1: time constants that it is taken to cover where the search begins. */
#define FIRST_COVER 5.0

/* 1: spreads from which a reading counts less and less (P. J. Huber, Robust Estimation of a
 * Location Parameter, 1964: 1.345 costs 5 % with normal errors; value from memory). */
#define HUBER 1.345

/* 1: parameters are found to this share. */
#define ACCURACY 1e-8

/* 1: R_sa that moves by a smaller share stands still. */
#define STILL 1e-6

/* K, 1: residuals of less than the first, or of less than that share of how far the sink warmed,
 * follow one heatsink: half of what the sheet allows the meter (SM_BAND_METER), a fifth of what it
 * allows the model (SM_BAND_MODEL). */
#define METER_CLAIM 0.5
#define MODEL_CLAIM 0.01

enum { FEWEST = 10, TURNS = 100, REWEIGHINGS = 8 };

/* The parameters, so that none can leave its range. */
enum { LN_RTH, LN_CAPACITY, T_START, PARAMETERS };

void sink_follow(const struct sink_readings *r, double rth, double capacity, double t_start,
                 double *t_sink)
{
    t_sink[0] = t_start;
    for (size_t i = 1; i < r->n; i++) {
        const double h = r->time[i] - r->time[i - 1];
        const double heat = 0.5 * (r->heat[i - 1] + r->heat[i]);
        const double slope = 0.5 * (r->slope[i - 1] + r->slope[i]);
        const double ambient = 0.5 * (r->ambient[i - 1] + r->ambient[i]);
        const double back = 1.0 / rth - slope; /* W/K */
        const double z = -back * h / capacity;
        const double share = fabs(z) > 0.0 ? expm1(z) / z : 1.0; /* of the way at the first rate */
        const double t = t_sink[i - 1];
        t_sink[i] = t + (heat + ambient / rth - back * t) * h / capacity * share;
    }
}

/* ------------------------------------------------------------------ search */

struct sink_work {
    const struct sink_readings *r;
    double *t; /* K  followed */
    double *scratch;
    double least; /* K  spread of readings */
    gsl_vector *weights, *x;
    gsl_multifit_nlinear_workspace *w;
};

/* The sink's temperature at x, with one parameter moved by a step. */
static void follow(const struct sink_readings *r, const gsl_vector *x, int which, double step,
                   double *t_sink)
{
    double p[PARAMETERS];
    for (int a = 0; a < PARAMETERS; a++)
        p[a] = gsl_vector_get(x, (size_t)a) + (a == which ? step : 0.0);
    sink_follow(r, exp(p[LN_RTH]), exp(p[LN_CAPACITY]), p[T_START], t_sink);
}

static int miss(const gsl_vector *x, void *params, gsl_vector *f)
{
    struct sink_work *work = params;
    follow(work->r, x, T_START, 0.0, work->t);
    for (size_t i = 0; i < work->r->n; i++) {
        if (!isfinite(work->t[i]))
            return GSL_EDOM;
        gsl_vector_set(f, i, work->t[i] - work->r->t_sink[i]);
    }
    return GSL_SUCCESS;
}

/* Levenberg and Marquardt's search from x on with the weights as they are; false when it ends
 * nowhere. */
static bool search(struct sink_work *work)
{
    gsl_multifit_nlinear_fdf fdf = { .f = miss, .n = work->r->n, .p = PARAMETERS, .params = work };
    int info = 0;
    if (gsl_multifit_nlinear_winit(work->x, work->weights, &fdf, work->w) != GSL_SUCCESS)
        return false;
    const int status =
        gsl_multifit_nlinear_driver(TURNS, ACCURACY, ACCURACY, 0.0, NULL, NULL, &info, work->w);
    gsl_vector_memcpy(work->x, gsl_multifit_nlinear_position(work->w));
    /* no progress: it stands at the minimum to the last digit, be it from the first step on */
    return status == GSL_SUCCESS || status == GSL_ENOPROG || info == GSL_ENOPROG;
}

/* K: residuals at x, and their spread. */
static double residuals(struct sink_work *work, double *residual)
{
    follow(work->r, work->x, T_START, 0.0, work->t);
    for (size_t i = 0; i < work->r->n; i++)
        residual[i] = work->r->t_sink[i] - work->t[i];
    return log_spread(residual, work->r->n, work->least, work->scratch);
}

/* Huber's weights, again and again, so that strays do not pull; then the strays are set aside and
 * the rest counts alike. */
static bool search_robust(struct sink_work *work, double *residual, size_t *used)
{
    double before = HUGE_VAL;
    gsl_vector_set_all(work->weights, 1.0);
    for (int k = 0; k < REWEIGHINGS; k++) {
        if (!search(work))
            return false;
        const double now = gsl_vector_get(work->x, LN_RTH);
        if (fabs(now - before) < STILL)
            break;
        before = now;
        const double near = HUBER * residuals(work, residual);
        for (size_t i = 0; i < work->r->n; i++)
            gsl_vector_set(work->weights, i, fmin(1.0, near / fabs(residual[i])));
    }
    const double spread = residuals(work, residual);
    *used = 0;
    for (size_t i = 0; i < work->r->n; i++) {
        work->r->outlier[i] = log_is_outlier(residual[i], spread, work->r->n);
        gsl_vector_set(work->weights, i, work->r->outlier[i] ? 0.0 : 1.0);
        *used += work->r->outlier[i] ? 0 : 1;
    }
    return *used >= FEWEST && search(work);
}

/* ------------------------------------------------------------------ error */

/* How the followed temperature moves with each parameter, at the readings in use, packed. */
static void slopes(struct sink_work *work, struct log_vector *x, double *up, double *down)
{
    static const double steps[PARAMETERS] = { 1e-5, 1e-5, 1e-2 }; /* 1, 1, K */
    for (int a = 0; a < PARAMETERS; a++) {
        follow(work->r, work->x, a, steps[a], up);
        follow(work->r, work->x, a, -steps[a], down);
        size_t k = 0;
        for (size_t i = 0; i < work->r->n; i++)
            if (!work->r->outlier[i])
                x[k++].at[a] = (up[i] - down[i]) / (2.0 * steps[a]);
    }
}

/* W = X (X'X)^-1; false when the parameters cannot be told apart. */
static bool least_squares_weights(size_t n, const struct log_vector *x, struct log_vector *w)
{
    double xx[PARAMETERS][PARAMETERS] = { { 0.0 } };
    for (size_t i = 0; i < n; i++)
        for (int a = 0; a < PARAMETERS; a++)
            for (int c = 0; c < PARAMETERS; c++)
                xx[a][c] += x[i].at[a] * x[i].at[c];
    gsl_matrix_view m = gsl_matrix_view_array(&xx[0][0], PARAMETERS, PARAMETERS);
    if (gsl_linalg_cholesky_decomp1(&m.matrix) != GSL_SUCCESS ||
        gsl_linalg_cholesky_invert(&m.matrix) != GSL_SUCCESS)
        return false;
    for (size_t i = 0; i < n; i++)
        for (int a = 0; a < PARAMETERS; a++) {
            w[i].at[a] = 0.0;
            for (int c = 0; c < PARAMETERS; c++)
                w[i].at[a] += xx[a][c] * x[i].at[c];
        }
    return true;
}

/* K: between the coldest and the hottest that was read and is in use. */
static double span_of(const struct sink_readings *r)
{
    double low = HUGE_VAL, high = -HUGE_VAL;
    for (size_t i = 0; i < r->n; i++) {
        if (r->outlier[i])
            continue;
        low = fmin(low, r->t_sink[i]);
        high = fmax(high, r->t_sink[i]);
    }
    return high - low;
}

/* Makes the capacity the first parameter, of which the error is told. */
static void capacity_first(size_t n, struct log_vector *v)
{
    for (size_t i = 0; i < n; i++) {
        const double rth = v[i].at[LN_RTH];
        v[i].at[LN_RTH] = v[i].at[LN_CAPACITY];
        v[i].at[LN_CAPACITY] = rth;
    }
}

/* The standard error of ln R_sa is R_sa's own share of it. */
static enum sm_status error_find(struct arena *arena, struct sink_work *work, double *residual,
                                 struct sink_fit *out)
{
    const struct sink_readings *r = work->r;
    struct log_vector *x = arena_bytes(arena, r->n * sizeof *x);
    struct log_vector *w = arena_bytes(arena, r->n * sizeof *w);
    double *time = arena_doubles(arena, r->n);
    if (arena->failed)
        return SM_ERR_MEMORY;
    slopes(work, x, work->t, work->scratch);
    if (!least_squares_weights(out->used, x, w))
        return SM_OK;
    (void)residuals(work, residual);
    size_t n = 0;
    for (size_t i = 0; i < r->n; i++) {
        if (r->outlier[i])
            continue;
        time[n] = r->time[i];
        residual[n++] = residual[i];
    }
    const struct log_fit fit = { .n = n,
                                 .p = PARAMETERS,
                                 .x = x,
                                 .w = w,
                                 .residual = residual,
                                 .time = time,
                                 .least = work->least,
                                 .claim = fmax(METER_CLAIM, MODEL_CLAIM * span_of(r)) };
    const struct log_error error = log_error_of(&fit);
    const double rth = exp(gsl_vector_get(work->x, LN_RTH));
    const struct log_found found = { rth, rth * error.std_error, error.freedom, r->expected };
    const bool precise = log_estimate_make(&found, &out->rth);
    out->capacity = exp(gsl_vector_get(work->x, LN_CAPACITY));
    out->time_constant = rth * out->capacity;
    capacity_first(n, x);
    capacity_first(n, w);
    const struct log_error of_capacity = log_error_of(&fit);
    out->capacity_error =
        (struct sm_optional){ of_capacity.freedom >= LOG_LEAST_FREEDOM, of_capacity.std_error };
    out->t_start = gsl_vector_get(work->x, T_START);
    out->too_short = out->duration < LEAST_COVER * out->time_constant;
    out->settled = precise && !out->too_short;
    return SM_OK;
}

/* K/W: where the search begins: what the last third of the log would have if it had settled. */
static double settled_rth(const struct sink_work *work)
{
    const struct sink_readings *r = work->r;
    const size_t first = r->n - r->n / 3;
    for (size_t i = first; i < r->n; i++)
        work->scratch[i - first] =
            (r->t_sink[i] - r->ambient[i]) / (r->heat[i] + r->slope[i] * r->t_sink[i]);
    return log_median(work->scratch, r->n - first);
}

static enum sm_status fit(struct arena *arena, struct sink_work *work, struct sink_fit *out)
{
    double *residual = arena_doubles(arena, work->r->n);
    work->t = arena_doubles(arena, work->r->n);
    work->scratch = arena_doubles(arena, work->r->n);
    if (arena->failed || !work->weights || !work->x || !work->w)
        return SM_ERR_MEMORY;
    work->least = log_least_spread(work->r->t_sink, work->r->n, work->scratch);
    const double rth = settled_rth(work);
    if (!(rth > 0.0) || !isfinite(rth) || !(out->duration > 0.0))
        return SM_OK;
    gsl_vector_set(work->x, LN_RTH, log(rth));
    gsl_vector_set(work->x, LN_CAPACITY, log(out->duration / (FIRST_COVER * rth)));
    gsl_vector_set(work->x, T_START, work->r->t_sink[0]);
    if (!search_robust(work, residual, &out->used))
        return SM_OK;
    return error_find(arena, work, residual, out);
}

enum sm_status sink_fit(struct arena *arena, const struct sink_readings *readings,
                        struct sink_fit *out)
{
    const size_t n = readings->n;
    *out = (struct sink_fit){ .too_few = n < FEWEST };
    if (out->too_few)
        return SM_OK;
    out->duration = readings->time[n - 1] - readings->time[0];
    const gsl_multifit_nlinear_parameters parameters = gsl_multifit_nlinear_default_parameters();
    struct sink_work work = { .r = readings,
                              .weights = gsl_vector_alloc(n),
                              .x = gsl_vector_alloc(PARAMETERS),
                              .w = gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust,
                                                              &parameters, n, PARAMETERS) };
    const enum sm_status status = fit(arena, &work, out);
    gsl_multifit_nlinear_free(work.w);
    gsl_vector_free(work.x);
    gsl_vector_free(work.weights);
    return status;
}
