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

enum sm_status test_point_solve(struct arena *arena, const struct stage *stage,
                                const struct sm_drive *drive, double output_hz,
                                const struct sm_hold *hold, struct sm_point *out)
{
    const struct operating_point point = operating_point_at(drive, output_hz, drive->test.load);
    const enum sm_status status = electrothermal_solve(arena, stage, &point, NULL, out, NULL);
    if (status == SM_OK)
        test_point_hold(hold, stage->tvj_op_max, out);
    return status;
}
