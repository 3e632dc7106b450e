/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One function a command, each in the file of its name.  An operand's count, the options and the
 * format are those that commands.def allows.  On SM_OK the answer holds text and exit status. */
#ifndef SWAPMARGIN_CMD_COMMAND_FUNCTIONS_H
#define SWAPMARGIN_CMD_COMMAND_FUNCTIONS_H

#include "cmd/commands.h"

typedef enum sm_status command_function(const struct options *options, const struct sm_style *style,
                                        struct answer *answer, struct sm_faults *faults);

command_function command_check;
command_function command_joint;
command_function command_loadrun;
command_function command_sweep;
command_function command_compare;
command_function command_explain;
command_function command_template;

#endif
