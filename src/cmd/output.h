/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Writing results: the only place that opens a file for writing. */
#ifndef SWAPMARGIN_CMD_OUTPUT_H
#define SWAPMARGIN_CMD_OUTPUT_H

#include "swapmargin/error.h"
#include "swapmargin/report.h"

/* What follows a text, piece by piece: next() replaces the piece; an empty one is the end.  next
 * NULL: nothing follows. */
struct output_source {
    enum sm_status (*next)(void *context, struct sm_text *piece, struct sm_faults *faults);
    void *context;
};

/* A text and what follows it. */
struct output_body {
    const struct sm_text *text;
    struct output_source rest;
};

/* Writes the body to `path`, whole or not at all: into a temporary file beside it, which takes its
 * name when everything is on the disk.  A link is followed; the mode of an old file is kept.
 * Given: inputs, n_inputs: the files that were read, which must not be written over.
 * Errors: SM_ERR_FILE (the place cannot be written, is no ordinary file, or is an input),
 * SM_ERR_MEMORY, with one fault; then nothing was created or changed. */
enum sm_status output_file(const char *path, const struct output_body *body,
                           const char *const *inputs, size_t n_inputs, struct sm_faults *faults);

/* Writes the body to standard output and closes it.
 * Errors: SM_ERR_FILE (full, closed, or nobody reads), with one fault; those of its source. */
enum sm_status output_standard(const struct output_body *body, struct sm_faults *faults);

/* Writes all faults to standard error, one a line. */
void output_faults(const struct sm_faults *faults);

/* Writes all warnings to standard error, one a line. */
void output_warnings(const struct sm_warnings *warnings);

/* Writes a text to standard error. */
void output_error(const struct sm_text *text);

/* Makes sure that the three standard streams are open, so that no file read or written later is
 * taken for one of them; a closed one stays unusable for writing. */
void output_guard(void);

#endif
