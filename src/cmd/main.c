/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * swapmargin: decides whether a substitute power module will live in a repaired AC motor drive. */
#include "cmd/commands.h"
#include "cmd/output.h"

#include <gsl/gsl_errno.h>
#include <signal.h>
#include <stdbool.h>
#include <stdlib.h>
#include <unistd.h>

/* The exit status is the program's own. */
static bool decided;

/* A library that ends the program by itself (OpenMP's does without memory or threads, and has said
 * so) would do it with status 1, which is an answer here. */
static void end_check(void)
{
    if (!decided) {
        _exit(EXIT_CODE_BROKEN);
    }
}

int main(int argc, char **argv)
{
    output_guard();
    (void)gsl_set_error_handler_off(); /* every status is checked where it is returned */
    /* a reader that goes away is told by write(), and is exit 3 */
    (void)signal(SIGPIPE, SIG_IGN);
    /* so is a limit to the size of files, which would end the program without a word */
    (void)signal(SIGXFSZ, SIG_IGN);
    (void)atexit(end_check);
    const enum exit_code code = program_run(argc, argv);
    decided = true;
    return (int)code;
}
