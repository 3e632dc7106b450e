/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_noise.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <string.h>

/* 1: averages that a log is cut down to at most: enough to tell the correlation of neighbours to a
 * tenth, few enough that each is quiet. */
enum { BINS = 75, P = LOG_PARAMETERS };

/* 1: of a log with more readings than the first, as a logger makes, so many averages at most: what
 * is slow in it then stands out from what is quick. */
enum { DENSE = 4 * BINS, DENSE_BINS = 36 };

/* 1: of neighbours that follow each other closer than this many usual distances. */
#define NEAR 1.5

/* 1: correlation above which nothing can be told from a log; and how exactly it is found. */
#define CLOSEST 0.98
enum { HALVINGS = 20 };

/* 1: two-sided 95 %. */
#define COVERAGE_ABOVE 0.975

/* The readings, or averages of neighbours. */
struct bins {
    size_t n, p;
    struct log_vector x[BINS], w[BINS];
    double residual[BINS], time[BINS];
    double distance;    /* s  usual, between neighbours; 0: all at once */
    double share[BINS]; /* 1  of the correlation over that distance: exponent from the one before */
};

struct square {
    double at[P][P];
};

/* Sums over the readings, for one correlation.  O: correlation matrix of the errors, X and W as in
 * the header; A = (1 - X W') O (1 - X W')', covariance of the residuals at sigma 1. */
struct sums {
    struct log_vector ox[BINS], ow[BINS]; /* O X, O W */
    struct square g;                      /* W' O W, covariance of the estimates at sigma 1 */
    double trace, neighbours;             /* sum of A[i][i]; of A[i][i + 1] over near neighbours */
};

/* ------------------------------------------------------------------- bins */

static double usual_distance(const struct bins *b)
{
    double d[BINS];
    for (size_t i = 1; i < b->n; i++)
        d[i - 1] = b->time[i] - b->time[i - 1];
    gsl_sort(d, 1, b->n - 1);
    const double median = d[(b->n - 1) / 2];
    return median > 0.0 ? median : (b->time[b->n - 1] - b->time[0]) / (double)(b->n - 1);
}

static void bin_add(struct bins *b, size_t k, const struct log_fit *fit, size_t i, double part)
{
    for (size_t a = 0; a < fit->p; a++) {
        b->x[k].at[a] += part * fit->x[i].at[a];
        b->w[k].at[a] += fit->w[i].at[a];
    }
    b->residual[k] += part * fit->residual[i];
    b->time[k] += part * fit->time[i];
}

static void bins_fill(struct bins *b, const struct log_fit *fit)
{
    const size_t most = fit->n > DENSE ? DENSE_BINS : BINS;
    const size_t each = (fit->n + most - 1) / most;
    memset(b, 0, sizeof *b);
    b->n = (fit->n + each - 1) / each;
    b->p = fit->p;
    for (size_t i = 0; i < fit->n; i++) {
        const size_t k = i / each;
        const size_t in_it = k + 1 < b->n ? each : fit->n - k * each;
        bin_add(b, k, fit, i, 1.0 / (double)in_it);
    }
    b->distance = usual_distance(b);
    for (size_t k = 1; k < b->n; k++)
        b->share[k] = b->distance > 0.0 ? (b->time[k] - b->time[k - 1]) / b->distance : 1.0;
}

/* ------------------------------------------------------------------- sums */

/* 1: correlation of reading i and the one before. */
static double step_of(const struct bins *b, double rho, size_t i)
{
    return rho > 0.0 ? pow(rho, b->share[i]) : 0.0;
}

/* O v for each column: what comes down from the readings before, and back from those after. */
static void correlate(const struct bins *b, const double step[BINS], const struct log_vector *v,
                      struct log_vector *out)
{
    for (size_t a = 0; a < b->p; a++) {
        double from = 0.0;
        for (size_t i = 0; i < b->n; i++) {
            from = i > 0 ? step[i] * (from + v[i - 1].at[a]) : 0.0;
            out[i].at[a] = v[i].at[a] + from;
        }
        from = 0.0;
        for (size_t i = b->n - 1; i-- > 0;) {
            from = step[i + 1] * (from + v[i + 1].at[a]);
            out[i].at[a] += from;
        }
    }
}

/* u' v */
static struct square product(const struct bins *b, const struct log_vector *u,
                             const struct log_vector *v)
{
    struct square out = { .at = { { 0.0 } } };
    for (size_t i = 0; i < b->n; i++)
        for (size_t a = 0; a < b->p; a++)
            for (size_t c = 0; c < b->p; c++)
                out.at[a][c] += u[i].at[a] * v[i].at[c];
    return out;
}

/* Trace of u v. */
static double trace_of(const struct square *u, const struct square *v)
{
    double sum = 0.0;
    for (size_t a = 0; a < P; a++)
        for (size_t c = 0; c < P; c++)
            sum += u->at[a][c] * v->at[c][a];
    return sum;
}

static struct square times(const struct square *u, const struct square *v)
{
    struct square out = { .at = { { 0.0 } } };
    for (size_t a = 0; a < P; a++)
        for (size_t c = 0; c < P; c++)
            for (size_t d = 0; d < P; d++)
                out.at[a][c] += u->at[a][d] * v->at[d][c];
    return out;
}

/* A[i][j], with O[i][j] given. */
static double covariance_at(const struct bins *b, const struct sums *s, size_t i, size_t j,
                            double o)
{
    double sum = o;
    for (size_t a = 0; a < b->p; a++) {
        sum -= b->x[i].at[a] * s->ow[j].at[a] + s->ow[i].at[a] * b->x[j].at[a];
        for (size_t c = 0; c < b->p; c++)
            sum += b->x[i].at[a] * s->g.at[a][c] * b->x[j].at[c];
    }
    return sum;
}

static bool near(const struct bins *b, size_t i)
{
    return b->share[i] <= NEAR;
}

static struct sums sums_of(const struct bins *b, double rho)
{
    struct sums s = { .trace = 0.0 };
    double step[BINS] = { 0.0 };
    for (size_t i = 1; i < b->n; i++)
        step[i] = step_of(b, rho, i);
    correlate(b, step, b->x, s.ox);
    correlate(b, step, b->w, s.ow);
    s.g = product(b, b->w, s.ow);
    for (size_t i = 0; i < b->n; i++) {
        s.trace += covariance_at(b, &s, i, i, 1.0);
        if (i > 0 && near(b, i))
            s.neighbours += covariance_at(b, &s, i - 1, i, step[i]);
    }
    return s;
}

/* -------------------------------------------------------------- estimates */

/* The correlation at which residuals are expected to be as alike as they are. */
static double correlation_of(const struct bins *b)
{
    double alike = 0.0, squares = 0.0, low = 0.0, high = CLOSEST;
    for (size_t i = 0; i < b->n; i++) {
        squares += b->residual[i] * b->residual[i];
        if (i > 0 && near(b, i))
            alike += b->residual[i - 1] * b->residual[i];
    }
    const struct sums none = sums_of(b, 0.0);
    if (alike * none.trace <= none.neighbours * squares)
        return 0.0;
    for (int k = 0; k < HALVINGS; k++) {
        const double rho = 0.5 * (low + high);
        const struct sums s = sums_of(b, rho);
        if (s.neighbours * squares < alike * s.trace)
            low = rho;
        else
            high = rho;
    }
    return 0.5 * (low + high);
}

/* Trace of A A, written out: A = O + B, B = -X U' - U X' + X G X' with U = O W. */
static double trace_of_square(const struct bins *b, const struct sums *s, double rho)
{
    double squares = (double)b->n, from = 0.0;
    for (size_t i = 1; i < b->n; i++) { /* O O: the squares of all correlations */
        const double step = step_of(b, rho, i);
        from = step * step * (from + 1.0);
        squares += 2.0 * from;
    }
    const struct square xox = product(b, b->x, s->ox), xou = product(b, s->ox, s->ow);
    const struct square xx = product(b, b->x, b->x), ux = product(b, s->ow, b->x);
    const struct square uu = product(b, s->ow, s->ow), gxx = times(&s->g, &xx);
    double of_ob = trace_of(&s->g, &xox);
    for (size_t a = 0; a < P; a++)
        of_ob -= 2.0 * xou.at[a][a];
    const double of_bb = 2.0 * trace_of(&ux, &ux) + 2.0 * trace_of(&uu, &xx) -
                         4.0 * trace_of(&ux, &gxx) + trace_of(&gxx, &gxx);
    return squares + 2.0 * of_ob + of_bb;
}

/* ln of the first parameter's variance, but for a constant, if the correlation were rho. */
static double log_variance(const struct bins *b, double rho)
{
    const struct sums s = sums_of(b, fmin(fmax(rho, 0.0), CLOSEST));
    return log(s.g.at[0][0] / s.trace);
}

/* Degrees of freedom of the first parameter's variance: those of the residuals, after
 * Satterthwaite, and those that the doubt about the correlation leaves, whose own standard error is
 * sqrt((1 - rho^2) / n) after Bartlett. */
static double freedom_of(const struct bins *b, const struct sums *s, double rho)
{
    const double doubt = sqrt((1.0 - rho * rho) / (double)b->n);
    const double moved = 0.5 * (log_variance(b, rho + doubt) - log_variance(b, rho - doubt));
    return 1.0 / (trace_of_square(b, s, rho) / (s->trace * s->trace) + 0.5 * moved * moved);
}

/* Root of the residuals' mean square. */
static double size_of(const struct log_fit *fit)
{
    double squares = 0.0;
    for (size_t i = 0; i < fit->n; i++)
        squares += fit->residual[i] * fit->residual[i];
    return sqrt(squares / (double)fit->n);
}

/* An error of that size in all readings that raise the estimate, and one in all that lower it. */
static struct log_error shared_error(const struct log_fit *fit, double size)
{
    double up = 0.0, down = 0.0;
    for (size_t i = 0; i < fit->n; i++) {
        up += fmax(fit->w[i].at[0], 0.0);
        down += fmin(fit->w[i].at[0], 0.0);
    }
    return (struct log_error){ .std_error = size * hypot(up, down),
                               .freedom = (double)(fit->n - fit->p) };
}

struct log_error log_error_of(const struct log_fit *fit)
{
    if (fit->n <= fit->p)
        return (struct log_error){ .freedom = 0.0 };
    const double size = size_of(fit);
    if (size <= fit->least)
        return shared_error(fit, fit->least);
    struct bins b;
    bins_fill(&b, fit);
    const double rho = correlation_of(&b);
    const struct sums s = sums_of(&b, rho);
    double squares = 0.0;
    for (size_t i = 0; i < b.n; i++)
        squares += b.residual[i] * b.residual[i];
    const struct log_error error = { .std_error = sqrt(squares / s.trace * s.g.at[0][0]),
                                     .freedom = freedom_of(&b, &s, rho),
                                     .correlation = rho };
    return error.freedom < LOG_LEAST_FREEDOM && size <= fit->claim ? shared_error(fit, size)
                                                                   : error;
}

bool log_estimate_make(const struct log_found *found, struct sm_log_estimate *out)
{
    const double value = found->value;
    if (!(found->freedom >= LOG_LEAST_FREEDOM) || !isfinite(found->std_error) || !isfinite(value))
        return false;
    const double half = gsl_cdf_tdist_Pinv(COVERAGE_ABOVE, found->freedom) * found->std_error;
    const double model = gsl_cdf_ugaussian_Pinv(COVERAGE_ABOVE) * SM_LOG_MODEL_ERROR * value;
    const double both = hypot(half, model);
    *out = (struct sm_log_estimate){ .value = value,
                                     .std_error = found->std_error,
                                     .low = value - half,
                                     .high = value + half,
                                     .low_with_model = value - both,
                                     .high_with_model = value + both };
    return 2.0 * half <= fmax(value, found->expected);
}
