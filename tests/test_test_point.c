/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/test_point.h"

#include "support/near.h"

#include <criterion/criterion.h>

#define LIMIT 423.15 /* K */

/* IGBT at 400 K, diode at 390 K, by the cycle. */
static struct sm_point point_at(double hz)
{
    struct sm_point point = { .output_hz = hz, .worst = SM_IGBT, .margin = LIMIT - 400.0 };
    point.chip[SM_IGBT] = (struct sm_chip_result){ .tvj_max = 400.0, .margin = LIMIT - 400.0 };
    point.chip[SM_DIODE] =
        (struct sm_chip_result){ .tvj_max = 390.0, .swing = 7.0, .margin = LIMIT - 390.0 };
    return point;
}

static struct sm_hold hold_at(double igbt, double diode)
{
    return (struct sm_hold){ .tvj = { [SM_IGBT] = igbt, [SM_DIODE] = diode } };
}

Test(test_point, below_one_hertz_each_chip_has_the_worse_of_cycle_and_hold)
{
    struct sm_point point = point_at(0.999);
    struct sm_hold hold = hold_at(395.0, 410.0);
    test_point_hold(&hold, LIMIT, &point);
    cr_expect(point.hold_governs);
    NEAR(point.chip[SM_IGBT].tvj_max, 400.0, 0.0);
    NEAR(point.chip[SM_IGBT].margin, LIMIT - 400.0, 0.0);
    NEAR(point.chip[SM_DIODE].tvj_max, 410.0, 0.0);
    NEAR(point.chip[SM_DIODE].margin, LIMIT - 410.0, 0.0);
    NEAR(point.chip[SM_DIODE].swing, 7.0, 0.0); /* of the cycle: what stands does not swing */
    cr_expect_eq(point.worst, SM_DIODE);
    NEAR(point.margin, LIMIT - 410.0, 0.0);
    point = point_at(0.5);
    hold = hold_at(405.0, 380.0);
    test_point_hold(&hold, LIMIT, &point);
    NEAR(point.chip[SM_IGBT].tvj_max, 405.0, 0.0);
    NEAR(point.chip[SM_DIODE].tvj_max, 390.0, 0.0);
    cr_expect_eq(point.worst, SM_IGBT);
}

Test(test_point, a_cooler_hold_and_a_faster_output_change_nothing)
{
    struct sm_point point = point_at(0.5);
    struct sm_hold hold = hold_at(399.0, 389.0);
    test_point_hold(&hold, LIMIT, &point);
    cr_expect_not(point.hold_governs);
    NEAR(point.margin, LIMIT - 400.0, 0.0);
    point = point_at(1.0);
    hold = hold_at(450.0, 450.0);
    test_point_hold(&hold, LIMIT, &point);
    cr_expect_not(point.hold_governs);
    NEAR(point.chip[SM_IGBT].tvj_max, 400.0, 0.0);
}

Test(test_point, a_hold_that_runs_away_takes_the_point_along)
{
    struct sm_point point = point_at(0.5);
    const struct sm_hold hold = { .runaway = true };
    test_point_hold(&hold, LIMIT, &point);
    cr_expect(point.runaway && point.hold_governs);
    point = point_at(0.5);
    point.runaway = true; /* the cycle's own */
    test_point_hold(&hold, LIMIT, &point);
    cr_expect(point.runaway);
    cr_expect_not(point.hold_governs);
}
