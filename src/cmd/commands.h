/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The commands: each turns a command line into a text and an exit status. */
#ifndef SWAPMARGIN_CMD_COMMANDS_H
#define SWAPMARGIN_CMD_COMMANDS_H

#include "cmd/file_list.h"
#include "cmd/options.h"
#include "cmd/output.h"

enum exit_code {
    EXIT_CODE_YES = 0,   /* done; approve or conditional */
    EXIT_CODE_NO = 1,    /* the answer is no */
    EXIT_CODE_WRONG = 2, /* wrong input or usage */
    EXIT_CODE_BROKEN = 3 /* output, memory, or a fault of the program */
};

/* Lists of files that a command found in folders: drives and modules. */
enum { ANSWER_FOUND = 2 };

struct answer {
    struct sm_text text;
    struct output_source rest;      /* what follows the text; none as a rule */
    void (*release)(void *context); /* of the rest; NULL as a rule */
    enum exit_code code;
    bool reads_operands; /* the operands are files, not to be written over, */
    const struct file_list *found[ANSWER_FOUND]; /* nor are these, until release(); NULL: none */
};

/* Runs the command of the line.  On a fault `answer->text` is of no use. */
enum sm_status command_run(const struct options *options, const struct sm_style *style,
                           struct answer *answer, struct sm_faults *faults);

/* The exit status for the faults of a list: the gravest counts; 0 for an empty one. */
enum exit_code faults_exit_code(const struct sm_faults *faults);

/* Whether the locale writes UTF-8: the first of the three that is set and not empty decides. */
bool locale_is_utf8(const char *lc_all, const char *lc_ctype, const char *lang);

/* The whole program after its set-up: reads the line, runs, writes.  Returned: the exit status. */
enum exit_code program_run(int argc, char **argv);

#endif
