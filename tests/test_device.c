/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "device/device.h"

#include "support/fixture.h"
#include "support/near.h"

#include <criterion/criterion.h>

static const struct switching_use at_test = { .v_dc = 648.0 };

Test(device, is_linear_in_temperature_between_and_beyond_its_curves)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    for (int j = 0; j < 2; j++)
        f.v_igbt[1][j] = f.v_igbt[0][j] * 1.5;
    const struct device d = device_build(&arena, &f.module, SM_IGBT, &at_test);
    const double cold = FIXTURE_V0_IGBT + FIXTURE_R_IGBT * 100.0;
    for (double t = 250.0; t < 550.0; t += 25.0)
        NEAR_REL(device_voltage(&d, 100.0, t), cold * (1.0 + 0.5 * (t - 298.15) / 125.0), 1e-12);
    arena_release(&arena);
}

Test(device, three_curves_bend_at_the_middle_one)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    double v[3][2] = { { 1.0, 2.0 }, { 1.2, 2.2 }, { 2.0, 3.0 } };
    struct sm_row rows[3] = { { 300.0, { v[0], 2 }, 0 },
                              { 400.0, { v[1], 2 }, 0 },
                              { 450.0, { v[2], 2 }, 0 } };
    f.module.igbt_conduction.voltage = (struct sm_rows){ rows, 3 };
    const struct device d = device_build(&arena, &f.module, SM_IGBT, &at_test);
    NEAR(device_voltage(&d, 0.0, 350.0), 1.1, 1e-12);
    NEAR(device_voltage(&d, 0.0, 425.0), 1.6, 1e-12);
    NEAR(device_voltage(&d, 0.0, 460.0), 2.16, 1e-12);
    NEAR(device_voltage(&d, 0.0, 290.0), 0.98, 1e-12);
    cr_assert_eq(d.n_knots, 5, "the energies' two temperatures and the voltages' three");
    arena_release(&arena);
}

/* Scaling rules and anchors: Wintrich et al., Application Manual Power Semiconductors, 2nd ed. 2015
 * (exponents from memory); 600 to 800 V: 1.4746 with 1.35, 1.1884 with 0.6; half the current: 0.5
 * and 0.6598; 25 K: 1.075 and 1.15 (each a hand calculation from the rule). */
Test(device, single_points_follow_the_exponents_of_the_application_literature)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    double one[1] = { 100.0 }, e[1] = { 10e-3 };
    struct sm_row row[1] = { { 398.15, { e, 1 }, 0 } };
    f.module.igbt_switching.current = f.module.diode_recovery.current = (struct sm_list){ one, 1 };
    f.module.igbt_switching.e_on = f.module.diode_recovery.e_rr = (struct sm_rows){ row, 1 };
    f.module.igbt_switching.e_off = (struct sm_rows){ row, 1 };
    f.module.igbt_switching.test_voltage = f.module.diode_recovery.test_voltage = 600.0;
    const struct switching_use use = { .v_dc = 800.0 };
    const struct device igbt = device_build(&arena, &f.module, SM_IGBT, &use);
    const struct device diode = device_build(&arena, &f.module, SM_DIODE, &use);
    NEAR(device_energy(&igbt, ENERGY_FIRST, 100.0, 398.15), 14.746e-3, 1e-6);
    NEAR(device_energy(&diode, ENERGY_FIRST, 100.0, 398.15), 11.884e-3, 1e-6);
    NEAR(device_energy(&igbt, ENERGY_SECOND, 50.0, 398.15), 7.373e-3, 1e-6);
    NEAR(device_energy(&diode, ENERGY_FIRST, 50.0, 398.15), 11.884e-3 * 0.6598, 1e-6);
    NEAR(device_energy(&igbt, ENERGY_FIRST, 100.0, 423.15), 14.746e-3 * 1.075, 1e-6);
    NEAR(device_energy(&diode, ENERGY_FIRST, 100.0, 423.15), 11.884e-3 * 1.15, 1e-6);
    cr_assert(igbt.power_law && diode.power_law);
    arena_release(&arena);
}

Test(device, terminal_curves_lose_the_lead_drop_first_and_never_go_below_zero)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    f.module.curves = SM_CURVES_TERMINAL;
    f.module.lead_resistance = 0.001;
    f.current[0] = 20.0; /* below it the straight line goes on, down to 0 V at the least */
    f.v_igbt[0][0] = f.v_igbt[1][0] = 0.05;
    const struct device d = device_build(&arena, &f.module, SM_IGBT, &at_test);
    NEAR(device_voltage(&d, 400.0, 350.0), FIXTURE_V0_IGBT + (FIXTURE_R_IGBT - 0.001) * 400.0,
         1e-12);
    NEAR(device_voltage(&d, 0.0, 350.0), 0.0, 0.0);
    arena_release(&arena);
}

/* 10 mV/A from 20 A down: 0.05 V there is 0 V at 15 A, 0.10 V at 10 A; above stand the points of
 * the voltage curves and of the energies. */
Test(device, losses_bend_where_each_voltage_curve_meets_zero)
{
    const double bend[] = { 10.0, 15.0, 20.0, 400.0 };
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    f.current[0] = 20.0;
    for (int k = 0; k < 2; k++) {
        f.v_igbt[k][0] = 0.05 * (k + 1);
        f.v_igbt[k][1] = f.v_igbt[k][0] + 0.010 * 380.0;
    }
    const struct device d = device_build(&arena, &f.module, SM_IGBT, &at_test);
    cr_assert_eq(d.n_breaks, (size_t)4);
    for (size_t i = 0; i < 4; i++)
        NEAR_REL(d.i_break[i], bend[i], 1e-12);
    arena_release(&arena);
}

/* Hand: straight line of the table between 5 and 15 ohm: at 10 ohm 9 mJ, at the test's 5 ohm 6 mJ.
 */
Test(device, gate_resistor_scales_energies_by_its_table)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    double rg[2] = { 5.0, 15.0 }, e_on[2] = { 6e-3, 12e-3 }, e_off[2] = { 8e-3, 9e-3 };
    f.module.igbt_switching.rg = (struct sm_list){ rg, 2 };
    f.module.igbt_switching.e_on_rg = (struct sm_list){ e_on, 2 };
    f.module.igbt_switching.e_off_rg = (struct sm_list){ e_off, 2 };
    f.module.igbt_switching.test_rg_on = f.module.igbt_switching.test_rg_off =
        (struct sm_optional){ true, 5.0 };
    const struct switching_use use = { 648.0, { true, 10.0 }, { true, 15.0 } };
    const struct device d = device_build(&arena, &f.module, SM_IGBT, &use);
    NEAR_REL(device_energy(&d, ENERGY_FIRST, 100.0, 350.0), FIXTURE_E_ON * 100.0 * 1.5, 1e-12);
    NEAR_REL(device_energy(&d, ENERGY_SECOND, 100.0, 350.0), FIXTURE_E_OFF * 100.0 * 1.125, 1e-12);
    const struct device unknown = device_build(&arena, &f.module, SM_IGBT, &at_test);
    NEAR_REL(device_energy(&unknown, ENERGY_FIRST, 100.0, 350.0), FIXTURE_E_ON * 100.0, 1e-12);
    arena_release(&arena);
}

/* The other switch's turn-on turns the diode off: that resistor and the diode's own table. */
Test(device, the_diodes_energy_follows_the_turn_on_resistor_by_its_own_table)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    double rg[2] = { 5.0, 15.0 }, e_on[2] = { 6e-3, 12e-3 }, e_rr[2] = { 4e-3, 3e-3 };
    f.module.igbt_switching.rg = f.module.diode_recovery.rg = (struct sm_list){ rg, 2 };
    f.module.igbt_switching.e_on_rg = f.module.igbt_switching.e_off_rg =
        (struct sm_list){ e_on, 2 };
    f.module.diode_recovery.e_rr_rg = (struct sm_list){ e_rr, 2 };
    f.module.igbt_switching.test_rg_on = f.module.igbt_switching.test_rg_off = sm_given(5.0);
    const struct switching_use use = { 648.0, { true, 10.0 }, { true, 15.0 } };
    const struct device d = device_build(&arena, &f.module, SM_DIODE, &use);
    NEAR_REL(device_energy(&d, ENERGY_FIRST, 100.0, 350.0), FIXTURE_E_RR * 100.0 * 0.875, 1e-12);
    cr_expect_not(d.energy[ENERGY_SECOND].present);
    NEAR(device_energy(&d, ENERGY_SECOND, 100.0, 350.0), 0.0, 0.0);
    const struct switching_use same = { 648.0, { true, 5.0 }, { true, 5.0 } };
    const struct device as_tested = device_build(&arena, &f.module, SM_DIODE, &same);
    NEAR_REL(device_energy(&as_tested, ENERGY_FIRST, 100.0, 350.0), FIXTURE_E_RR * 100.0, 1e-12);
    arena_release(&arena);
}

/* Each energy's factor is its own: bus 648 to 324 V by 1.35 and 0.6, and where only one of the
 * resistors, used or tested, is known, none. */
Test(device, a_resistor_that_is_not_known_on_one_side_scales_nothing)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    double rg[2] = { 5.0, 15.0 }, e[2] = { 6e-3, 12e-3 };
    f.module.igbt_switching.rg = (struct sm_list){ rg, 2 };
    f.module.igbt_switching.e_on_rg = f.module.igbt_switching.e_off_rg = (struct sm_list){ e, 2 };
    f.module.igbt_switching.test_rg_on = sm_given(5.0);
    const struct switching_use use = { 324.0, { false, 0.0 }, { true, 15.0 } };
    const struct device d = device_build(&arena, &f.module, SM_IGBT, &use);
    const double bus = pow(0.5, 1.35);
    NEAR_REL(device_energy(&d, ENERGY_FIRST, 100.0, 350.0), FIXTURE_E_ON * 100.0 * bus, 1e-12);
    NEAR_REL(device_energy(&d, ENERGY_SECOND, 100.0, 350.0), FIXTURE_E_OFF * 100.0 * bus, 1e-12);
    arena_release(&arena);
}

/* Three temperatures of voltages, two others of turn-on, one of turn-off: between the knots all is
 * straight, so that knots and single temperatures tell the same; at rows' own temperatures the rows
 * themselves come out. */
Test(device, knots_tell_what_single_temperatures_do)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    double v[3][2] = { { 1.0, 2.0 }, { 1.2, 2.2 }, { 2.0, 3.0 } };
    struct sm_row rows[3] = { { 300.0, { v[0], 2 }, 0 },
                              { 400.0, { v[1], 2 }, 0 },
                              { 450.0, { v[2], 2 }, 0 } };
    f.module.igbt_conduction.voltage = (struct sm_rows){ rows, 3 };
    f.e_on[1][1] *= 1.4;
    f.module.igbt_switching.e_off.n = 1;
    f.module.igbt_switching.temperature_coefficient = 0.004;
    const struct device d = device_build(&arena, &f.module, SM_IGBT, &at_test);
    const double knots[] = { 298.15, 300.0, 400.0, 423.15, 450.0 };
    const double i[3] = { 0.0, 100.0, 400.0 };
    double voltage[15], on[15], off[15];
    cr_assert_eq(d.n_knots, 5);
    device_voltage_at_knots(&d, i, 3, voltage);
    device_energy_at_knots(&d, ENERGY_FIRST, i, 3, on);
    device_energy_at_knots(&d, ENERGY_SECOND, i, 3, off);
    for (size_t k = 0; k < 5; k++) {
        NEAR(d.t_knot[k], knots[k], 0.0);
        const double grown = 1.0 + 0.4 * (knots[k] - 298.15) / 125.0;
        const double off_grown = 1.0 + 0.004 * (knots[k] - 298.15);
        for (size_t j = 0; j < 3; j++) {
            NEAR(voltage[k * 3 + j], device_voltage(&d, i[j], knots[k]), 1e-12);
            NEAR(on[k * 3 + j], FIXTURE_E_ON * i[j] * grown, 1e-12);
            NEAR(on[k * 3 + j], device_energy(&d, ENERGY_FIRST, i[j], knots[k]), 1e-12);
            NEAR(off[k * 3 + j], FIXTURE_E_OFF * i[j] * off_grown, 1e-12);
        }
    }
    for (size_t row = 0; row < 3; row++) {
        NEAR(device_voltage(&d, 0.0, rows[row].at), v[row][0], 1e-12);
        NEAR(device_voltage(&d, 400.0, rows[row].at), v[row][1], 1e-12);
    }
    for (double t = 270.0; t < 480.0; t += 7.0) {
        const double straight = FIXTURE_E_OFF * 100.0 * (1.0 + 0.004 * (t - 298.15));
        NEAR(device_energy(&d, ENERGY_SECOND, 100.0, t), straight, 1e-12);
    }
    arena_release(&arena);
}

/* A straight line through the origin, in numbers without rounding: it meets 0 V at 0 A, where there
 * is no loss to bend. */
Test(device, a_voltage_through_the_origin_adds_no_bend)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    f.current[0] = 16.0;
    for (int k = 0; k < 2; k++) {
        f.v_igbt[k][0] = 0.25;
        f.v_igbt[k][1] = 6.25;
    }
    const struct device d = device_build(&arena, &f.module, SM_IGBT, &at_test);
    cr_assert_eq(d.n_breaks, 2);
    NEAR(d.i_break[0], 16.0, 0.0);
    NEAR(d.i_break[1], 400.0, 0.0);
    arena_release(&arena);
}

/* A voltage that does not rise never meets zero: its points stay, and nothing is added. */
Test(device, a_flat_voltage_bends_at_its_points_alone)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    f.current[0] = 20.0;
    f.v_igbt[0][0] = f.v_igbt[0][1] = 1.0;
    f.v_igbt[1][0] = 1.2;
    f.v_igbt[1][1] = 1.1;
    const struct device d = device_build(&arena, &f.module, SM_IGBT, &at_test);
    cr_assert_eq(d.n_breaks, 2);
    NEAR(d.i_break[0], 20.0, 0.0);
    NEAR(d.i_break[1], 400.0, 0.0);
    arena_release(&arena);
}

/* One row of everything: no bend over temperature, two knots that carry the coefficient. */
Test(device, single_rows_are_straight_over_temperature)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    f.module.igbt_conduction.voltage.n = f.module.igbt_switching.e_on.n =
        f.module.igbt_switching.e_off.n = 1;
    const struct device d = device_build(&arena, &f.module, SM_IGBT, &at_test);
    cr_assert_eq(d.n_knots, 2);
    cr_assert_gt(d.t_knot[1], d.t_knot[0]);
    for (double t = 250.0; t < 500.0; t += 10.0) {
        NEAR(device_voltage(&d, 100.0, t), FIXTURE_V0_IGBT + FIXTURE_R_IGBT * 100.0, 1e-12);
        NEAR_REL(device_energy(&d, ENERGY_FIRST, 100.0, t),
                 FIXTURE_E_ON * 100.0 * (1.0 + 0.003 * (t - 298.15)), 1e-12);
    }
    arena_release(&arena);
}

/* Points of voltages and of each energy, once each and rising; those at 0 A bend nothing. */
Test(device, losses_bend_at_the_points_of_every_curve_once)
{
    const double bend[] = { 50.0, 100.0, 150.0, 200.0, 400.0 };
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    double i_v[4] = { 0.0, 100.0, 200.0, 400.0 },
           v[2][4] = { { 0.9, 1.9, 2.9, 4.9 }, { 0.9, 1.9, 2.9, 4.9 } };
    double i_e[4] = { 50.0, 100.0, 150.0, 400.0 }, e[4] = { 5e-3, 10e-3, 15e-3, 40e-3 };
    for (int k = 0; k < 2; k++) {
        f.rows[0][k].values = (struct sm_list){ v[k], 4 };
        f.rows[2][k].values = f.rows[3][k].values = (struct sm_list){ e, 4 };
    }
    f.module.igbt_conduction.current = (struct sm_list){ i_v, 4 };
    f.module.igbt_switching.current = (struct sm_list){ i_e, 4 };
    const struct device d = device_build(&arena, &f.module, SM_IGBT, &at_test);
    cr_assert_eq(d.n_breaks, 5);
    for (size_t k = 0; k < 5; k++)
        NEAR(d.i_break[k], bend[k], 0.0);
    cr_expect_not(d.power_law);
    arena_release(&arena);
}
