/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What --help and --version print, made from the tables. */
#ifndef SWAPMARGIN_CMD_HELP_H
#define SWAPMARGIN_CMD_HELP_H

#include "cmd/options.h"

/* Adds the help of one command, or of the whole program for COMMAND_NONE. */
void help_add(struct sm_text *out, enum command_id command);

/* Adds the short usage for a line without a command. */
void help_usage(struct sm_text *out);

/* Adds name and version. */
void help_version(struct sm_text *out);

#endif
