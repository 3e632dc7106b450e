/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The margin of one case with another layer in its joint, many times: the chips are prepared once,
 * only the heat path changes. */
#ifndef SM_JOINT_LAYER_MARGIN_H
#define SM_JOINT_LAYER_MARGIN_H

#include "base/arena.h"
#include "solve/electrothermal.h"
#include "swapmargin/joint.h"

/* The two chips of one test frequency. */
struct layer_chips {
    struct operating_point point;
    struct chip_state chip[SM_CHIP_COUNT];
};

struct layer_margins {
    const struct sm_case *c;
    struct arena arena, scratch;
    struct stage stage;
    struct layer_chips *chips; /* one a test frequency */
};

/* Errors: SM_ERR_MEMORY; layer_margins_close() is called in any case. */
enum sm_status layer_margins_open(struct layer_margins *margins, const struct sm_case *c);
void layer_margins_close(struct layer_margins *margins);

/* Smallest margin over the test frequencies with this joint in place of the drive's.  An iteration
 * that does not settle counts as runaway.  Errors: SM_ERR_MEMORY. */
enum sm_status layer_margin(struct layer_margins *margins, const struct sm_joint *joint,
                            struct sm_joint_margin *out);

#endif
