/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * JSON that the program wrote, read again. */
#ifndef SWAPMARGIN_REPORT_JSON_READ_H
#define SWAPMARGIN_REPORT_JSON_READ_H

#include "swapmargin/error.h"

#include <jansson.h>

/* Reads one document.  Given: flags of jansson.  Returned: *value, owned by the caller.
 * Errors: SM_ERR_MEMORY; SM_ERR_SYNTAX: these bytes are no JSON.  *value is NULL then.
 * Not for two threads at once: jansson has one allocator for all, which is ours meanwhile. */
enum sm_status json_read(const char *text, size_t n, size_t flags, json_t **value);

#endif
