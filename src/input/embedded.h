/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The texts of tables/ that the build compiles in. */
#ifndef SM_INPUT_EMBEDDED_H
#define SM_INPUT_EMBEDDED_H

extern const char sm_embedded_compounds[];
extern const char sm_embedded_surfaces[];

#endif
