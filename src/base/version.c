/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/version.h"

const char *sm_version(void)
{
    return SM_VERSION;
}
