/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The strict pass over the bytes of an INI file. */
#ifndef SM_INPUT_INI_SCAN_H
#define SM_INPUT_INI_SCAN_H

#include "input/ini_source.h"
#include "swapmargin/text.h"

/* Fills sections and entries (without values) of a source whose `file` is set, and writes the
 * normalised text.  Faults are added; SM_OK unless nothing of the file can be used. */
enum sm_status ini_scan(const char *bytes, size_t n, struct ini_source *source,
                        struct sm_text *normal, struct sm_faults *faults);

#endif
