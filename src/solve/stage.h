/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * From a case to what its solver works on: devices, Foster terms, heat path. */
#ifndef SM_SOLVE_STAGE_H
#define SM_SOLVE_STAGE_H

#include "base/arena.h"
#include "solve/electrothermal.h"
#include "swapmargin/case.h"

/* Given: a case that sm_case_assemble() accepted; it is borrowed.  On lack of memory arena->failed
 * is set. */
struct stage stage_build(struct arena *arena, const struct sm_case *c);

/* Its heat path alone, for a drive that differs in cooling or joint. */
struct heat_path stage_path(const struct sm_drive *drive, const struct sm_module *module);

#endif
