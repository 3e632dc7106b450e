/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where the range of a limit begins and ends; the limits themselves are test_limits.c's. */
#include "solve/limits.h"

#include "support/fixture.h"
#include "support/near.h"
#include "support/solved.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

/* The slowest of three frequencies, wherever it stands in the list, is where a lower output is
 * looked for: the range goes from it to 1 Hz, and the limit is the same. */
Test(limits_range, the_lowest_output_begins_at_the_slowest_test_frequency)
{
    static const double orders[][3] = { { 20.0, 40.0, 60.0 },
                                        { 40.0, 20.0, 60.0 },
                                        { 60.0, 40.0, 20.0 } };
    double found = 0.0, ambient = 0.0;
    for (size_t k = 0; k < 3; k++) {
        struct fixture f;
        double hz[3];
        fixture_warm(&f);
        for (int i = 0; i < 3; i++)
            hz[i] = orders[k][i];
        f.drive.test.frequencies = (struct sm_list){ .v = hz, .n = 3 };
        if (k == 0)
            ambient = solved_limit(&f, SM_LIMIT_AMBIENT).value - 2.0;
        f.drive.cooling.ambient = ambient;
        const struct sm_limit limit = solved_limit(&f, SM_LIMIT_LOWEST_OUTPUT);
        cr_assert_eq(limit.state, SM_LIMIT_FOUND);
        NEAR(limit.low, 1.0, 0.0);
        NEAR(limit.high, 20.0, 0.0);
        if (k == 0)
            found = limit.value;
        NEAR_REL(limit.value, found, 1e-4);
    }
}

/* A limit of 6 mm is beyond the range, which ends at 5 mm: kept within it, also where the 8 mm of
 * now are too much. */
Test(limits_range, one_beyond_the_range_is_none_also_from_outside)
{
    struct fixture f;
    struct sm_result result;
    fixture_warm(&f);
    f.drive.test.load = 0.05;
    f.drive.joint.thickness.value = 6e-3;
    solved_run(&f, &result);
    f.drive.test.required_margin = result.margin;
    sm_result_release(&result);
    f.drive.joint.thickness.value = 80e-6;
    cr_assert_gt(f.drive.test.required_margin, 0.0);
    cr_expect_eq(solved_limit(&f, SM_LIMIT_JOINT_THICKNESS).state, SM_LIMIT_KEPT);
    f.drive.joint.thickness.value = 8e-3;
    cr_expect_eq(solved_limit(&f, SM_LIMIT_JOINT_THICKNESS).state, SM_LIMIT_KEPT);
}
