/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The engine: one call from a case to a result.  Pure: depends on its arguments only, re-entrant,
 * no files, no output, no globals: any number of threads may run it at once.
 *
 * One thing is the caller's: the GNU Scientific Library ends the program when it has no memory,
 * unless its handler is switched off, once, before threads start: gsl_set_error_handler_off().  The
 * engine leaves that global alone and checks every status. */
#ifndef SWAPMARGIN_ENGINE_H
#define SWAPMARGIN_ENGINE_H

#include "swapmargin/case.h"
#include "swapmargin/error.h"
#include "swapmargin/result.h"

#ifdef __cplusplus
extern "C" {
#endif

void sm_warnings_init(struct sm_warnings *warnings);
/* Frees the contents; safe twice. */
void sm_warnings_release(struct sm_warnings *warnings);

/* Looks a data sheet through before anything is computed from it: ratings that contradict each
 * other, curves and energies that go the wrong way, units mistaken (rows of sanity.def).
 * Given: a module from its reader.  Returned: one warning for each slip found is added.
 * Errors: SM_ERR_MEMORY; then the list is incomplete.
 * Valid: silicon IGBTs and diodes; a warning asks for a second look and says no more. */
enum sm_status sm_module_sanity(const struct sm_module *module, struct sm_warnings *warnings);

/* The same for the module of a case and its original; a file named twice is looked through once. */
enum sm_status sm_case_sanity(const struct sm_case *c, struct sm_warnings *warnings);

/* Losses, temperatures, margin, checks and verdict of one case at its test frequencies.
 * Given: c from sm_case_assemble(); result from sm_result_init(); it is filled on SM_OK and left as
 * after init otherwise.
 * Thermal runaway is a result, not an error.
 * With c->original that part is run too, in the same drive, and result->comparison holds both side
 * by side; verdict, reasons and conditions do not depend on it, but for the checks whose rule is
 * "same as the original's".
 * result->warnings holds what sm_case_sanity() finds.
 * Errors: SM_ERR_CONVERGE (an iteration cap was reached), SM_ERR_MEMORY; one fault is added. */
enum sm_status sm_run(const struct sm_case *c, struct sm_result *result, struct sm_faults *faults);

/* How far one value alone may go: fills result->limits after sm_run() of the same case.  Apart from
 * it because nothing of the verdict needs it, and it costs several times as much.
 * Returned: result->limits on SM_OK; else the result is as before.
 * Errors: as sm_run(). */
enum sm_status sm_run_limits(const struct sm_case *c, struct sm_result *result,
                             struct sm_faults *faults);

#ifdef __cplusplus
}
#endif

#endif
