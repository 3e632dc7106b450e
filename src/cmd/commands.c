/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/command_functions.h"

enum sm_status command_run(const struct options *options, const struct sm_style *style,
                           struct answer *answer, struct sm_faults *faults)
{
    static command_function *const functions[COMMAND_COUNT] = {
        [COMMAND_CHECK] = command_check,       [COMMAND_SWEEP] = command_sweep,
        [COMMAND_COMPARE] = command_compare,   [COMMAND_EXPLAIN] = command_explain,
        [COMMAND_JOINT] = command_joint,       [COMMAND_LOADRUN] = command_loadrun,
        [COMMAND_TEMPLATE] = command_template,
    };
    return functions[options->command](options, style, answer, faults);
}
