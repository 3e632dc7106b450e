/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected outcomes: what loading.h and text_file.h say of a machine that lacks something. */
#include "input/loading.h"
#include "input/text_file.h"

#include <criterion/criterion.h>
#include <errno.h>
#include <string.h>

static struct sm_faults faults;

static void open_faults(void)
{
    sm_faults_init(&faults);
}

static void close_faults(void)
{
    sm_faults_release(&faults);
}

TestSuite(loading, .init = open_faults, .fini = close_faults);

static void add(enum sm_status status, int line)
{
    (void)sm_fault_add(&faults, status, &(struct sm_place){ .file = "f", .line = line }, "x");
}

/* As one fault of several, it was taken for the first: a comparison made a row of that. */
Test(loading, no_memory_is_the_status_of_a_load_whatever_else_was_found)
{
    add(SM_ERR_KEY, 3);
    add(SM_ERR_MEMORY, 5);
    cr_expect_eq(loading_end(&faults, 0), SM_ERR_MEMORY);
    cr_expect_eq(loading_lack(&faults, 2), SM_OK, "those before are of another load");
}

Test(loading, what_the_system_refused_is_the_status_of_a_load)
{
    add(SM_ERR_VALUE, 3);
    add(SM_ERR_SYSTEM, 0);
    cr_expect_eq(loading_end(&faults, 0), SM_ERR_SYSTEM);
}

Test(loading, a_list_that_lost_a_fault_is_no_memory)
{
    add(SM_ERR_VALUE, 3);
    faults.out_of_memory = true;
    cr_expect_eq(loading_end(&faults, 0), SM_ERR_MEMORY);
}

Test(loading, faults_of_a_file_alone_are_told_by_the_first_line)
{
    add(SM_ERR_VALUE, 7);
    add(SM_ERR_KEY, 3);
    cr_expect_eq(loading_end(&faults, 0), SM_ERR_KEY);
}

Test(loading, a_call_that_lacked_memory_is_no_fault_of_the_file)
{
    cr_expect_eq(text_file_fault(&faults, SM_ERR_FILE, "f", ENOMEM, "a", "b"), SM_ERR_MEMORY);
    cr_expect_str_eq(faults.list[0].message, "out of memory");
    cr_expect_eq(text_file_fault(&faults, SM_ERR_FILE, "f", EIO, "a", "b"), SM_ERR_FILE);
    cr_expect_str_eq(faults.list[1].message, "a: Input/output error; expected b");
}
