/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where the half cycle is cut, and what stands at the nodes: places from the schemes' own angles,
 * values from their definitions. */
#include "load/panels.h"

#include "base/maths.h"
#include "support/fixture.h"
#include "support/near.h"

#include <criterion/criterion.h>

#define PEAK 100.0 /* A */
#define WIDE 2.0   /* rad: no plain width cuts anything */
#define ALIKE 1e-9 /* rad */

struct bench {
    struct fixture f;
    struct arena arena;
    struct device device;
    struct operating_point point;
    struct panels panels;
};

static void open(struct bench *b, enum sm_modulation scheme, double phi, double hz)
{
    fixture_make(&b->f);
    arena_init(&b->arena);
    const struct switching_use use = { .v_dc = 648.0 };
    b->device = device_build(&b->arena, &b->f.module, SM_IGBT, &use);
    b->device.n_breaks = 0;
    b->point = (struct operating_point){ .output_hz = hz,
                                         .switching_hz = 4000.0,
                                         .scheme = scheme,
                                         .m = 0.9,
                                         .phi = phi,
                                         .i_peak = PEAK };
}

static void build(struct bench *b, double widest)
{
    b->panels = panels_build(&b->arena, &b->device, 1, &b->point, widest);
    cr_assert_not(b->arena.failed);
}

static double left_of(const struct panels *p, size_t panel)
{
    return p->psi[PANEL_NODES * panel];
}

static bool ends_at(const struct panels *p, double psi)
{
    for (size_t k = 1; k < p->n_panels; k++)
        if (fabs(left_of(p, k) - psi) < ALIKE)
            return true;
    return false;
}

/* The panels end at these places and nowhere else. */
static void expect_cuts(const struct bench *b, const double *psi, size_t n)
{
    for (size_t i = 0; i < n; i++)
        cr_expect(ends_at(&b->panels, psi[i]), "no cut at %g", psi[i]);
    cr_expect_eq(b->panels.n_panels, n + 1);
}

/* From -90 to 90 degrees of the current, edge to edge. */
static void expect_whole(const struct panels *p)
{
    double edge = -PI / 2.0, weight = 0.0;
    cr_assert_eq(p->n_nodes, PANEL_NODES * p->n_panels);
    for (size_t k = 0; k < p->n_panels; k++) {
        for (size_t q = 0; q < PANEL_NODES; q++) {
            const size_t j = PANEL_NODES * k + q;
            NEAR(p->psi[j], edge + p->width[k] * panel_place[q], 1e-12);
            NEAR(p->weight[j], p->width[k] * panel_mean_weight[q] / (2.0 * PI), 1e-15);
            weight += p->weight[j];
        }
        edge += p->width[k];
    }
    NEAR(edge, PI / 2.0, 1e-12);
    NEAR(weight, 0.5, 1e-12);
}

Test(panels, stand_edge_to_edge_over_the_half_cycle)
{
    for (int s = SM_MOD_SINE; s <= SM_MOD_CLAMPED; s++)
        for (int d = -180; d <= 180; d += 15)
            for (int slow = 0; slow < 2; slow++) {
                struct bench b;
                open(&b, (enum sm_modulation)s, d * PI / 180.0, slow ? 5.0 : 50.0);
                build(&b, PANELS_WIDEST);
                expect_whole(&b.panels);
                arena_release(&b.arena);
            }
}

/* 180 degrees in the fewest equal parts that are no wider; below 20 Hz in parts of 5/6 of that. */
Test(panels, are_as_wide_as_allowed_and_narrower_in_slow_cycles)
{
    static const struct {
        double hz, widest;
        size_t panels;
    } rows[] = { { 20.0, PI / 12.0 + 1e-9, 12 },
                 { 20.0, PI / 12.0 - 1e-9, 13 },
                 { 19.9, PI / 10.0 + 1e-9, 12 },
                 { 19.9, PI / 10.0 - 1e-9, 13 } };
    for (size_t i = 0; i < 4; i++) {
        struct bench b;
        open(&b, SM_MOD_SINE, 0.5, rows[i].hz);
        build(&b, rows[i].widest);
        cr_expect_eq(b.panels.n_panels, rows[i].panels, "%zu", i);
        for (size_t k = 0; k < b.panels.n_panels; k++)
            NEAR(b.panels.width[k], PI / (double)rows[i].panels, 1e-12);
        arena_release(&b.arena);
    }
}

/* Space vectors bend where two phases are alike in size: every 60 degrees of the voltage from 0 on;
 * at 30 degrees of lag that is -30, 30 and 90 of the current, and the last is its own end.  Clamped
 * legs change between, from 30 degrees on. */
Test(panels, end_where_the_modulation_bends)
{
    static const double bends[] = { -80.0, -20.0, 40.0 }, clamped[] = { -50.0, 10.0, 70.0 };
    static const double at_30[] = { -30.0, 30.0 }, clamped_at_30[] = { -60.0, 0.0, 60.0 };
    const struct {
        enum sm_modulation scheme;
        double lag;
        const double *degrees;
        size_t n;
    } rows[] = { { SM_MOD_SINE, 20.0, NULL, 0 },
                 { SM_MOD_THIRD_HARMONIC, 20.0, NULL, 0 },
                 { SM_MOD_SPACE_VECTOR, 20.0, bends, 3 },
                 { SM_MOD_SPACE_VECTOR, -160.0, bends, 3 },
                 { SM_MOD_SPACE_VECTOR, 30.0, at_30, 2 },
                 { SM_MOD_CLAMPED, 20.0, clamped, 3 },
                 { SM_MOD_CLAMPED, 30.0, clamped_at_30, 3 } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct bench b;
        double psi[3];
        open(&b, rows[i].scheme, rows[i].lag * PI / 180.0, 50.0);
        build(&b, WIDE * 2.0);
        for (size_t k = 0; k < rows[i].n; k++)
            psi[k] = rows[i].degrees[k] * PI / 180.0;
        expect_cuts(&b, psi, rows[i].n);
        arena_release(&b.arena);
    }
}

/* After each jump of a slow cycle 14 panels that shrink towards it by 1.6 from half a radian. */
Test(panels, shrink_towards_a_jump_in_slow_cycles)
{
    struct bench b;
    double psi[60];
    size_t n = 0;
    open(&b, SM_MOD_CLAMPED, 20.0 * PI / 180.0, 19.9);
    build(&b, WIDE * 2.0);
    for (int kink = -50; kink <= 70; kink += 60) {
        psi[n++] = kink * PI / 180.0;
        double distance = 0.5;
        for (int k = 0; k < 14; k++, distance /= 1.6)
            if (kink * PI / 180.0 + distance < PI / 2.0)
                psi[n++] = kink * PI / 180.0 + distance;
    }
    expect_cuts(&b, psi, n);
    arena_release(&b.arena);
}

/* A power of the current: seven panels that shrink by 4 towards both ends from 0.2 rad. */
Test(panels, shrink_towards_zero_current_where_an_energy_goes_with_a_power_of_it)
{
    struct bench b;
    double psi[14];
    open(&b, SM_MOD_SINE, 0.5, 50.0);
    b.device.power_law = true;
    build(&b, WIDE * 2.0);
    for (int k = 0; k < 7; k++) {
        psi[k] = -PI / 2.0 + 0.2 / pow(4.0, k);
        psi[7 + k] = -psi[k];
    }
    expect_cuts(&b, psi, 14);
    arena_release(&b.arena);
}

/* Where the current passes a datasheet point: peak cos psi; not at points below 5 % of the peak,
 * nor at or above it. */
Test(panels, end_where_the_current_passes_a_point_of_a_curve)
{
    struct bench b;
    const double points[] = { 4.9, 5.1, 60.0, 100.0, 150.0 };
    double psi[4];
    open(&b, SM_MOD_SINE, 0.5, 50.0);
    b.device.i_break = points;
    b.device.n_breaks = 5;
    build(&b, WIDE * 2.0);
    for (int k = 0; k < 2; k++) {
        psi[k] = acos(points[1 + k] / PEAK);
        psi[2 + k] = -psi[k];
    }
    expect_cuts(&b, psi, 4);
    arena_release(&b.arena);
}

/* A point of both chips' curves and a kink at the same place are one edge. */
Test(panels, end_once_where_two_things_happen)
{
    struct bench b;
    const double same[] = { 50.0, 50.0 * (1.0 + 1e-12) }; /* 60 degrees */
    open(&b, SM_MOD_CLAMPED, 30.0 * PI / 180.0, 50.0);
    b.device.i_break = same;
    b.device.n_breaks = 2;
    const double psi[] = { -PI / 3.0, 0.0, PI / 3.0 };
    build(&b, WIDE * 2.0);
    expect_cuts(&b, psi, 3);
    arena_release(&b.arena);
}

/* ------------------------------------------------------------------- nodes */

/* The voltage of each scheme from its three fundamentals: space vectors add half of the one in the
 * middle, clamped legs hold the largest in size at its end. */
static double duty_at(enum sm_modulation scheme, double m, double theta)
{
    double u[3], largest = 0.0, smallest = 2.0, of_largest = 0.0, of_smallest = 0.0;
    for (int k = 0; k < 3; k++) {
        u[k] = m * cos(theta - 2.0 * PI / 3.0 * k);
        if (fabs(u[k]) > largest) {
            largest = fabs(u[k]);
            of_largest = u[k];
        }
        if (fabs(u[k]) < smallest) {
            smallest = fabs(u[k]);
            of_smallest = u[k];
        }
    }
    double added = 0.0;
    if (scheme == SM_MOD_THIRD_HARMONIC)
        added = -m * cos(3.0 * theta) / 6.0;
    if (scheme == SM_MOD_SPACE_VECTOR)
        added = 0.5 * of_smallest;
    if (scheme == SM_MOD_CLAMPED)
        added = (of_largest < 0.0 ? -1.0 : 1.0) - of_largest;
    return 0.5 * (1.0 + u[0] + added);
}

/* Nodes inside a panel; those at its ends belong to two stretches. */
static void expect_nodes(const struct bench *b, const struct panels *p, size_t first, size_t every)
{
    for (size_t j = 0; j < p->n_nodes; j++) {
        NEAR(p->current[j], fmax(PEAK * cos(p->psi[j]), 0.0), 1e-12 * PEAK);
        cr_expect_geq(p->current[j], 0.0);
        if (every > 1 && (j % every < first || j % every >= every - first))
            continue;
        const double duty = duty_at(b->point.scheme, b->point.m, b->point.phi + p->psi[j]);
        NEAR(p->duty[j], duty, 1e-12);
        const bool held = b->point.scheme == SM_MOD_CLAMPED && (duty < 1e-9 || duty > 1.0 - 1e-9);
        NEAR(p->switching[j], held ? 0.0 : 4000.0, 0.0);
    }
}

Test(panels, nodes_have_the_schemes_own_duty_and_current)
{
    for (int s = SM_MOD_SINE; s <= SM_MOD_CLAMPED; s++)
        for (int d = -170; d <= 170; d += 17) {
            struct bench b;
            open(&b, (enum sm_modulation)s, d * PI / 180.0, 50.0);
            build(&b, PANELS_WIDEST);
            expect_nodes(&b, &b.panels, 1, PANEL_NODES);
            arena_release(&b.arena);
        }
}

/* Even stretches: each in its middle, all of one weight; they end at multiples of their width of
 * the voltage's angle, so that no kink stands inside one, and the first begins within half of one
 * of where conduction does. */
Test(panels, even_stretches_end_at_the_modulations_own_angles)
{
    enum { N = 120 };
    for (int s = SM_MOD_SINE; s <= SM_MOD_CLAMPED; s++)
        for (int d = -170; d <= 170; d += 17) {
            struct bench b;
            open(&b, (enum sm_modulation)s, d * PI / 180.0, 50.0);
            const struct panels even = panels_even(&b.arena, &b.point, N);
            const double width = PI / N;
            cr_assert_eq(even.n_nodes, N);
            cr_expect_eq(even.n_panels, 0);
            NEAR(even.psi[0] - 0.5 * width, -PI / 2.0, 0.5 * width + 1e-12);
            for (size_t j = 0; j < N; j++) {
                const double edge = (b.point.phi + even.psi[j]) / width - 0.5;
                NEAR(edge, round(edge), 1e-9);
                NEAR(even.psi[j], even.psi[0] + width * (double)j, 1e-12);
                NEAR(even.weight[j], 0.5 / N, 1e-15);
            }
            expect_nodes(&b, &even, 0, 1);
            arena_release(&b.arena);
        }
}
