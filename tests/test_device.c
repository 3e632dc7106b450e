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
