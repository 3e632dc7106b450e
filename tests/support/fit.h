/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A case whose files give all that the electrical and mechanical fit asks for, and its rows. */
#ifndef SM_TESTS_FIT_H
#define SM_TESTS_FIT_H

#include "support/fixture.h"
#include "swapmargin/result.h"

struct fit_case {
    struct fixture f;
    struct sm_module original; /* not linked: fit_original() does */
    double torque[2];
    char words[2][2][40]; /* outline and pinout of the module and of the original */
    struct sm_overload overload[2];
    struct sm_result result;
};

/* Everything given, nothing confirmed: every row passes, but for those that ask a person. */
void fit_make(struct fit_case *t);

/* Links an original that says the same as the module. */
void fit_original(struct fit_case *t);

/* Runs all checks anew.  Returned: one row. */
const struct sm_check *fit_row(struct fit_case *t, enum sm_check_id id);

/* The row has this outcome, for this reason. */
void fit_is(struct fit_case *t, enum sm_check_id id, enum sm_check_result result,
            enum sm_note_id why);

/* The same, with its numbers; within the rounding of a few operations on doubles. */
void fit_has(struct fit_case *t, enum sm_check_id id, double value, double limit);

/* Without this one value the row is not checked and names that key alone; restores it. */
void fit_wants(struct fit_case *t, enum sm_check_id id, struct sm_optional *value,
               const char *name);

/* The keys that a row names as missing: "drive [gate] vge_on, module [gate] t_f". */
const char *fit_missing(const struct sm_check *check);

void fit_release(struct fit_case *t);

#endif
