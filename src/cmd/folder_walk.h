/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A folder searched to the bottom. */
#ifndef SWAPMARGIN_CMD_FOLDER_WALK_H
#define SWAPMARGIN_CMD_FOLDER_WALK_H

#include "swapmargin/error.h"

#include <stdbool.h>

/* What is done with a path that was found.  Returned: false without memory. */
typedef bool folder_found(void *context, const char *path);

/* Calls found() for every "*.ini" below the path, in no order: hidden names are passed over, links
 * are followed, a circle of links is entered once.  Also for what stands there and may not be
 * entered, and for the path itself where it is no folder: whoever reads it will be told.
 * Errors: SM_ERR_FILE (a folder cannot be searched), SM_ERR_MEMORY; one fault. */
enum sm_status folder_walk(const char *path, folder_found *found, void *context,
                           struct sm_faults *faults);

#endif
