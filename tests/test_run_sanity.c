/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs with data sheets that hold slips: warned of on standard error, on the sheet and in
 * JSON, and nothing else changes.  tests/slips/module.ini marks each line that holds one. */
#include <criterion/criterion.h>

#include "support/ascii.h"
#include "support/run.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SLIPS SM_TESTS_DIR "/slips/module.ini"
#define CHECK_SLIPS "\"$S\" check \"$E/drive.ini\" \"" SLIPS "\""
#define CHECK_GOOD "\"$S\" check \"$E/drive.ini\" \"$E/module-good.ini\""

enum { LINES_MOST = 200 };

/* Marks the lines of the file that say that they hold a slip; returned: how many. */
static size_t lines_marked(bool marked[LINES_MOST])
{
    char *text = run_file(SLIPS);
    cr_assert_not_null(text);
    size_t n = 0, line = 1;
    bool past = false; /* the comment at the top says what the marks are */
    memset(marked, 0, LINES_MOST * sizeof marked[0]);
    for (const char *p = text; *p != '\0' && line < LINES_MOST; line++) {
        const size_t length = strcspn(p, "\n");
        const char *mark = strstr(p, "; slip");
        past = past || p[0] == '[';
        marked[line] = past && mark && mark < p + length;
        n += marked[line] ? 1u : 0u;
        p += length + (p[length] == '\n' ? 1 : 0);
    }
    free(text);
    return n;
}

Test(run_sanity, every_marked_line_is_warned_of_and_no_other)
{
    struct run run;
    bool marked[LINES_MOST], warned[LINES_MOST] = { false };
    cr_assert_geq(lines_marked(marked), 10);
    run_open(&run);
    run_line(&run, CHECK_SLIPS);
    cr_expect(is_ascii(run.err));
    for (const char *p = run.err; *p != '\0';) {
        int line = 0;
        cr_assert_eq(strncmp(p, SLIPS ":", strlen(SLIPS ":")), 0, "%s", p);
        cr_assert_eq(sscanf(p + strlen(SLIPS ":"), "%d: warning: [", &line), 1, "%s", p);
        cr_assert(line > 0 && line < LINES_MOST);
        warned[line] = true;
        p += strcspn(p, "\n") + 1;
    }
    for (int i = 1; i < LINES_MOST; i++) {
        cr_expect_eq(warned[i], marked[i], "line %d", i);
    }
    run_close(&run);
}

Test(run_sanity, the_exit_status_is_that_of_the_verdict)
{
    struct run run;
    run_open(&run);
    run_line(&run, CHECK_SLIPS);
    cr_expect_eq(run.code, 0);
    cr_expect_eq(strncmp(run.out, "CONDITIONAL ", 12), 0);
    run_line(&run, "sed 's/p_tot = 789 W/p_tot = 879 W/' \"$E/module-good.ini\" >\"$T/m.ini\"; "
                   "\"$S\" check \"$E/drive.ini\" \"$T/m.ini\" --format json | "
                   "sed -n '/\"verdict\"/,/\"notes\"/p' >\"$T/slip\"; " CHECK_GOOD
                   " --format json | sed -n '/\"verdict\"/,/\"notes\"/p' | cmp - \"$T/slip\"");
    cr_expect_eq(run.code, 0, "no reason and no condition comes of it: %s", run.out);
    cr_expect_not_null(strstr(run.err, ": warning: [module] p_tot: 879 W, but"));
    run_close(&run);
}

Test(run_sanity, the_sheet_counts_and_lists_them)
{
    struct run run;
    run_open(&run);
    run_line(&run, "sed 's/p_tot = 789 W/p_tot = 879 W/' \"$E/module-good.ini\" >\"$T/m.ini\"; "
                   "\"$S\" check \"$E/drive.ini\" \"$T/m.ini\"");
    cr_expect_not_null(strstr(run.out, "\n  Warnings   1 on what the module files say"));
    cr_expect_not_null(strstr(run.out, "\nValues that look like a slip ---"));
    cr_expect_not_null(strstr(run.out, "[module] p_tot: 879 W, but"));
    run_line(&run, CHECK_GOOD);
    cr_expect_null(strstr(run.out, "Warnings"));
    cr_expect_null(strstr(run.out, "look like a slip"));
    run_close(&run);
}

static json_t *warnings_of(struct run *run, const char *command)
{
    json_error_t error;
    run_line(run, command);
    json_t *root = json_loads(run->out, JSON_REJECT_DUPLICATES, &error);
    cr_assert_not_null(root, "%s\n%s", error.text, run->err);
    json_t *warnings = json_incref(json_object_get(root, "warnings"));
    cr_assert(json_is_array(warnings));
    json_decref(root);
    return warnings;
}

Test(run_sanity, json_tells_file_line_section_key_and_text)
{
    struct run run;
    bool marked[LINES_MOST];
    (void)lines_marked(marked);
    run_open(&run);
    json_t *none = warnings_of(&run, CHECK_GOOD " --format json");
    cr_expect_eq(json_array_size(none), 0);
    json_t *all = warnings_of(&run, CHECK_SLIPS " --format json");
    for (size_t i = 0; i < json_array_size(all); i++) {
        const char *file = NULL, *section = NULL, *key = NULL, *text = NULL;
        int line = 0;
        cr_assert_eq(json_unpack(json_array_get(all, i), "{s:s,s:i,s:s,s:s,s:s}", "file", &file,
                                 "line", &line, "section", &section, "key", &key, "text", &text),
                     0);
        cr_expect_str_eq(file, SLIPS);
        cr_expect(line > 0 && line < LINES_MOST && marked[line]);
        cr_expect_not_null(strstr(text, "expected"));
    }
    json_decref(none);
    json_decref(all);
    run_close(&run);
}

Test(run_sanity, the_originals_file_is_looked_through_too_and_one_file_once)
{
    struct run run;
    run_open(&run);
    json_t *own = warnings_of(&run, CHECK_SLIPS " --format json");
    json_t *other = warnings_of(&run, CHECK_GOOD " --format json --original \"" SLIPS "\"");
    json_t *twice = warnings_of(&run, CHECK_SLIPS " --format json --original \"" SLIPS "\"");
    cr_expect(json_equal(own, other));
    cr_expect(json_equal(own, twice));
    json_decref(own);
    json_decref(other);
    json_decref(twice);
    run_close(&run);
}
