/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * swapmargin: decides whether a substitute power module will live in a repaired AC motor drive. */
#include "cmd/commands.h"
#include "cmd/output.h"

#include <gsl/gsl_errno.h>
#include <signal.h>

int main(int argc, char **argv)
{
    output_guard();
    (void)gsl_set_error_handler_off(); /* every status is checked where it is returned */
    /* a reader that goes away is told by write(), and is exit 3 */
    (void)signal(SIGPIPE, SIG_IGN);
    return (int)program_run(argc, argv);
}
