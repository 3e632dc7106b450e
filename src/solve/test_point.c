/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/test_point.h"

/* Hz: below this the zero-speed hold counts too. */
#define SLOW_OUTPUT 1.0

/* Below 1 Hz the junction follows the current so closely that standing at the peak is the worse. */
static void apply_hold(const struct sm_hold *hold, double tvj_op_max, struct sm_point *p)
{
    if (p->output_hz >= SLOW_OUTPUT || p->runaway)
        return;
    if (hold->runaway) {
        p->runaway = true;
        p->hold_governs = true;
        return;
    }
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        if (hold->tvj[k] > p->chip[k].tvj_max) {
            p->hold_governs = true;
            p->chip[k].tvj_max = hold->tvj[k];
            p->chip[k].margin = tvj_op_max - hold->tvj[k];
        }
    point_margin(p);
}

enum sm_status test_point_solve(struct arena *arena, const struct stage *stage,
                                const struct sm_drive *drive, double output_hz,
                                const struct sm_hold *hold, struct sm_point *out)
{
    const struct operating_point point = operating_point_at(drive, output_hz, drive->test.load);
    const enum sm_status status = electrothermal_solve(arena, stage, &point, NULL, out, NULL);
    if (status == SM_OK)
        apply_hold(hold, stage->tvj_op_max, out);
    return status;
}
