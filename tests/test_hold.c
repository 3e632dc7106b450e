/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/hold.h"

#include "base/arena.h"
#include "base/maths.h"
#include "solve/stage.h"
#include "support/fixture.h"
#include "support/near.h"
#include "support/solved.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

/* Losses of one leg at a standing current, straight-line devices without temperature: by hand. */
static double igbt_loss(double i)
{
    return 0.5 * i * (FIXTURE_V0_IGBT + FIXTURE_R_IGBT * i) +
           4000.0 * (FIXTURE_E_ON + FIXTURE_E_OFF) * i;
}

static double diode_loss(double i)
{
    return 0.5 * i * (FIXTURE_V0_DIODE + FIXTURE_R_DIODE * i) + 4000.0 * FIXTURE_E_RR * i;
}

/* Closed form: losses do not follow temperature, so each temperature is a sum of products. */
Test(hold, equals_the_closed_form_for_half_bridge_six_pack_and_single)
{
    const double i = SQRT2 * 77.0, r_lead = 0.5e-3;
    const double hot = igbt_loss(i) + diode_loss(i) + r_lead * i * i;
    const double other = igbt_loss(i / 2) + diode_loss(i / 2) + r_lead * i * i / 4.0;
    const double bridge = hot + 2.0 * other;
    const double sink = 313.15 + 0.03 * (bridge + 100.0);
    const struct {
        enum sm_circuit circuit;
        double igbt_case, diode_case;
    } rows[] = {
        { SM_CIRCUIT_HALF_BRIDGE, hot, hot },
        { SM_CIRCUIT_SIX_PACK, bridge, bridge },
        { SM_CIRCUIT_SINGLE, igbt_loss(i) + r_lead * i * i / 2.0,
          diode_loss(i) + r_lead * i * i / 2.0 },
    };
    for (size_t k = 0; k < 3; k++) {
        struct fixture f;
        struct sm_result result;
        fixture_make(&f);
        f.module.circuit = (int)rows[k].circuit;
        f.module.lead_resistance = r_lead;
        f.drive.cooling.other_heat = 100.0;
        solved_run(&f, &result);
        NEAR(result.hold.t_sink, sink, 1e-5);
        NEAR(result.hold.tvj[SM_IGBT], sink + 0.05 * rows[k].igbt_case + 0.2 * igbt_loss(i), 1e-5);
        NEAR(result.hold.tvj[SM_DIODE], sink + 0.05 * rows[k].diode_case + 0.35 * diode_loss(i),
             1e-5);
        sm_result_release(&result);
    }
}

/* A joint of each chip's own: its case is over the sink by that joint times its own loss. */
Test(hold, a_joint_per_switch_takes_the_loss_of_its_own_chip)
{
    const double i = SQRT2 * 77.0;
    const double bridge =
        igbt_loss(i) + diode_loss(i) + 2.0 * (igbt_loss(i / 2) + diode_loss(i / 2));
    const double sink = 313.15 + 0.03 * bridge;
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    f.module.mounting.rth_cs.given = false;
    f.module.igbt_thermal.rth_cs = (struct sm_optional){ .given = true, .value = 0.11 };
    f.module.diode_thermal.rth_cs = (struct sm_optional){ .given = true, .value = 0.17 };
    solved_run(&f, &result);
    NEAR(result.hold.t_sink, sink, 1e-5);
    NEAR(result.hold.tvj[SM_IGBT], sink + (0.11 + 0.2) * igbt_loss(i), 1e-5);
    NEAR(result.hold.tvj[SM_DIODE], sink + (0.17 + 0.35) * diode_loss(i), 1e-5);
    sm_result_release(&result);
}

/* A few millihertz: the junction follows a half-sine's every moment, so its highest is that of a
 * current that stands at the peak, with the case at the cycle's mean instead.  With the case and
 * sink taken out (next to no resistance) both must meet. */
Test(hold, meets_the_periodic_solution_at_a_few_millihertz)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    f.module.mounting.rth_cs.value = 1e-9;
    f.drive.cooling.rth_sa = 1e-9;
    f.drive.rating.modulation = SM_MOD_SINE;
    f.drive.rating.output_voltage = 0.46; /* next to no voltage: duty 1/2 */
    f.frequencies[0] = 0.004;
    solved_run(&f, &result);
    const struct sm_point *p = &result.points[0];
    NEAR(p->chip[SM_IGBT].tvj_max, result.hold.tvj[SM_IGBT], 0.01);
    NEAR(p->chip[SM_DIODE].tvj_max, result.hold.tvj[SM_DIODE], 0.01);
    sm_result_release(&result);
}

Test(hold, counts_below_one_hertz_when_it_is_the_worse)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    f.frequencies[0] = 0.5;
    f.frequencies[1] = 1.0;
    solved_run(&f, &result);
    cr_assert(result.points[0].hold_governs);
    NEAR(result.points[0].margin, result.hold.margin, 1e-9);
    cr_assert_not(result.points[1].hold_governs);
    sm_result_release(&result);
}

/* Below 1 Hz the hold's runaway is the point's, whatever the cycle would do. */
Test(hold, runs_away_for_a_test_frequency_below_one_hertz)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    for (int j = 0; j < 2; j++)
        f.v_igbt[1][j] *= 3.0;
    f.drive.cooling.rth_sa = 0.12;
    f.foster_tau[0][0] = f.foster_tau[1][0] = 20.0; /* the cycle itself does not swing */
    f.frequencies[0] = 0.9;
    f.frequencies[1] = 1.0;
    solved_run(&f, &result);
    cr_assert(result.hold.runaway);
    cr_assert(result.points[0].runaway && result.points[0].hold_governs);
    cr_assert_not(result.points[1].runaway);
    cr_assert_eq(result.verdict, SM_REJECT);
    sm_result_release(&result);
}

Test(hold, never_rejects_and_runs_away_as_a_condition)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    f.foster_r[1][0] = 1.2; /* hot at standstill, still fit over a cycle */
    f.module.diode_thermal.rth_jc = 1.2;
    f.drive.test.required_margin = 0.0;
    solved_run(&f, &result);
    cr_assert(result.hold.margin < 0.0 || result.hold.runaway);
    cr_assert_eq(result.reasons.count, 0);
    cr_assert_eq(result.verdict, SM_CONDITIONAL);
    bool told = false;
    for (size_t i = 0; i < result.conditions.count; i++)
        told = told || result.conditions.list[i].id == SM_NOTE_HOLD_HOT;
    cr_assert(told);
    f.drive.load.torque = SM_TORQUE_FAN; /* then it is only told */
    sm_result_release(&result);
    solved_run(&f, &result);
    for (size_t i = 0; i < result.conditions.count; i++)
        cr_assert_neq(result.conditions.list[i].id, SM_NOTE_HOLD_HOT);
    sm_result_release(&result);
}

/* The closed form of the half-bridge (see above) with the allowed current put in must give the
 * highest allowed junction: 423.15 K of the IGBT or the diode, whichever is hotter. */
Test(hold, the_current_that_may_stand_leads_to_the_highest_junction)
{
    static const double shares[] = { 0.3, 1.0, 3.0 }; /* of the load: above and below what may */
    for (size_t k = 0; k < sizeof shares / sizeof shares[0]; k++) {
        struct fixture f;
        struct sm_result result;
        fixture_make(&f);
        f.drive.test.load = shares[k];
        solved_run(&f, &result);
        cr_assert(result.hold.allowed_current.given);
        const double i = SQRT2 * result.hold.allowed_current.value;
        const double hot = igbt_loss(i) + diode_loss(i);
        const double sink =
            313.15 + 0.03 * (hot + 2.0 * (igbt_loss(i / 2.0) + diode_loss(i / 2.0)));
        const double igbt = sink + 0.05 * hot + 0.2 * igbt_loss(i);
        const double diode = sink + 0.05 * hot + 0.35 * diode_loss(i);
        NEAR(fmax(igbt, diode), 423.15, 1e-3); /* ten times the search's own */
        sm_result_release(&result);
    }
}

/* Twice the current through twice the modules is the same per module. */
Test(hold, the_current_that_may_stand_doubles_with_modules_in_parallel)
{
    struct fixture f;
    struct sm_result one, two;
    fixture_make(&f);
    solved_run(&f, &one);
    f.drive.rating.parallel = 2;
    f.drive.rating.output_current *= 2.0;
    f.drive.cooling.rth_sa *= 0.5;
    solved_run(&f, &two);
    NEAR(two.hold.allowed_current.value, 2.0 * one.hold.allowed_current.value, 1e-4);
    sm_result_release(&one);
    sm_result_release(&two);
}

/* Ambient above the highest junction: not even 1 % of the rated current. */
Test(hold, no_current_may_stand_where_the_air_is_too_hot_already)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    f.module.tvj_op_max = 310.0;
    solved_run(&f, &result);
    cr_assert_not(result.hold.allowed_current.given);
    sm_result_release(&result);
}

/* Losses that follow temperature, and no equilibrium at full current: what may stand is less, has
 * one, and is the edge of the junction's limit or of equilibrium. */
Test(hold, after_runaway_at_full_current_the_allowed_one_still_settles)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    for (int j = 0; j < 2; j++)
        f.v_igbt[1][j] *= 3.0;
    f.drive.cooling.rth_sa = 0.2;
    f.module.tvj_op_max = 523.15;
    solved_run(&f, &result);
    cr_assert(result.hold.runaway);
    cr_assert(result.hold.allowed_current.given);
    const double allowed = result.hold.allowed_current.value;
    cr_assert(allowed < 77.0 && allowed > 0.77);
    sm_result_release(&result);
    f.drive.test.load = 0.9999 * allowed / 77.0;
    solved_run(&f, &result);
    cr_assert_not(result.hold.runaway);
    cr_assert_geq(result.hold.margin, 0.0);
    sm_result_release(&result);
    f.drive.test.load = 1.0001 * allowed / 77.0;
    solved_run(&f, &result);
    cr_assert(result.hold.runaway || result.hold.margin < 0.0);
    sm_result_release(&result);
}

/* Losses a hundred times higher at 150 than at 25 degC: at -40 degC the straight line is far below
 * zero, and each turn would cool the chips further.  That is no equilibrium, and no number either:
 * the turns used to go on to minus infinity, where they stood still. */
Test(hold, losses_that_fall_without_end_are_not_followed_below_absolute_zero)
{
    struct fixture f;
    struct sm_hold hold;
    struct arena arena;
    fixture_make(&f);
    for (int k = 0; k < 2; k++)
        for (int j = 0; j < 2; j++) {
            const double factor = k == 0 ? 1.0 : 100.0;
            f.v_igbt[k][j] *= factor;
            f.v_diode[k][j] *= factor;
            f.e_on[k][j] *= factor;
            f.e_off[k][j] *= factor;
            f.e_rr[k][j] *= factor;
        }
    f.drive.cooling.ambient = 233.15;
    arena_init(&arena);
    const struct stage stage = stage_build(&arena, &f.c);
    cr_assert_eq(hold_solve(&arena, &stage, &f.drive, 77.0, &hold), SM_ERR_CONVERGE);
    cr_assert_eq(hold_try(&arena, &stage, &f.drive, 77.0, &hold), SM_OK);
    cr_assert(hold.runaway);
    arena_release(&arena);
}

/* Turn-on energies that fall from eleven times to a tenth between 25 and 150 degC: each turn
 * jumps to the other side of the goal, and farther than it came from.  The goal is still there. */
Test(hold, losses_that_fall_steeply_with_temperature_settle_where_they_balance)
{
    struct fixture f;
    struct sm_hold hold;
    struct arena arena;
    fixture_make(&f);
    for (int j = 0; j < 2; j++) {
        f.e_on[0][j] *= 11.0;
        f.e_on[1][j] /= 10.0;
    }
    arena_init(&arena);
    const struct stage stage = stage_build(&arena, &f.c);
    cr_assert_eq(hold_solve(&arena, &stage, &f.drive, 77.0, &hold), SM_OK);
    cr_assert_not(hold.runaway);

    /* the straight line of the energy at the temperature that came out, by hand */
    const double i = SQRT2 * 77.0, part = (hold.tvj[SM_IGBT] - 298.15) / 125.0;
    const double e_on = FIXTURE_E_ON * (11.0 + part * (0.1 - 11.0)) * i;
    const double igbt = igbt_loss(i) - 4000.0 * FIXTURE_E_ON * i + 4000.0 * e_on;
    const double hot = igbt + diode_loss(i); /* a half-bridge carries its own leg */
    NEAR(hold.power[SM_IGBT], igbt, 1e-3);
    NEAR(hold.tvj[SM_IGBT], hold.t_sink + 0.05 * hot + 0.2 * igbt, 1e-4);
    arena_release(&arena);
}
