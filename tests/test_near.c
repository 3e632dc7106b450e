/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/near.h"

#include <criterion/criterion.h>

/* Distances counted by hand. */
Test(near, finds_slips_of_the_fingers)
{
    size_t distance = 0;
    cr_assert(name_near("line_voltge", "line_voltage", &distance));
    cr_assert_eq(distance, 1);
    cr_assert(name_near("line_votlage", "line_voltage", &distance));
    cr_assert_eq(distance, 1);
    cr_assert(name_near("thicknes", "thickness", &distance));
    cr_assert(name_near("rth_jf", "rth_jc", &distance));
    cr_assert_eq(distance, 1);
    cr_assert_not(name_near("colour", "torque", &distance));
    cr_assert_not(name_near("xx", "rg", &distance));
}
