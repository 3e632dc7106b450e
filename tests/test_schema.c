/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * docs/schema/ against its rows and against what the program writes.  The validator is a library of
 * its own (python3-jsonschema); tests/tools/validate.py holds the runs. */
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

#define VALIDATE SM_PYTHON " -B " SM_TESTS_DIR "/tools/validate.py "
#define SCHEMAS SM_DOCS_DIR "/schema "

static struct run run;

static void open_run(void)
{
    run_open(&run);
}

static void close_run(void)
{
    run_close(&run);
}

TestSuite(schema, .init = open_run, .fini = close_run, .timeout = 300);

/* Expected: json.def is the one place of every key; the documents are made from it. */
Test(schema, documents_are_what_the_rows_say)
{
    run_line(&run,
             "D=\"$(dirname \"$S\")\"/schema_doc; mkdir $T/schema && $D reference >$T/json.md && "
             "for name in $($D list); do $D $name >$T/schema/$name.json; done && "
             "diff -r $T/schema " SCHEMAS "&& diff $T/json.md " SM_DOCS_DIR "/json.md");
    cr_expect(run.code == 0, "docs differ from json.def: make docs\n%s%s", run.out, run.err);
}

/* Every command, with and without original, verdicts of each kind, runaway, unreadable files: each
 * output follows its schema, and each key, null and word of the schemas is in some output. */
Test(schema, every_output_follows_and_every_part_of_the_schemas_is_seen)
{
    run_line(&run, VALIDATE "runs " SCHEMAS "$S $E " SM_TESTS_DIR);
    cr_expect(run.code == 0, "%s%s", run.out, run.err);
}

/* A changed document is refused, and the message names what it wants. */
static void expect_refused(const char *change, const char *message)
{
    cr_assert_eq(setenv("CHANGE", change, 1), 0);
    run_line(&run, "$S check $E/drive.ini $E/module-good.ini --format json | jq \"$CHANGE\" "
                   ">$T/a.json; " VALIDATE "files " SCHEMAS "check $T/a.json");
    cr_expect_eq(run.code, 1, "%s: %s", change, run.err);
    cr_expect_not_null(strstr(run.out, message), "%s: %s", change, run.out);
}

Test(schema, a_key_too_many_or_too_few_a_wrong_null_and_a_wrong_word_are_refused)
{
    expect_refused(".points[0].igbt.extra_w = 1", "$.points[0].igbt: no row in json.def; add "
                                                  "KEY(\"extra_w\", ...) below OBJECT(\"igbt\")");
    expect_refused("del(.verdict)", "$: verdict missing; a KEY of OBJECT(\"check\")");
    expect_refused(".drive.dc_bus_v = null", "$.drive.dc_bus_v: null is not");
    expect_refused(".margin_k = \"49\"", "$.margin_k: \"49\" is not");
    expect_refused(".verdict = \"perhaps\"", "$.verdict: \"perhaps\" is not");
    expect_refused(".original = {}", "$.original: circuit, comparison, ");
}
