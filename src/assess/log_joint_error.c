/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_joint_error.h"

#include "assess/log_noise.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

/* 1: a change is told where it is surer than 99 %, two-sided, with degrees of freedom to be so. */
#define SURE_ABOVE 0.995
#define LEAST_FREEDOM 4.0

/* 1: loaded readings that a change needs. */
enum { FEWEST_FOR_DRIFT = 8 };

/* What the weights of the estimates are made of. */
struct sums {
    double n, p, pp;    /* loaded readings; sum of P, of P^2 */
    double cold;        /* cold readings */
    double first, span; /* s  of the loaded readings */
    double middle;      /* 1  mean of u = (t - first) / span, with P^2 as weights */
    double pv, pvpv;    /* sum of P v, of (P v)^2, v = u - middle: then D does not move R_joint */
};

struct error_work {
    const struct joint_readings *r;
    struct joint_fit *fit;
    struct sums s;
    size_t n;
    struct log_vector *x, *w;
    double *residual, *time;
};

static double place(const struct sums *s, double time)
{
    return s->span > 0.0 ? (time - s->first) / s->span : 0.0;
}

static bool is_loaded(const struct joint_readings *r, size_t i)
{
    return !r->cold[i] && !r->outlier[i];
}

static struct sums sums_of(const struct joint_readings *r, const struct joint_fit *fit)
{
    struct sums s = { .cold = (double)fit->cold };
    double last = 0.0, ppu = 0.0;
    for (size_t i = 0; i < r->n; i++) {
        if (!is_loaded(r, i))
            continue;
        s.first = s.n > 0.0 ? s.first : r->time[i];
        last = r->time[i];
        s.n += 1.0;
        s.p += r->power[i];
        s.pp += r->power[i] * r->power[i];
    }
    s.span = last - s.first;
    for (size_t i = 0; i < r->n; i++)
        ppu += is_loaded(r, i) ? r->power[i] * r->power[i] * place(&s, r->time[i]) : 0.0;
    s.middle = ppu / s.pp;
    for (size_t i = 0; i < r->n; i++) {
        const double pv = r->power[i] * (place(&s, r->time[i]) - s.middle);
        s.pv += is_loaded(r, i) ? pv : 0.0;
        s.pvpv += is_loaded(r, i) ? pv * pv : 0.0;
    }
    return s;
}

/* How a reading follows R_joint and the offset, and its weight in both. */
static void weigh(const struct sums *s, enum sm_log_offset from, double power, bool cold,
                  double x[2], double w[2])
{
    x[0] = cold ? 0.0 : power;
    x[1] = from == SM_LOG_OFFSET_NONE ? 0.0 : 1.0;
    switch (from) {
    case SM_LOG_OFFSET_NONE:
        w[0] = power / s->pp;
        w[1] = 0.0;
        break;
    case SM_LOG_OFFSET_COLD:
        w[0] = cold ? -s->p / (s->pp * s->cold) : power / s->pp;
        w[1] = cold ? 1.0 / s->cold : 0.0;
        break;
    case SM_LOG_OFFSET_FITTED: {
        const double det = s->n * s->pp - s->p * s->p;
        w[0] = (s->n * power - s->p) / det;
        w[1] = (s->pp - s->p * power) / det;
        break;
    }
    }
}

/* How a reading follows D, the change.  Returned: its weight in it. */
static double weigh_drift(const struct error_work *work, size_t i, double *x)
{
    const struct sums *s = &work->s;
    const struct joint_readings *r = work->r;
    *x = r->cold[i] ? 0.0 : r->power[i] * (place(s, r->time[i]) - s->middle);
    if (r->cold[i])
        return -s->pv / (s->pvpv * s->cold);
    return *x / s->pvpv;
}

/* Whether D is one of the parameters, and whether it is the one that the error is asked for. */
enum drift_use { DRIFT_NONE, DRIFT_FIRST, DRIFT_LAST };

/* Readings in use, packed: what they follow, their weights, and what is left of them. */
static void pack(struct error_work *work, enum drift_use use, double drift)
{
    const struct joint_readings *r = work->r;
    const size_t own = use == DRIFT_FIRST ? 1 : 0;
    const bool offset = work->fit->offset_from != SM_LOG_OFFSET_NONE;
    work->n = 0;
    for (size_t i = 0; i < r->n; i++) {
        if (r->outlier[i])
            continue;
        double x[2], w[2], change = 0.0, *to_x = work->x[work->n].at, *to_w = work->w[work->n].at;
        weigh(&work->s, work->fit->offset_from, r->power[i], r->cold[i], x, w);
        for (size_t a = 0; a < (offset ? 2u : 1u); a++) {
            to_x[own + a] = x[a];
            to_w[own + a] = w[a];
        }
        if (use != DRIFT_NONE) {
            const size_t at = use == DRIFT_FIRST ? 0 : offset ? 2 : 1;
            to_w[at] = weigh_drift(work, i, &change);
            to_x[at] = change;
        }
        work->time[work->n] = r->time[i];
        work->residual[work->n++] =
            r->rise[i] - work->fit->rth.value * x[0] - work->fit->offset - drift * change;
    }
}

static struct log_error error_of(const struct error_work *work, enum drift_use use)
{
    const size_t offset = work->fit->offset_from == SM_LOG_OFFSET_NONE ? 0 : 1;
    const struct log_fit all = { .n = work->n,
                                 .p = 1 + offset + (use == DRIFT_NONE ? 0 : 1),
                                 .x = work->x,
                                 .w = work->w,
                                 .residual = work->residual,
                                 .time = work->time,
                                 .least = work->fit->least };
    return log_error_of(&all);
}

/* D by least squares, and whether it is told.  An offset that is fitted could pass for it. */
static bool drift_find(struct error_work *work, double *drift)
{
    const struct joint_readings *r = work->r;
    double product = 0.0;
    if (work->fit->offset_from == SM_LOG_OFFSET_FITTED || work->fit->loaded < FEWEST_FOR_DRIFT ||
        !(work->s.pvpv > 0.0))
        return false;
    for (size_t i = 0; i < r->n; i++)
        if (is_loaded(r, i))
            product += (r->rise[i] - work->fit->offset) * r->power[i] *
                       (place(&work->s, r->time[i]) - work->s.middle);
    *drift = product / work->s.pvpv;
    if (!(fabs(*drift) >= LOG_LEAST_DRIFT * fabs(work->fit->rth.value)))
        return false;
    pack(work, DRIFT_FIRST, *drift);
    const struct log_error error = error_of(work, DRIFT_FIRST);
    return error.freedom >= LEAST_FREEDOM &&
           fabs(*drift) > gsl_cdf_tdist_Pinv(SURE_ABOVE, error.freedom) * error.std_error;
}

enum sm_status joint_error(struct arena *arena, const struct joint_readings *readings,
                           struct joint_fit *fit)
{
    struct error_work work = { .r = readings,
                               .fit = fit,
                               .s = sums_of(readings, fit),
                               .x = arena_bytes(arena, readings->n * sizeof *work.x),
                               .w = arena_bytes(arena, readings->n * sizeof *work.w),
                               .residual = arena_doubles(arena, readings->n),
                               .time = arena_doubles(arena, readings->n) };
    if (arena->failed)
        return SM_ERR_MEMORY;
    double drift = 0.0;
    const bool told = drift_find(&work, &drift);
    const enum drift_use use = told ? DRIFT_LAST : DRIFT_NONE;
    pack(&work, use, told ? drift : 0.0);
    const struct log_error error = error_of(&work, use);
    const struct log_found found = { fit->rth.value, error.std_error, error.freedom,
                                     readings->expected };
    fit->settled = log_estimate_make(&found, &fit->rth);
    if (told && fit->settled)
        fit->drift = sm_given(drift / fit->rth.value);
    return SM_OK;
}
