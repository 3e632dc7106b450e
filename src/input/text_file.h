/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The bytes of an input file, read within bounds: regular files only, up to a limit. */
#ifndef SM_INPUT_TEXT_FILE_H
#define SM_INPUT_TEXT_FILE_H

#include "swapmargin/error.h"

#include <stdbool.h>
#include <stddef.h>

/* MiB: far more than any file of its kind has. */
#define INI_FILE_LIMIT 1u
#define LOG_FILE_LIMIT 16u

/* Given: limit, MiB.  Returned: *bytes, owned by the caller, with a NUL after the n-th.
 * Errors: SM_ERR_FILE (cannot be opened or read; folder, device, pipe; empty; too large),
 * SM_ERR_MEMORY; each adds one fault. */
enum sm_status text_file_read(const char *file, unsigned limit, char **bytes, size_t *n,
                              struct sm_faults *faults);

/* Adds the fault of a call that failed with an errno: "FOUND: its reason; expected EXPECTED".  A
 * call that lacked memory is SM_ERR_MEMORY, whatever the status given.  Returned: the fault's
 * status. */
enum sm_status text_file_fault(struct sm_faults *faults, enum sm_status status, const char *file,
                               int error, const char *found, const char *expected);

/* What is wrong with a file that is no text of ours as a whole, and what is expected; NULL for
 * nothing: UTF-16, which some editors call Unicode, or bytes that are no text at all. */
const char *text_is_no_text(const char *bytes, size_t n);

/* Bytes of the byte order mark that a text begins with; 0 for none. */
size_t text_mark(const char *bytes, size_t n);

/* What makes these bytes no text of ours, "is not UTF-8"; NULL when all is well.  `allowed` are the
 * control characters that may stand in it.  Given: bytes with a NUL after the n-th. */
const char *text_complaint(const char *bytes, size_t n, const char *allowed);

#endif
