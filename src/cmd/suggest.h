/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The known word that was probably meant. */
#ifndef SWAPMARGIN_CMD_SUGGEST_H
#define SWAPMARGIN_CMD_SUGGEST_H

#include <stddef.h>

/* Returned: the one of `count` words that `typed` begins, or that is at most two letters away from
 * it (one changed, added or left out); NULL when there is none. */
const char *suggest(const char *typed, const char *const *words, size_t count);

#endif
