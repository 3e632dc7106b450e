/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/published_leg.h"
#include "support/published_rows.h"

#include "base/maths.h"
#include "support/published_example.h"
#include "thermal/heat_path.h"
#include "thermal/ripple.h"

#include <math.h>

#define RASHID "Rashid, Power Electronics, 4th ed., example "
#define VISHAY "Vishay Siliconix, R-C thermal model parameters (documents 74645, 74599)"
#define STOUT "R. P. Stout, ON Semiconductor AND8219/D, closed forms of square pulses"
#define ATMOSPHERE                                                                                 \
    "U.S. Standard Atmosphere in Mechanical Engineers' Handbook, vol. 4, p. 12, table 6"
#define TWO_FITS "two fits to one curve agree to about 2 %"
#define CLOSED "the closed form, to its last digit here"
#define GEOMETRIC "printed over geometric, computed over geopotential altitude"
#define RULE "a maker's rule for its drives, against the example drive: the same order is all"

/* K/W and J/K as printed. */
static const double si4862_r[] = { 4.7331, 1.4307, 1.5757, 8.2605 };
static const double si4862_c[] = { 24.9402e-3, 23.1289e-3, 3.5274, 150.3408e-3 };
static const double si4890_r[] = { 5.8804, 14.8471, 32.2261, 47.0464 };
static const double si4890_c[] = { 2.2957e-3, 30.0711e-3, 213.4549e-3, 2.2477 };

/* degC: junction of one switch that loses `watts` with its case held. */
static double dissipation_junction(double watts, const double *r, size_t n, double t_case)
{
    const struct stack stack = { watts, foster_sum(r, n), 0.0, 0.0, t_case };
    return stack_junction(&stack);
}

enum { PANELS = 64, NODES = PANEL_NODES * PANELS };

/* A thermal network under a loss that fills half of each cycle. */
struct network {
    struct arena arena;
    double r[4], tau[4], width[PANELS], p[NODES], rise[NODES];
    struct ripple ripple;
};

static void network_make(struct network *net, const double *r, const double *tau, size_t n,
                         double hz)
{
    arena_init(&net->arena);
    for (size_t i = 0; i < n; i++) {
        net->r[i] = r[i];
        net->tau[i] = tau[i];
    }
    for (int i = 0; i < PANELS; i++)
        net->width[i] = PI / PANELS;
    const struct sm_list r_list = { net->r, n }, tau_list = { net->tau, n };
    net->ripple = ripple_build(&net->arena, &r_list, &tau_list, net->width, PANELS, hz);
}

enum wave { SQUARE, SINE };

/* 1 W high. */
static void half_wave(struct network *net, enum wave wave)
{
    for (int j = 0; j < NODES; j++) {
        const double x = PI / PANELS * (j / PANEL_NODES + panel_place[j % PANEL_NODES]);
        net->p[j] = wave == SINE ? sin(x) : 1.0;
    }
    ripple_solve(&net->ripple, net->p, net->rise);
}

/* K/W: after t s of 1 W from rest.  Square pulses of that length are solved; each term is
 * x(t) = x(0) exp(-t/tau) + its answer from rest. */
static double step_response(const double *r, const double *c, double t)
{
    double sum = 0.0;
    for (int i = 0; i < 4; i++) {
        const double tau = r[i] * c[i];
        struct network net;
        network_make(&net, &r[i], &tau, 1, 0.5 / t);
        half_wave(&net, SQUARE);
        sum += net.rise[NODES - 1] - net.rise[0] * exp(-t / tau);
        arena_release(&net.arena);
    }
    return sum;
}

/* The printed Foster terms of IRGP4640D, TO-247, IGBT: K/W and s. */
static const double irgp4640_r[] = { 0.2568, 0.3429 };
static const double irgp4640_tau[] = { 0.000311, 0.006347 };

static double square_peak(double hz)
{
    struct network net;
    network_make(&net, irgp4640_r, irgp4640_tau, 2, hz);
    half_wave(&net, SQUARE);
    const double peak = ripple_extremes(&net.ripple, net.p, net.rise).highest;
    arena_release(&net.arena);
    return peak;
}

/* ABB HiPak 5SNA 1200E330100, IGBT (value from memory): K/W and s. */
static const double hipak_r[] = { 5.854e-3, 1.375e-3, 0.641e-3, 0.632e-3 };
static const double hipak_tau[] = { 207.4e-3, 30.1e-3, 7.55e-3, 1.57e-3 };

/* 1: the mean of a half-sine loss of 1 W over the whole cycle is 1/pi. */
static double half_sine_swing(double hz)
{
    struct network net;
    network_make(&net, hipak_r, hipak_tau, 4, hz);
    half_wave(&net, SINE);
    const struct extremes rise = ripple_extremes(&net.ripple, net.p, net.rise);
    arena_release(&net.arena);
    return (rise.highest - rise.lowest) / (foster_sum(hipak_r, 4) / PI);
}

size_t published_heat(struct published *rows)
{
    size_t n = 0;
#include "published/heat.def"
    return n;
}
