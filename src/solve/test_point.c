/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/test_point.h"

/* Below 1 Hz the junction follows the current so closely that standing at the peak is the worse. */
void test_point_hold(const struct sm_hold *hold, double tvj_op_max, struct sm_point *point)
{
    if (point->output_hz >= SLOW_OUTPUT || point->runaway)
        return;
    if (hold->runaway) {
        point->runaway = true;
        point->hold_governs = true;
        return;
    }
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        if (hold->tvj[k] > point->chip[k].tvj_max) {
            point->hold_governs = true;
            point->chip[k].tvj_max = hold->tvj[k];
            point->chip[k].margin = tvj_op_max - hold->tvj[k];
        }
    point_margin(point);
}

enum sm_status test_point_prepare(struct arena *arena, const struct stage *stage,
                                  const struct sm_drive *drive, double output_hz,
                                  struct test_point *point)
{
    point->at = operating_point_at(drive, output_hz, drive->test.load);
    return electrothermal_prepare(arena, stage, &point->at, point->chip);
}

enum sm_status test_point_settle(const struct stage *stage, const struct sm_hold *hold,
                                 struct test_point *point, struct sm_point *out)
{
    const enum sm_status status = electrothermal_settle(stage, &point->at, NULL, point->chip, out);
    if (status == SM_OK)
        test_point_hold(hold, stage->tvj_op_max, out);
    return status;
}

void test_point_try(const struct stage *stage, const struct sm_hold *hold, struct test_point *point,
                    struct sm_point *out)
{
    if (test_point_settle(stage, hold, point, out) != SM_OK)
        out->runaway = true;
}
