/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/heat_piece.h"

#include "base/maths.h"
#include "solve/stage.h"
#include "support/fixture.h"
#include "support/near.h"

#include <criterion/criterion.h>

/* n Chebyshev points over 300 to 320 K, with the values of a polynomial. */
static struct heat_piece piece_of(int n, double polynomial(double))
{
    struct heat_piece piece = { .from = 300.0, .to = 320.0, .n = n };
    for (int k = 0; k < n; k++) {
        piece.t[k] = 310.0 - 10.0 * cos(PI * k / (n - 1));
        piece.heat[k] = polynomial(piece.t[k]);
    }
    return piece;
}

static double quartic(double t)
{
    const double x = (t - 310.0) / 10.0;
    return 5.0 + x * (2.0 + x * (-3.0 + x * (0.5 + x * 0.25)));
}

static double line(double t)
{
    return 7.0 - 0.2 * t;
}

/* n points carry every polynomial of degree n - 1, at the points and between them. */
Test(heat_piece, between_its_points_it_is_the_polynomial_through_them)
{
    const struct heat_piece two = piece_of(2, line), five = piece_of(5, quartic),
                            nine = piece_of(9, quartic);
    for (int k = 0; k <= 100; k++) {
        const double t = 300.0 + 0.2 * k;
        NEAR(heat_piece_at(&two, t), line(t), 1e-11);
        NEAR(heat_piece_at(&five, t), quartic(t), 1e-12);
        NEAR(heat_piece_at(&nine, t), quartic(t), 1e-12);
    }
}

struct bench {
    struct fixture f;
    struct arena arena;
    struct stage stage;
    struct operating_point point;
    struct chip_state chips[SM_CHIP_COUNT];
    struct heat_source source;
};

static void open(struct bench *b, double tolerance)
{
    arena_init(&b->arena);
    b->stage = stage_build(&b->arena, &b->f.c);
    b->point = operating_point_at(&b->f.drive, 60.0, 1.0);
    cr_assert_eq(electrothermal_prepare(&b->arena, &b->stage, &b->point, b->chips), SM_OK);
    b->source = (struct heat_source){
        .stage = &b->stage, .point = &b->point, .chips = b->chips, .tolerance = tolerance
    };
}

/* Losses that follow temperature: any place of a piece has the heat of a solution there, to the
 * tolerance; warming or cooling. */
Test(heat_piece, holds_the_heat_of_solutions_it_was_not_built_from)
{
    for (int cools = 0; cools < 2; cools++) {
        struct bench b;
        double heat = 0.0, edge = 0.0;
        fixture_warm(&b.f);
        open(&b, 1e-3);
        struct heat_piece piece = { .from = cools ? 340.0 : 320.0, .to = cools ? 320.0 : 340.0 };
        cr_assert(heat_at_sink(&b.source, piece.from, &heat));
        cr_assert_eq(heat_piece_build(&b.source, heat, &piece, &edge), HEAT_SMOOTH);
        NEAR(piece.t[0], piece.from, 0.0);
        NEAR(piece.t[piece.n - 1], piece.to, 0.0);
        cr_expect_eq(b.source.solves, piece.n); /* none of them twice */
        for (double t = 320.7; t < 340.0; t += 1.3) {
            cr_assert(heat_at_sink(&b.source, t, &heat));
            NEAR(heat_piece_at(&piece, t), heat, 1e-3);
        }
        arena_release(&b.arena);
    }
}

/* Straight losses are straight heat: three points, one to see that. */
Test(heat_piece, of_constant_losses_takes_three_points)
{
    struct bench b;
    double heat = 0.0, edge = 0.0;
    fixture_make(&b.f);
    open(&b, 1e-3);
    struct heat_piece piece = { .from = 320.0, .to = 340.0 };
    cr_assert(heat_at_sink(&b.source, piece.from, &heat));
    cr_assert_eq(heat_piece_build(&b.source, heat, &piece, &edge), HEAT_SMOOTH);
    cr_expect_eq(piece.n, 3);
    NEAR(piece.t[1], 330.0, 1e-9);
    arena_release(&b.arena);
}

/* A bend of the losses inside is no polynomial; a sink too hot for any equilibrium is told with its
 * temperature. */
Test(heat_piece, is_rough_over_a_bend_and_ends_at_runaway)
{
    struct bench b;
    double heat = 0.0, edge = 0.0;
    double v[3][2];
    struct sm_row rows[3];
    fixture_make(&b.f);
    for (int k = 0; k < 3; k++) {
        static const double at[3] = { 298.15, 373.15, 423.15 }, times[3] = { 1.0, 1.0, 3.0 };
        for (int j = 0; j < 2; j++)
            v[k][j] = times[k] * b.f.v_igbt[0][j];
        rows[k] = (struct sm_row){ .at = at[k], .values = { .v = v[k], .n = 2 } };
    }
    b.f.module.igbt_conduction.voltage = (struct sm_rows){ .row = rows, .n = 3 };
    open(&b, 1e-3);
    struct heat_piece piece = { .from = 310.0, .to = 380.0 };
    cr_assert(heat_at_sink(&b.source, piece.from, &heat));
    cr_expect_eq(heat_piece_build(&b.source, heat, &piece, &edge), HEAT_ROUGH);
    piece = (struct heat_piece){ .from = 310.0, .to = 640.0 };
    cr_expect_eq(heat_piece_build(&b.source, heat, &piece, &edge), HEAT_RUNAWAY);
    NEAR(edge, 640.0, 0.0);
    arena_release(&b.arena);
}
