/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the screws do: pressure, the layer to expect from it, and what bare metal would carry. */
#ifndef SM_JOINT_PRESSING_H
#define SM_JOINT_PRESSING_H

#include "swapmargin/joint.h"

/* Fills pressure, expected thicknesses and the bare joint; what cannot be known stays absent.
 * Given: base_area of the study. */
void pressing_find(const struct sm_case *c, struct sm_joint_study *study);

/* m: diameter of a metric thread, "M6" or "M6x20".  Returned: 0 when it is none. */
double thread_diameter(const char *text);

#endif
