/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Thermal runaway: losses without an equilibrium, and junctions above 400 degC, which is common
 * practice without a source. */
#include "solve/electrothermal.h"

#include "support/fixture.h"
#include "support/near.h"
#include "support/solved.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

/* Gain of the whole loop above 1 (hand: 2 * 6 * R_sa dp/dT > 1): no equilibrium exists. */
Test(runaway, too_large_a_sink_resistance_is_thermal_runaway_and_no_error)
{
    struct fixture f;
    struct sm_result result;
    fixture_warm(&f);
    f.drive.cooling.rth_sa = 2.0;
    solved_run(&f, &result);
    cr_assert(result.runaway && result.points[0].runaway);
    cr_assert_eq(result.verdict, SM_REJECT);
    cr_assert_eq(result.reasons.list[0].id, SM_NOTE_REASON_RUNAWAY);
    sm_result_release(&result);
}

/* Voltages that rise tenfold above 100 degC end the equilibrium at a fold near 0.0505 K/W.  On
 * either side, however near, the search ends: with an equilibrium or with runaway.  The panels and
 * the slopes that steer move the fold by 0.01 %; the sweep is centred on where it stands. */
Test(runaway, the_edge_of_equilibrium_is_settled_or_runaway_and_no_error)
{
    struct fixture f;
    fixture_make(&f);
    fixture_steepen(&f);
    size_t settled = 0, away = 0;
    for (int k = -100; k <= 100; k++) {
        struct sm_result result;
        f.drive.cooling.rth_sa = 0.0505031 * (1.0 + 1e-6 * k);
        solved_run(&f, &result);
        settled += result.runaway ? 0u : 1u;
        away += result.runaway ? 1u : 0u;
        sm_result_release(&result);
    }
    cr_assert(settled > 50 && away > 50, "%zu settled, %zu ran away", settled, away);
}

/* Losses that do not follow temperature raise the junction straight with the sink's resistance, so
 * that the resistance at 400 degC follows from two others.  A quick chip follows the crest of the
 * current, which stands between the nodes of the search. */
Test(runaway, a_junction_above_400_degc_has_run_away_and_one_below_has_not)
{
    struct fixture f;
    fixture_make(&f);
    f.frequencies[0] = 2.0;
    f.drive.test.frequencies.n = 1;
    f.foster_tau[SM_IGBT][0] = f.foster_tau[SM_DIODE][0] = 1e-4;
    f.drive.cooling.rth_sa = 0.1;
    const double cool = solved_hottest(&f);
    f.drive.cooling.rth_sa = 0.2;
    const double per_rth = (solved_hottest(&f) - cool) / 0.1;
    for (int k = -50; k <= 50; k++) {
        const double expected = 673.15 + 0.02 * (k + 0.5);
        struct sm_result result;
        f.drive.cooling.rth_sa = 0.1 + (expected - cool) / per_rth;
        solved_run(&f, &result);
        cr_expect_eq(result.runaway, expected > 673.15, "%.2f K", expected);
        if (!result.runaway)
            NEAR(result.points[0].chip[result.points[0].worst].tvj_max, expected, 1e-3);
        sm_result_release(&result);
    }
}
