/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The parts of the loop; the loop itself is test_electrothermal.c's. */
#include "solve/equilibrium.h"

#include "support/near.h"

#include <criterion/criterion.h>

/* The sum of all later steps, each q times the one before: q/(1 - q) of the last; by hand. */
Test(equilibrium, what_is_left_of_shrinking_steps_is_their_sum)
{
    NEAR(steps_left(1.0, 2.0), 1.0, 1e-15);
    NEAR(steps_left(1.0, 4.0), 1.0 / 3.0, 1e-15);
    NEAR(steps_left(3.0, 4.0), 9.0, 1e-12);
    NEAR(steps_left(1.0, 100.0), 1.0 / 99.0, 1e-15);
    double sum = 0.0, step = 0.8;
    for (int k = 0; k < 400; k++)
        sum += step *= 0.8;
    NEAR_REL(steps_left(0.8, 1.0), sum, 1e-12);
}

Test(equilibrium, no_ratio_below_a_hundredth_is_believed)
{
    NEAR(steps_left(1.0, 1e6), 1.0 / 99.0, 1e-15);
}

Test(equilibrium, steps_that_do_not_shrink_leave_no_bound)
{
    cr_expect_eq(steps_left(1.0, 1.0), HUGE_VAL);
    cr_expect_eq(steps_left(2.0, 1.0), HUGE_VAL);
    cr_expect_eq(steps_left(1.0, 0.0), HUGE_VAL);   /* the first */
    NEAR(steps_left(0.9e-10, 1e-30), 0.9e-10, 0.0); /* rounding */
    cr_expect_eq(steps_left(1.1e-10, 1e-10), HUGE_VAL);
}

/* By hand: 2 switches of 60, 20 and 1 W and 8 W of one case are 170 W a module; three of them and
 * 90 W more on 0.05 K/W lift the sink by 30 K.  Then either the module's joint, 0.1 K/W, or each
 * chip's own. */
Test(equilibrium, cases_stand_on_sink_and_joint)
{
    struct heat_path path = { .t_base = 300.0,
                              .rth_sa = 0.05,
                              .form = SM_JOINT_MODULE,
                              .rth_module = 0.1,
                              .rth_switch = { 0.2, 0.3 },
                              .modules = 3,
                              .switches = 2,
                              .other_heat = 90.0,
                              .same_case_heat = 8.0 };
    const double power[SM_CHIP_COUNT] = { [SM_IGBT] = 60.0, [SM_DIODE] = 20.0 };
    double t_case[SM_CHIP_COUNT];
    cases_from_losses(&path, power, 1.0, t_case);
    NEAR(t_case[SM_IGBT], 330.0 + 17.0, 1e-9);
    NEAR(t_case[SM_DIODE], 330.0 + 17.0, 1e-9);
    path.form = SM_JOINT_PER_SWITCH;
    cases_from_losses(&path, power, 1.0, t_case);
    NEAR(t_case[SM_IGBT], 330.0 + 12.0, 1e-9);
    NEAR(t_case[SM_DIODE], 330.0 + 6.0, 1e-9);
}
