/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the result rests on, said: one note or condition for each assumption that this case needed.
 */
#ifndef SM_ASSESS_ASSUMPTIONS_H
#define SM_ASSESS_ASSUMPTIONS_H

#include "swapmargin/case.h"
#include "swapmargin/result.h"

/* Adds them to the result, whose points are solved. */
void assumptions_tell(const struct sm_case *c, struct sm_result *result);

#endif
