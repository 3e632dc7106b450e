/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/maths.h"

#include <criterion/criterion.h>

/* Numbers typed in two units differ in their last digits only. */
Test(maths, the_same_number_is_one_to_nine_digits)
{
    cr_expect(same_number(298.15, 25.0 + 273.15));
    cr_expect(same_number(1.0, 1.0 + 0.9e-9));
    cr_expect_not(same_number(1.0, 1.0 + 1.1e-9));
    cr_expect(same_number(-2.0, -2.0 - 1.9e-9));
    cr_expect_not(same_number(2.0, -2.0));
    cr_expect_not(same_number(0.0, 1e-30));
    cr_expect(same_number(0.0, 0.0));
}
