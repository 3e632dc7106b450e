/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The files behind one case: a drive, a module, perhaps the part it replaces, and the tables they
 * are read by. */
#ifndef SWAPMARGIN_CMD_CASE_FILES_H
#define SWAPMARGIN_CMD_CASE_FILES_H

#include "cmd/commands.h"
#include "swapmargin/input.h"

struct case_files {
    struct sm_tables tables;
    struct sm_drive drive;
    struct sm_module module;
    struct sm_module original;
    bool has_original;
};

void case_files_init(struct case_files *files);

/* Reads the drive of the first operand and the module of the second, with the options --joint,
 * --original and --tables.  All files are read, so that all their faults are told at once, those of
 * a file named twice once; the drive only where the tables it is judged by could be read.  What
 * looks like a slip in a module file is told on standard error and changes nothing.
 * Returned: the first status that is not SM_OK. */
enum sm_status case_files_load(const struct options *options, struct case_files *files,
                               struct sm_faults *faults);

/* sm_case_assemble() of what was read. */
enum sm_status case_files_assemble(const struct case_files *files, struct sm_case *c,
                                   struct sm_faults *faults);

void case_files_release(struct case_files *files);

/* What a command does with a case that was read and put together. */
typedef enum sm_status case_function(const struct case_files *files, const struct sm_case *c,
                                     const struct options *options, const struct sm_style *style,
                                     struct answer *answer, struct sm_faults *faults);

/* A command that works on one case: reads and assembles it, runs the function, lets go of it. */
enum sm_status case_files_run(const struct options *options, const struct sm_style *style,
                              struct answer *answer, struct sm_faults *faults,
                              case_function *function);

#endif
