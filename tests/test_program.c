/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The exit status of what went wrong: 2 where the files or words have to change, 3 where the
 * machine or the program failed, whatever else there is. */
#include "cmd/commands.h"

#include <criterion/criterion.h>

Test(program, wrong_input_is_2_and_a_failing_machine_3)
{
    static const struct {
        enum sm_status status;
        int code;
    } rows[] = {
        { SM_ERR_FILE, 2 },   { SM_ERR_SYNTAX, 2 },   { SM_ERR_KEY, 2 },    { SM_ERR_VALUE, 2 },
        { SM_ERR_RANGE, 2 },  { SM_ERR_CONVERGE, 2 }, /* a data sheet that no part has */
        { SM_ERR_DOMAIN, 3 }, { SM_ERR_MEMORY, 3 },   { SM_ERR_SYSTEM, 3 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct sm_faults faults;
        sm_faults_init(&faults);
        cr_expect_eq((int)faults_exit_code(&faults), 0);
        (void)sm_fault_add(&faults, SM_ERR_KEY, NULL, "a slip");
        (void)sm_fault_add(&faults, rows[i].status, NULL, "what it says");
        cr_expect_eq((int)faults_exit_code(&faults), rows[i].code, "%s",
                     sm_status_text(rows[i].status));
        sm_faults_release(&faults);
    }
}
