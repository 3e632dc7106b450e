/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The manual page and the completions that the tables make. */
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdio.h>

#define DOC "\"$(dirname \"$S\")\"/doc/swapmargin"

static struct run run;

static void open_run(void)
{
    run_open(&run);
}

static void close_run(void)
{
    run_close(&run);
}

TestSuite(shell_doc, .init = open_run, .fini = close_run, .timeout = 30);

Test(shell_doc, the_manual_page_has_nothing_that_mandoc_dislikes)
{
    run_line(&run, "mandoc -T lint " DOC ".1");
    cr_expect(run.code == 0 && run.out[0] == '\0', "%s%s", run.out, run.err);
}

Test(shell_doc, the_manual_page_names_every_command_and_option_of_the_help)
{
    run_line(&run, "mandoc -T ascii " DOC ".1 | sed 's/.\\x08//g' > $T/page; "
                   "for c in $($S --help | awk '/^Commands/ { on = 1; next } /^$/ { on = 0 } "
                   "on && /^  [a-z]/ { print $1 }'); do grep -qx \"   $c\" $T/page || echo $c; "
                   "for o in $($S $c --help | grep -o '^  --[a-z-]*'); do "
                   "grep -q -- \" $o\" $T/page || echo $c $o; done; done");
    cr_expect_str_eq(run.out, "");
}

static void expect_completion(const char *line, const char *words)
{
    char command[512];
    (void)snprintf(command, sizeof command,
                   "cd $T && bash -c 'source %s.bash; COMP_WORDS=(%s \"\"); "
                   "COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _swapmargin; echo ${COMPREPLY[@]}'",
                   "\"$(dirname \"$S\")\"/doc/swapmargin", line);
    run_line(&run, command);
    cr_expect_str_eq(run.out, words, "%s: %s%s", line, run.out, run.err);
}

Test(shell_doc, bash_offers_what_can_come_next)
{
    expect_completion("swapmargin check a b --format", "text json csv html\n");
    expect_completion("swapmargin sweep a b --spacing", "even log\n");
    run_line(&run, "bash -c 'source " DOC ".bash; COMP_WORDS=(swapmargin co); COMP_CWORD=1; "
                   "_swapmargin; echo ${COMPREPLY[@]}'");
    cr_expect_str_eq(run.out, "compare\n");
}
