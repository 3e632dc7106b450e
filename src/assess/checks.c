/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/checks.h"

#include <stddef.h>

static const char *const titles[SM_CHECK_COUNT] = {
#define CHECK(id, name, unit, title, rule) [SM_CHECK_##id] = title,
#include "swapmargin/checks.def"
#undef CHECK
};

const char *check_title(enum sm_check_id id)
{
    return titles[id];
}

/* Rows that a person can settle by hand and confirm in the drive file. */
static bool confirmed_by_hand(const struct sm_confirmed *confirmed, enum sm_check_id id)
{
    const bool yes[SM_CHECK_COUNT] = {
        [SM_CHECK_SET_OF_THREE] = confirmed->set_of_three,
        [SM_CHECK_OUTLINE] = confirmed->outline,
        [SM_CHECK_PINOUT] = confirmed->pinout,
        [SM_CHECK_THERMISTOR] = confirmed->thermistor,
        [SM_CHECK_SCREW_TORQUE] = confirmed->screw_torque,
        [SM_CHECK_SAME_LOT] = confirmed->same_lot,
    };
    return yes[id];
}

void checks_run(const struct sm_case *c, struct sm_result *result)
{
    for (int i = 0; i < SM_CHECK_COUNT; i++) {
        const enum sm_check_id id = (enum sm_check_id)i;
        const bool confirmed = confirmed_by_hand(&c->drive->confirmed, id);
        result->checks[i] = (struct sm_check){
            .id = id,
            .result = confirmed ? SM_CHECK_CONFIRMED : SM_CHECK_NOT_CHECKED,
            .why = { .id = confirmed ? SM_NOTE_CONFIRMED : SM_NOTE_NOT_CHECKED,
                     .text = check_title(id) },
        };
    }
}
