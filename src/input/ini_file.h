/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The bytes of an input file, read within bounds: regular files only, at most 1 MiB. */
#ifndef SM_INPUT_INI_FILE_H
#define SM_INPUT_INI_FILE_H

#include "swapmargin/error.h"

/* Returned: *bytes, owned by the caller, with a NUL after the n-th.
 * Errors: SM_ERR_FILE (cannot be opened or read; folder, device, pipe; empty; too large),
 * SM_ERR_MEMORY; each adds one fault. */
enum sm_status ini_file_read(const char *file, char **bytes, size_t *n, struct sm_faults *faults);

#endif
