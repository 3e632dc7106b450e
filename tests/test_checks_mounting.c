/* SPDX-License-Identifier: GPL-3.0-or-later
 * Torque, comparison with the original, the whole bridge.  Expected outcomes are the rules' own
 * statements. */
#include "support/fit.h"
#include "support/near.h"

#include <criterion/criterion.h>
#include <stdio.h>

static struct fit_case t;

/* 3 to 5 N.m, used 4 N.m. */
Test(checks_mounting, the_torque_used_lies_within_the_modules_range)
{
    fit_make(&t);
    struct sm_optional *used = &t.f.drive.joint.screw_torque;
    fit_is(&t, SM_CHECK_SCREW_TORQUE, SM_CHECK_PASS, SM_NOTE_SCREW_TORQUE_PASS);
    used->value = 3.0;
    fit_is(&t, SM_CHECK_SCREW_TORQUE, SM_CHECK_PASS, SM_NOTE_SCREW_TORQUE_PASS);
    used->value = 5.0;
    fit_is(&t, SM_CHECK_SCREW_TORQUE, SM_CHECK_PASS, SM_NOTE_SCREW_TORQUE_PASS);
    used->value = 2.9;
    fit_is(&t, SM_CHECK_SCREW_TORQUE, SM_CHECK_FAIL, SM_NOTE_SCREW_TORQUE_FAIL);
    fit_has(&t, SM_CHECK_SCREW_TORQUE, 2.9, 3.0);
    used->value = 5.1;
    fit_is(&t, SM_CHECK_SCREW_TORQUE, SM_CHECK_FAIL, SM_NOTE_SCREW_TORQUE_FAIL);
    fit_has(&t, SM_CHECK_SCREW_TORQUE, 5.1, 5.0);
    fit_release(&t);
}

Test(checks_mounting, the_torque_needs_both_files)
{
    fit_make(&t);
    fit_wants(&t, SM_CHECK_SCREW_TORQUE, &t.f.drive.joint.screw_torque,
              "drive [joint] screw_torque");
    t.f.module.mounting.screw_torque.n = 0;
    cr_expect_str_eq(fit_missing(fit_row(&t, SM_CHECK_SCREW_TORQUE)),
                     "module [mounting] screw_torque");
    fit_release(&t);
}

Test(checks_mounting, without_an_original_a_person_compares)
{
    fit_make(&t);
    fit_is(&t, SM_CHECK_THERMISTOR, SM_CHECK_NOT_CHECKED, SM_NOTE_HAND_THERMISTOR);
    fit_is(&t, SM_CHECK_OUTLINE, SM_CHECK_NOT_CHECKED, SM_NOTE_HAND_OUTLINE);
    fit_is(&t, SM_CHECK_PINOUT, SM_CHECK_NOT_CHECKED, SM_NOTE_HAND_PINOUT);
    fit_release(&t);
}

Test(checks_mounting, what_is_the_same_as_the_original_passes)
{
    fit_make(&t);
    fit_original(&t);
    fit_is(&t, SM_CHECK_THERMISTOR, SM_CHECK_PASS, SM_NOTE_THERMISTOR_PASS);
    fit_is(&t, SM_CHECK_OUTLINE, SM_CHECK_PASS, SM_NOTE_OUTLINE_PASS);
    fit_is(&t, SM_CHECK_PINOUT, SM_CHECK_PASS, SM_NOTE_PINOUT_PASS);
    fit_release(&t);
}

Test(checks_mounting, capitals_and_blanks_make_no_difference_and_anything_else_asks_a_person)
{
    fit_make(&t);
    fit_original(&t);
    (void)snprintf(t.words[1][0], sizeof t.words[1][0], " 94x34 MM,  m6 ");
    fit_is(&t, SM_CHECK_OUTLINE, SM_CHECK_PASS, SM_NOTE_OUTLINE_PASS);
    (void)snprintf(t.words[1][0], sizeof t.words[1][0], "94 x 34 mm, M6, 30 high");
    fit_is(&t, SM_CHECK_OUTLINE, SM_CHECK_WARN, SM_NOTE_OUTLINE_WARN);
    const struct sm_check *check = fit_row(&t, SM_CHECK_OUTLINE);
    cr_expect_str_eq(check->why.text, "94 x 34 mm, M6");
    cr_expect_str_eq(check->why.other, "94 x 34 mm, M6, 30 high");
    (void)snprintf(t.words[0][1], sizeof t.words[0][1], "1 AC, 2 plus, 3 minus");
    fit_is(&t, SM_CHECK_PINOUT, SM_CHECK_WARN, SM_NOTE_PINOUT_WARN);
    t.words[1][1][0] = '\0';
    fit_is(&t, SM_CHECK_PINOUT, SM_CHECK_NOT_CHECKED, SM_NOTE_HAND_PINOUT);
    fit_release(&t);
}

Test(checks_mounting, thermistors_are_compared_by_resistance_and_a_b_value_that_both_give)
{
    fit_make(&t);
    fit_original(&t);
    struct sm_thermistor *other = &t.original.thermistor;
    other->r25.value = 10e3;
    fit_is(&t, SM_CHECK_THERMISTOR, SM_CHECK_WARN, SM_NOTE_THERMISTOR_WARN);
    other->r25.value = 5e3;
    other->b25_50.value = 3435.0;
    fit_is(&t, SM_CHECK_THERMISTOR, SM_CHECK_WARN, SM_NOTE_THERMISTOR_WARN);
    /* B values over different spans cannot be compared */
    other->b25_80 = other->b25_50;
    other->b25_50.given = false;
    fit_is(&t, SM_CHECK_THERMISTOR, SM_CHECK_NOT_CHECKED, SM_NOTE_HAND_THERMISTOR);
    other->r25.given = false;
    fit_is(&t, SM_CHECK_THERMISTOR, SM_CHECK_NOT_CHECKED, SM_NOTE_HAND_THERMISTOR);
    fit_release(&t);
}

/* Six switches: three half-bridges, or one six-pack. */
Test(checks_mounting, a_set_is_asked_for_where_more_than_one_module_makes_the_bridge)
{
    fit_make(&t);
    fit_is(&t, SM_CHECK_SET_OF_THREE, SM_CHECK_NOT_CHECKED, SM_NOTE_HAND_SET_OF_THREE);
    NEAR(fit_row(&t, SM_CHECK_SET_OF_THREE)->why.value[0], 3.0, 0.0);
    t.f.module.circuit = SM_CIRCUIT_SIX_PACK;
    fit_is(&t, SM_CHECK_SET_OF_THREE, SM_CHECK_PASS, SM_NOTE_SET_OF_THREE_ONE);
    t.f.drive.rating.parallel = 2;
    fit_is(&t, SM_CHECK_SET_OF_THREE, SM_CHECK_NOT_CHECKED, SM_NOTE_HAND_SET_OF_THREE);
    fit_release(&t);
}

Test(checks_mounting, the_lot_matters_only_to_modules_in_parallel)
{
    fit_make(&t);
    fit_is(&t, SM_CHECK_SAME_LOT, SM_CHECK_PASS, SM_NOTE_SAME_LOT_ONE);
    t.f.drive.rating.parallel = 2;
    fit_is(&t, SM_CHECK_SAME_LOT, SM_CHECK_NOT_CHECKED, SM_NOTE_HAND_SAME_LOT);
    fit_release(&t);
}
