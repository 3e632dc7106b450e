/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Small input files for tests, held in memory, and faults as text. */
#ifndef SM_TESTS_FILES_H
#define SM_TESTS_FILES_H

#include "swapmargin/error.h"
#include "swapmargin/text.h"

#include <stddef.h>

/* A scratch file with these bytes; its path is valid until the next call in this process with the
 * same slot (0 to 3). */
const char *scratch_bytes(int slot, const char *bytes, size_t n);
const char *scratch(int slot, const char *text);

/* A text with the first `from` replaced by `to`, in memory of the same kind of slot; the test fails
 * when there is no `from` in it. */
const char *replaced(int slot, const char *text, const char *from, const char *to);

/* The smallest drive and module files that are accepted. */
extern const char least_drive[];
extern const char least_module[];

/* Where a fault is, without its file: "12: [drive] line_voltage". */
void fault_place(const struct sm_fault *fault, struct sm_text *out);

/* The list holds exactly one fault, at that place, with that text in its message. */
void expect_fault(const struct sm_faults *faults, const char *place, const char *message);

/* The list is empty; else its first fault is shown. */
void expect_no_fault(const struct sm_faults *faults);

#endif
