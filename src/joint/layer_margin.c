/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "joint/layer_margin.h"

#include "solve/hold.h"
#include "solve/stage.h"
#include "solve/test_point.h"

#include <math.h>

enum sm_status layer_margins_open(struct layer_margins *margins, const struct sm_case *c)
{
    const struct sm_list *frequencies = &c->drive->test.frequencies;
    margins->c = c;
    arena_init(&margins->arena);
    arena_init(&margins->scratch);
    margins->stage = stage_build(&margins->arena, c);
    margins->chips = arena_bytes(&margins->arena, frequencies->n * sizeof *margins->chips);
    if (!margins->chips || margins->arena.failed)
        return SM_ERR_MEMORY;
    enum sm_status status = SM_OK;
    for (size_t i = 0; status == SM_OK && i < frequencies->n; i++) {
        struct layer_chips *chips = &margins->chips[i];
        chips->point = operating_point_at(c->drive, frequencies->v[i], c->drive->test.load);
        status =
            electrothermal_prepare(&margins->arena, &margins->stage, &chips->point, chips->chip);
    }
    return status;
}

void layer_margins_close(struct layer_margins *margins)
{
    arena_release(&margins->scratch);
    arena_release(&margins->arena);
}

enum sm_status layer_margin(struct layer_margins *margins, const struct sm_joint *joint,
                            struct sm_joint_margin *out)
{
    struct sm_drive drive = *margins->c->drive;
    struct stage stage = margins->stage;
    drive.joint = *joint;
    stage.path = stage_path(&drive, margins->c->module);
    *out = (struct sm_joint_margin){ .margin = HUGE_VAL };
    for (size_t i = 0; i < drive.test.frequencies.n; i++) {
        struct layer_chips *chips = &margins->chips[i];
        struct sm_point point;
        struct sm_hold hold = { .runaway = false };
        (void)electrothermal_try(&stage, &chips->point, NULL, chips->chip, &point);
        arena_clear(&margins->scratch);
        if (point.output_hz < SLOW_OUTPUT &&
            hold_try(&margins->scratch, &stage, &drive, hold_current(&drive), &hold) != SM_OK)
            return SM_ERR_MEMORY;
        test_point_hold(&hold, stage.tvj_op_max, &point);
        out->runaway = out->runaway || point.runaway;
        out->margin = fmin(out->margin, point.margin);
    }
    if (out->runaway)
        out->margin = 0.0;
    return SM_OK;
}
