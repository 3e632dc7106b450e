/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/near.h"

#include <criterion/criterion.h>
#include <string.h>

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

/* 64 bytes are compared; more are no name, on either side. */
Test(near, a_name_without_end_is_near_nothing)
{
    char a[66], b[66];
    size_t distance = 0;
    memset(a, 'a', sizeof a);
    memset(b, 'a', sizeof b);
    a[64] = b[64] = '\0';
    b[10] = 'b';
    cr_expect(name_near(a, b, &distance));
    cr_expect_eq(distance, 1);
    a[64] = 'a';
    a[65] = '\0';
    cr_expect_not(name_near(a, b, &distance));
    cr_expect_not(name_near(b, a, &distance));
}
