/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the machine lacked, which is no fault of the files. */
#ifndef SM_BASE_LACK_H
#define SM_BASE_LACK_H

#include "swapmargin/error.h"

#include <stdbool.h>

static inline bool is_lack(enum sm_status status)
{
    return status == SM_ERR_MEMORY || status == SM_ERR_SYSTEM;
}

#endif
