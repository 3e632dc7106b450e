/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/network_cycle.h"

#include "base/maths.h"
#include "solve/stage.h"
#include "support/fixture.h"
#include "support/near.h"

#include <complex.h>
#include <criterion/criterion.h>

struct bench {
    struct fixture f;
    struct arena arena, scratch;
    struct stage stage;
    struct heat_network_plan plan;
};

static void bench_open(struct bench *b, int circuit, double base)
{
    b->f.module.circuit = circuit;
    arena_init(&b->arena);
    arena_init(&b->scratch);
    b->stage = stage_build(&b->arena, &b->f.c);
    b->plan = (struct heat_network_plan){
        .path = &b->stage.path, .sink_capacity = 9500.0, .base_capacity = base, .bridge = true
    };
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        cr_assert_eq(cauer_of_foster(b->stage.foster_r[k]->v, b->stage.foster_tau[k]->v,
                                     b->stage.foster_r[k]->n, &b->plan.ladder[k]),
                     SM_OK);
}

static struct sm_network_cycle cycle_at(struct bench *b, double hz)
{
    static struct sm_network_cycle cycle;
    const struct operating_point point = operating_point_at(&b->f.drive, hz, 1.0);
    cr_assert_eq(network_cycle_solve(&b->scratch, &b->stage, &point, &b->plan, &cycle), SM_OK);
    cr_assert_eq(cycle.untold, SM_TOLD);
    return cycle;
}

static void bench_close(struct bench *b)
{
    arena_release(&b->scratch);
    arena_release(&b->arena);
}

/* A base that nothing can move leaves the rules' own assumption: case and sink without ripple.  The
 * rules find the junction another way, by Foster terms and panels: 5 mK, what half a degree a step
 * leaves of a peak (0.13 K/degree would be 4 mK). */
Test(network_cycle, over_a_huge_base_it_is_what_the_rules_say)
{
    static const int circuits[] = { SM_CIRCUIT_SINGLE, SM_CIRCUIT_HALF_BRIDGE,
                                    SM_CIRCUIT_SIX_PACK };
    static const int schemes[] = { SM_MOD_SINE, SM_MOD_SPACE_VECTOR, SM_MOD_CLAMPED };
    for (int c = 0; c < 3; c++)
        for (int s = 0; s < 3; s++) {
            struct bench b;
            fixture_warm(&b.f);
            b.f.drive.rating.modulation = schemes[s];
            bench_open(&b, circuits[c], 1e7);
            const struct sm_network_cycle cycle = cycle_at(&b, 2.0);
            /* half a second, whose end is the next one's begin */
            for (int i = 0; i < SM_CYCLE_POINTS; i++)
                NEAR(cycle.time[i], 0.5 * i / SM_CYCLE_POINTS, 1e-12);
            for (int k = 0; k < SM_CHIP_COUNT; k++) {
                NEAR(cycle.tvj_max[k], cycle.rules_tvj_max[k], 1e-2);
                NEAR(cycle.case_ripple[k], 0.0, 1e-4);
            }
            bench_close(&b);
        }
}

/* --------------------------------------- harmonics of one half-bridge, by hand */

enum { N = 7200, MOST = 200 };
#define J ((double complex)I)

#define W_HZ 2.0
#define R_JOINT 0.05

/* Loss of an upper switch's chip at theta from the start of conduction of the phase, straight-line
 * device, sine scheme: d i (v0 + r i) + f_sw E i, in its own half. */
static double loss_at(const struct operating_point *p, int kind, double psi)
{
    const double i = p->i_peak * fabs(cos(psi));
    const bool positive = cos(psi) > 0.0;
    const double d_upper = 0.5 * (1.0 + p->m * cos(psi + p->phi));
    if (kind == SM_IGBT)
        return positive ? d_upper * i * (FIXTURE_V0_IGBT + FIXTURE_R_IGBT * i) +
                              p->switching_hz * (FIXTURE_E_ON + FIXTURE_E_OFF) * i
                        : 0.0;
    return positive ? 0.0
                    : d_upper * i * (FIXTURE_V0_DIODE + FIXTURE_R_DIODE * i) +
                          p->switching_hz * FIXTURE_E_RR * i;
}

static double complex harmonic_of(const struct operating_point *p, int kind, int h)
{
    double complex sum = 0.0;
    for (int j = 0; j < N; j++) {
        const double psi = 2.0 * PI * (j + 0.5) / N;
        sum += loss_at(p, kind, psi) * cexp(-J * h * psi);
    }
    return sum / N;
}

/* K: case of a half-bridge with a base of this capacity over a sink that stands, harmonic h:
 * nodal equation of the case, chips as one R and C each (the fixture's), upper and lower half a
 * cycle apart. */
static double complex case_harmonic(const struct operating_point *p, double base, int h)
{
    static const double r[] = { 0.2, 0.35 }, tau[] = { 0.05, 0.04 };
    const double complex s = J * 2.0 * PI * W_HZ * h;
    double complex into = 0.0, admittance = 1.0 / R_JOINT + s * base;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const double both = h % 2 == 0 ? 2.0 : 0.0; /* 1 + (-1)^h */
        into += both * harmonic_of(p, k, h) / (1.0 + s * tau[k]);
        admittance += 2.0 * (s * tau[k] / r[k]) / (1.0 + s * tau[k]);
    }
    return into / admittance;
}

static double case_ripple_by_hand(const struct operating_point *p, double base)
{
    double complex harmonic[MOST];
    double low = HUGE_VAL, high = -HUGE_VAL;
    for (int h = 1; h < MOST; h++)
        harmonic[h] = case_harmonic(p, base, h);
    for (int j = 0; j < 720; j++) {
        double t = 0.0;
        for (int h = 1; h < MOST; h++)
            t += 2.0 * creal(harmonic[h] * cexp(J * h * 2.0 * PI * j / 720.0));
        low = fmin(low, t);
        high = fmax(high, t);
    }
    return high - low;
}

/* Losses of the plain fixture do not follow temperature: the ripple of the case is a Fourier
 * series. 2e-4 of it: harmonics up to 199, steps of half a degree. */
Test(network_cycle, ripple_of_a_half_bridges_case_is_its_fourier_series)
{
    static const double bases[] = { 0.0, 3.0, 60.0 };
    for (int i = 0; i < 3; i++) {
        struct bench b;
        fixture_make(&b.f);
        b.f.drive.rating.modulation = SM_MOD_SINE;
        bench_open(&b, SM_CIRCUIT_HALF_BRIDGE, bases[i]);
        const struct operating_point point = operating_point_at(&b.f.drive, W_HZ, 1.0);
        const struct sm_network_cycle cycle = cycle_at(&b, W_HZ);
        const double want = case_ripple_by_hand(&point, bases[i]);
        cr_expect_gt(want, 1e-3);
        NEAR_REL(cycle.case_ripple[SM_IGBT], want, 1e-3);
        bench_close(&b);
    }
}

/* Means of all courses are those of the steady state with the cycle's mean losses. */
Test(network_cycle, means_are_the_settled_temperatures)
{
    struct bench b;
    struct sm_point settled;
    fixture_make(&b.f);
    bench_open(&b, SM_CIRCUIT_SIX_PACK, 30.0);
    const struct operating_point point = operating_point_at(&b.f.drive, 1.0, 1.0);
    const struct sm_network_cycle cycle = cycle_at(&b, 1.0);
    cr_assert_eq(electrothermal_solve(&b.scratch, &b.stage, &point, NULL, &settled, NULL), SM_OK);
    double sink = 0.0, t_case = 0.0, tvj = 0.0;
    for (int j = 0; j < SM_CYCLE_POINTS; j++) {
        sink += cycle.t_sink[j] / SM_CYCLE_POINTS;
        t_case += cycle.t_case[SM_DIODE][j] / SM_CYCLE_POINTS;
        tvj += cycle.tvj[SM_IGBT][j] / SM_CYCLE_POINTS;
    }
    NEAR(sink, settled.t_sink, 2e-3);
    NEAR(t_case, settled.chip[SM_DIODE].t_case, 2e-3);
    NEAR(tvj, settled.chip[SM_IGBT].tvj_mean, 1e-2);
    bench_close(&b);
}

/* The six of a six-pack share one base and take turns: its case ripples far less than that of a
 * single switch, at six times the frequency. */
Test(network_cycle, switches_that_take_turns_smooth_their_common_case)
{
    double ripple[2];
    static const int circuits[] = { SM_CIRCUIT_SINGLE, SM_CIRCUIT_SIX_PACK };
    for (int c = 0; c < 2; c++) {
        struct bench b;
        fixture_make(&b.f);
        bench_open(&b, circuits[c], 0.0);
        ripple[c] = cycle_at(&b, 1.0).case_ripple[SM_IGBT];
        bench_close(&b);
    }
    cr_expect_lt(ripple[1], 0.2 * ripple[0]);
}

Test(network_cycle, no_equilibrium_is_told)
{
    struct bench b;
    struct sm_network_cycle cycle;
    fixture_warm(&b.f);
    bench_open(&b, SM_CIRCUIT_HALF_BRIDGE, 0.0);
    b.stage.loss_factor = 40.0;
    const struct operating_point point = operating_point_at(&b.f.drive, 1.0, 1.0);
    cr_assert_eq(network_cycle_solve(&b.scratch, &b.stage, &point, &b.plan, &cycle), SM_OK);
    cr_expect_eq(cycle.untold, SM_UNTOLD_RUNAWAY);
    bench_close(&b);
}
