/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where curves and energies are looked at; the bounds themselves are test_sanity.c's. */
#include "assess/sanity.h"

#include "support/fixture.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

/* Straight lines between points and beyond the last; below the first in proportion to the current,
 * as from a single point. */
Test(sanity_curves, energies_between_and_beyond_points_are_straight)
{
    double i[] = { 50.0, 100.0, 200.0 }, e[] = { 4.0, 10.0, 30.0 };
    const struct sm_list current = { i, 3 }, energy = { e, 3 };
    double i_one[] = { 50.0, -1.0 }, e_one[] = { 4.0, -1.0 }; /* the second is none of them */
    const struct sm_list one_current = { i_one, 1 }, one_energy = { e_one, 1 };
    cr_expect_float_eq(look_at(&current, &energy, 75.0), 7.0, 1e-12);
    cr_expect_float_eq(look_at(&current, &energy, 100.0), 10.0, 1e-12);
    cr_expect_float_eq(look_at(&current, &energy, 150.0), 20.0, 1e-12);
    cr_expect_float_eq(look_at(&current, &energy, 300.0), 50.0, 1e-12);
    cr_expect_float_eq(look_at(&current, &energy, 0.0), -2.0, 1e-12);
    cr_expect_float_eq(look_energy(&current, &energy, 150.0), 20.0, 1e-12);
    cr_expect_float_eq(look_energy(&current, &energy, 25.0), 2.0, 1e-12);
    cr_expect_float_eq(look_energy(&one_current, &one_energy, 25.0), 2.0, 1e-12);
    cr_expect_float_eq(look_energy(&one_current, &one_energy, 100.0), 8.0, 1e-12);
}

static bool warns(const struct fixture *f, enum sm_sanity_id id)
{
    struct sm_warnings warnings;
    bool found = false;
    sm_warnings_init(&warnings);
    cr_assert_eq(sm_module_sanity(&f->module, &warnings), SM_OK);
    for (size_t i = 0; i < warnings.count; i++)
        found = found || warnings.list[i].id == id;
    sm_warnings_release(&warnings);
    return found;
}

/* The IGBT's energies end at 400 A, the diode's at 200 A: compared at 200 A, where both are known.
 * There 0.9 of 42 mJ, on a line that would be above them at 400 A. */
Test(sanity_curves, recovery_is_compared_where_both_tables_reach)
{
    struct fixture f;
    fixture_make(&f);
    double i[] = { 100.0, 200.0 }, e[] = { 1e-3, 0.9 * 200.0 * (FIXTURE_E_ON + FIXTURE_E_OFF) };
    f.module.diode_recovery.current = (struct sm_list){ i, 2 };
    for (int k = 0; k < 2; k++)
        f.rows[4][k].values = (struct sm_list){ e, 2 };
    cr_expect_not(warns(&f, SM_SANITY_RECOVERY_LARGE));
    cr_expect_not(warns(&f, SM_SANITY_RECOVERY_SMALL));
    e[1] = 1.1 * 200.0 * (FIXTURE_E_ON + FIXTURE_E_OFF);
    cr_expect(warns(&f, SM_SANITY_RECOVERY_LARGE));
}

/* From 30 mJ at 200 A to 24 mJ at 400 A. */
Test(sanity_curves, a_fall_is_told_with_both_its_values_and_where_it_ends)
{
    struct fixture f;
    struct sm_warnings warnings;
    size_t told = 0;
    fixture_make(&f);
    f.e_current[0] = 200.0;
    f.e_on[1][0] = 30e-3;
    f.e_on[1][1] = 24e-3;
    sm_warnings_init(&warnings);
    cr_assert_eq(sm_module_sanity(&f.module, &warnings), SM_OK);
    for (size_t i = 0; i < warnings.count; i++) {
        const struct sm_warning *w = &warnings.list[i];
        if (w->id != SM_SANITY_FALLS_WITH_CURRENT)
            continue;
        cr_expect_float_eq(w->value[0], 30e-3, 1e-12);
        cr_expect_float_eq(w->value[1], 24e-3, 1e-12);
        cr_expect_float_eq(w->value[2], 400.0, 1e-12);
        told++;
    }
    cr_expect_eq(told, 1);
    sm_warnings_release(&warnings);
}

/* Points from 0 to 400 A, 0.2 V at 0 A: the straight line through 75 A and 150 A starts there. */
Test(sanity_curves, the_knee_is_looked_for_between_any_two_points)
{
    struct fixture f;
    fixture_make(&f);
    cr_expect_not(warns(&f, SM_SANITY_KNEE_LOW));
    for (int k = 0; k < 2; k++)
        for (int j = 0; j < 2; j++)
            f.v_igbt[k][j] -= FIXTURE_V0_IGBT - 0.2;
    cr_expect(warns(&f, SM_SANITY_KNEE_LOW));
    f.current[0] = 80.0; /* 75 A is not in the table */
    cr_expect_not(warns(&f, SM_SANITY_KNEE_LOW));
}

/* From 1 ms to 1 s, both ends included; one term of 0.5 K/W, so that its mean is its own time to
 * the last digit. */
Test(sanity_curves, terms_are_neither_faster_than_a_millisecond_nor_slower_than_a_second)
{
    static const struct {
        double tau;
        bool slip;
    } rows[] = { { 0.999e-3, true }, { 1e-3, false }, { 1.0, false }, { 1.001, true } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fixture f;
        fixture_make(&f);
        f.foster_r[0][0] = f.module.igbt_thermal.rth_jc = 0.5;
        f.foster_tau[0][0] = rows[i].tau;
        cr_expect_eq(warns(&f, SM_SANITY_FOSTER_TIME), rows[i].slip, "%g s", rows[i].tau);
    }
}
