/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Memory that runs out once, at any place, and what is never given back: the linker leads what the
 * library takes and frees, its own and of GSL, through scarce.c (SCARCE in the Makefile). */
#ifndef SM_TESTS_SCARCE_H
#define SM_TESTS_SCARCE_H

#include <stdbool.h>

/* The allocation after `before` others is refused, once. */
void scarce_after(long before);

/* Nothing is refused any more.  Returned: whether something was. */
bool scarce_end(void);

/* How much was taken and not given back so far; only differences mean something. */
long scarce_held(void);

#endif
