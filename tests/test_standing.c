/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/standing.h"

#include "base/maths.h"
#include "support/fixture.h"
#include "support/near.h"

#include <criterion/criterion.h>

/* 1: turn-on energy over the fixture's; falls to nothing at 275 degC. */
static double turn_on_factor(double t)
{
    return 500.0 - 2.0 * (t - 298.15);
}

/* Losses of one leg's chips, straight-line devices, by hand. */
static double igbt_loss(double i, double t)
{
    return 0.5 * i * (FIXTURE_V0_IGBT + FIXTURE_R_IGBT * i) +
           4000.0 * (FIXTURE_E_ON * turn_on_factor(t) + FIXTURE_E_OFF) * i;
}

static double diode_loss(double i)
{
    return 0.5 * i * (FIXTURE_V0_DIODE + FIXTURE_R_DIODE * i) + 4000.0 * FIXTURE_E_RR * i;
}

/* The cold loss, 22 kW, would lead past 400 degC in one turn, and from there past absolute zero in
 * the next; through a poor sink the loop's gain is 20,000.  The balance is where losses and heat
 * path, written out here, agree: near 275 degC, where the turn-on loss is gone. */
Test(standing, losses_that_fall_settle_where_they_balance_whatever_the_sink)
{
    static const double sinks[] = { 0.001, 0.01, 0.1, 1.0, 10.0, 20.0 };
    const double i = SQRT2 * 77.0;
    for (size_t n = 0; n < sizeof sinks / sizeof sinks[0]; n++) {
        struct fixture f;
        struct standing s;
        struct arena arena;
        fixture_make(&f);
        f.drive.cooling.rth_sa = sinks[n];
        for (int j = 0; j < 2; j++) {
            f.e_on[0][j] *= turn_on_factor(298.15);
            f.e_on[1][j] *= turn_on_factor(423.15);
        }
        arena_init(&arena);
        const struct stage stage = stage_build(&arena, &f.c);
        cr_assert(standing_open(&arena, &stage, 1, i, 4000.0, &s));
        cr_assert_eq(standing_settle(&s), SETTLED, "sink of %g K/W", sinks[n]);
        const double hot = igbt_loss(i, s.t[0]) + diode_loss(i);
        const double other = igbt_loss(0.5 * i, s.t[2]) + diode_loss(0.5 * i);
        const double sink = 313.15 + sinks[n] * (hot + 2.0 * other);
        /* 5e-6 K of error in t are 1e-3 W of loss, and that, through the sink, much more heat */
        const double close = 1e-3 * (1.0 + 100.0 * sinks[n]);
        NEAR(s.p[0], igbt_loss(i, s.t[0]), 1e-6);
        NEAR(s.p[2], igbt_loss(0.5 * i, s.t[2]), 1e-6);
        NEAR(s.t_sink, sink, close);
        NEAR(s.t[0], sink + 0.05 * hot + 0.2 * igbt_loss(i, s.t[0]), close);
        NEAR(s.t[1], sink + 0.05 * hot + 0.35 * diode_loss(i), close);
        NEAR(s.t[2], sink + 0.05 * other + 0.2 * igbt_loss(0.5 * i, s.t[2]), close);
        NEAR(s.t[3], sink + 0.05 * other + 0.35 * diode_loss(0.5 * i), close);
        arena_release(&arena);
    }
}
