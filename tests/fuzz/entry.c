/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the fuzzer calls: FUZZ_TARGET, one of fuzz.h. */
#include "fuzz/fuzz.h"

#include <gsl/gsl_errno.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);
int LLVMFuzzerInitialize(int *argc, char ***argv);

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    (void)gsl_set_error_handler_off();
    return 0;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    return FUZZ_TARGET(data, size);
}
