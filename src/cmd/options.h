/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The command line: its words, checked against the tables of commands, options and formats. */
#ifndef SWAPMARGIN_CMD_OPTIONS_H
#define SWAPMARGIN_CMD_OPTIONS_H

#include "swapmargin/error.h"
#include "swapmargin/report.h"

#include <stdbool.h>
#include <stddef.h>

#define PROGRAM_NAME "swapmargin"

enum option_id {
#define OPTION(id, name, argument, help) OPTION_##id,
#include "swapmargin/options.def"
#undef OPTION
    OPTION_COUNT
};

enum command_id {
#define COMMAND(id, ...) COMMAND_##id,
#include "swapmargin/commands.def"
#undef COMMAND
    COMMAND_COUNT,
    COMMAND_NONE = COMMAND_COUNT /* no command on the line */
};

struct option_row {
    const char *name;     /* without the dashes */
    const char *argument; /* "" for none */
    const char *help;
};

struct command_row {
    const char *name;
    const char *operands;
    size_t least, most;
    unsigned formats; /* bits 1 << enum sm_format */
    unsigned options; /* bits 1 << enum option_id */
    const char *summary;
    const char *details;
};

const struct option_row *option_row(enum option_id id);
const struct command_row *command_row(enum command_id id);
const char *format_name(enum sm_format format);

/* Whether a command has an option; every command has --help and --version. */
bool command_has_option(enum command_id command, enum option_id option);

struct options {
    enum command_id command;
    bool given[OPTION_COUNT];
    const char *value[OPTION_COUNT]; /* borrowed from argv; NULL when not given or without one */
    const char **operands;           /* owned array of borrowed words, after the command */
    size_t n_operands;
    enum sm_format format;
};

void options_init(struct options *options);
void options_release(struct options *options);

/* Reads the command line.  Options may stand anywhere, each once; names are never abbreviated; "--"
 * ends them.  With --help or --version nothing is said of missing operands.
 * Errors: SM_ERR_KEY (unknown command or option, or one that the command does not have),
 * SM_ERR_VALUE (a missing, needless or wrong value, too few or too many operands), SM_ERR_MEMORY;
 * every fault found is added, the first one's status is returned. */
enum sm_status options_parse(int argc, char **argv, struct options *options,
                             struct sm_faults *faults);

/* The file that --output names; NULL for standard output, which "-" is too. */
const char *options_output(const struct options *options);

/* Adds the fault of memory that ran out.  Returned: SM_ERR_MEMORY. */
enum sm_status memory_fault(struct sm_faults *faults);

/* Which of `count` words was typed; `count`, with a fault, for none of them. */
size_t options_word(struct sm_faults *faults, const char *what, const char *typed,
                    const char *const *words, size_t count);

/* Adds "WHAT 'TYPED'; did you mean 'NEAR'?", or all known words where none is near.
 * Returned: SM_ERR_KEY. */
enum sm_status options_unknown(struct sm_faults *faults, const char *what, const char *typed,
                               const char *const *words, size_t count);

#endif
