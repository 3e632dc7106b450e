/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Names that were probably meant. */
#ifndef SM_BASE_NEAR_H
#define SM_BASE_NEAR_H

#include <stdbool.h>
#include <stddef.h>

/* Whether `a` is near enough to `b` to be a slip of the fingers; *distance is how many slips. */
bool name_near(const char *a, const char *b, size_t *distance);

#endif
