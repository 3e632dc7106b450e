/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/network.h"

#include <gsl/gsl_eigen.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

/* 1: least ratio of the slowest rate to the fastest.  The eigenvalues carry errors of some 1e-16 of
 * the largest one, so that the slowest is still known to a few parts in a million. */
#define RATES_APART 1e-10

struct network network_new(struct arena *arena, size_t n)
{
    return (struct network){ .n = n,
                             .capacity = arena_doubles(arena, n),
                             .conductance = arena_doubles(arena, n * n) };
}

void network_store(struct network *net, size_t place, double capacity)
{
    net->capacity[place] += capacity;
}

void network_join(struct network *net, size_t a, size_t b, double resistance)
{
    const double g = 1.0 / resistance;
    net->conductance[a * net->n + a] += g;
    net->conductance[b * net->n + b] += g;
    net->conductance[a * net->n + b] -= g;
    net->conductance[b * net->n + a] -= g;
}

void network_ground(struct network *net, size_t place, double resistance)
{
    net->conductance[place * net->n + place] += 1.0 / resistance;
}

/* ---------------------------------------------------------------- modes */

/* While the modes are looked for. */
struct search {
    size_t *place;   /* [m] the places with capacity */
    size_t m;        /* how many */
    double *reduced; /* W/K  [n * n] between them, the others gone */
    double *matrix;  /* 1/s  [m * m] */
    double *vectors; /* 1    [m * m], one a column */
};

static bool massless(const struct network *net, size_t place)
{
    return !(net->capacity[place] > 0.0);
}

static enum sm_status search_open(struct arena *arena, struct network *net, struct search *s)
{
    s->place = arena_bytes(arena, net->n * sizeof *s->place);
    s->reduced = arena_doubles(arena, net->n * net->n);
    if (arena->failed)
        return SM_ERR_MEMORY;
    s->m = 0;
    for (size_t k = 0; k < net->n; k++)
        if (!massless(net, k))
            s->place[s->m++] = k;
    if (s->m == 0)
        return SM_ERR_DOMAIN;
    s->matrix = arena_doubles(arena, s->m * s->m);
    s->vectors = arena_doubles(arena, s->m * s->m);
    net->n_modes = s->m;
    net->rate = arena_doubles(arena, s->m);
    net->shape = arena_doubles(arena, s->m * net->n);
    net->direct = arena_doubles(arena, net->n);
    return arena->failed ? SM_ERR_MEMORY : SM_OK;
}

/* A place without capacity passes on what it gets: its star becomes links between neighbours. */
static enum sm_status reduce(const struct network *net, double *g)
{
    const size_t n = net->n;
    memcpy(g, net->conductance, n * n * sizeof *g);
    for (size_t s = 0; s < n; s++) {
        if (!massless(net, s))
            continue;
        if (!(g[s * n + s] > 0.0))
            return SM_ERR_DOMAIN;
        net->direct[s] = 1.0 / g[s * n + s];
        for (size_t i = 0; i < n; i++)
            for (size_t j = 0; j < n; j++)
                if (i != s && j != s)
                    g[i * n + j] -= g[i * n + s] * g[s * n + j] / g[s * n + s];
    }
    return SM_OK;
}

/* sqrt(C)^-1 G sqrt(C)^-1 is symmetric; its eigenvalues are the rates, rising. */
static enum sm_status eigen_solve(const struct network *net, const struct search *s)
{
    for (size_t i = 0; i < s->m; i++)
        for (size_t j = 0; j < s->m; j++)
            s->matrix[i * s->m + j] = s->reduced[s->place[i] * net->n + s->place[j]] /
                                      sqrt(net->capacity[s->place[i]] * net->capacity[s->place[j]]);
    gsl_eigen_symmv_workspace *work = gsl_eigen_symmv_alloc(s->m);
    if (!work)
        return SM_ERR_MEMORY;
    gsl_matrix_view matrix = gsl_matrix_view_array(s->matrix, s->m, s->m);
    gsl_matrix_view vectors = gsl_matrix_view_array(s->vectors, s->m, s->m);
    gsl_vector_view rate = gsl_vector_view_array(net->rate, s->m);
    int failed = gsl_eigen_symmv(&matrix.matrix, &rate.vector, &vectors.matrix, work);
    gsl_eigen_symmv_free(work);
    if (failed == GSL_SUCCESS)
        failed = gsl_eigen_symmv_sort(&rate.vector, &vectors.matrix, GSL_EIGEN_SORT_VAL_ASC);
    if (failed != GSL_SUCCESS)
        return SM_ERR_CONVERGE;
    return net->rate[0] > RATES_APART * net->rate[s->m - 1] ? SM_OK : SM_ERR_DOMAIN;
}

/* The rise of each place in each mode; one without capacity stands where its neighbours put it. */
static void shapes_fill(const struct network *net, const struct search *s)
{
    const size_t n = net->n;
    for (size_t mode = 0; mode < s->m; mode++) {
        double *shape = &net->shape[mode * n];
        for (size_t i = 0; i < s->m; i++)
            shape[s->place[i]] = s->vectors[i * s->m + mode] / sqrt(net->capacity[s->place[i]]);
        for (size_t k = 0; k < n; k++)
            for (size_t i = 0; massless(net, k) && i < s->m; i++)
                shape[k] -=
                    net->conductance[k * n + s->place[i]] * shape[s->place[i]] * net->direct[k];
    }
}

enum sm_status network_find_modes(struct arena *arena, struct network *net)
{
    struct search s;
    enum sm_status status = arena->failed ? SM_ERR_MEMORY : search_open(arena, net, &s);
    if (status == SM_OK)
        status = reduce(net, s.reduced);
    if (status == SM_OK)
        status = eigen_solve(net, &s);
    if (status == SM_OK)
        shapes_fill(net, &s);
    return status;
}

/* ---------------------------------------------------------------- steps */

struct network_step network_step_of(struct arena *arena, const struct network *net, double width)
{
    struct network_step step = { .width = width,
                                 .keep = arena_doubles(arena, net->n_modes),
                                 .gain = arena_doubles(arena, net->n_modes) };
    for (size_t i = 0; !arena->failed && i < net->n_modes; i++) {
        step.keep[i] = exp(-net->rate[i] * width);
        step.gain[i] = -expm1(-net->rate[i] * width) / net->rate[i];
    }
    return step;
}

void network_drive(const struct network *net, const double *power, double *drive)
{
    for (size_t i = 0; i < net->n_modes; i++) {
        const double *shape = &net->shape[i * net->n];
        drive[i] = 0.0;
        for (size_t k = 0; k < net->n; k++)
            drive[i] += shape[k] * power[k];
    }
}

void network_advance(const struct network *net, const struct network_step *step,
                     const double *drive, double *state)
{
    for (size_t i = 0; i < net->n_modes; i++)
        state[i] = step->keep[i] * state[i] + step->gain[i] * drive[i];
}

void network_settle(const struct network *net, const double *drive, double *state)
{
    for (size_t i = 0; i < net->n_modes; i++)
        state[i] = drive[i] / net->rate[i];
}

double network_rise_at(const struct network *net, const double *state, const double *power,
                       size_t place)
{
    double rise = net->direct[place] * power[place];
    for (size_t i = 0; i < net->n_modes; i++)
        rise += net->shape[i * net->n + place] * state[i];
    return rise;
}

void network_rise(const struct network *net, const double *state, const double *power, double *rise)
{
    for (size_t k = 0; k < net->n; k++)
        rise[k] = network_rise_at(net, state, power, k);
}

double network_stored(const struct network *net, const double *rise)
{
    double sum = 0.0;
    for (size_t k = 0; k < net->n; k++)
        sum += net->capacity[k] * rise[k];
    return sum;
}
