/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What holds across the keys of a module file: faults for what cannot be, and values that follow
 * from others.  Each looks only at keys that were read without a fault. */
#ifndef SM_INPUT_INPUT_MODULE_H
#define SM_INPUT_INPUT_MODULE_H

#include "input/loading.h"

/* Curves over current, their lengths, and the size of the energies (module_curves.c). */
void module_curves_check(const struct loading *l, struct sm_module *module);

/* Foster terms, joint, thermistor, screws (module_thermal.c). */
void module_thermal_check(const struct loading *l, struct sm_module *module);

#endif
