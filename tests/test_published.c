/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rows of tests/published/: printed values of publications, each beside what the library makes
 * of the same inputs.  Source, tag and the reason of the tolerance stand in the row. */
#include "support/published.h"
#include "support/run.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static void expect_rows(enum published_group group)
{
    struct published rows[PUBLISHED_MOST];
    const size_t n = published_rows(group, rows);
    cr_assert(n > 0 && n <= PUBLISHED_MOST);
    for (size_t i = 0; i < n; i++)
        cr_expect(fabs(rows[i].ours - rows[i].value) <= rows[i].tolerance,
                  "%s: %s is %.9g %s, published %s within %g (%s)", published_name(group),
                  rows[i].what, rows[i].ours, rows[i].unit, rows[i].printed, rows[i].tolerance,
                  rows[i].source);
}

Test(published, whole_chain_from_data_sheet_to_junction_as_another_code_has_it)
{
    expect_rows(PUBLISHED_CHAIN);
}

Test(published, losses_of_a_leg)
{
    expect_rows(PUBLISHED_LOSSES);
}

Test(published, heat_from_junction_to_ambient)
{
    expect_rows(PUBLISHED_HEAT);
}

Test(published, bus_modulation_gate_and_checks)
{
    expect_rows(PUBLISHED_DRIVE);
}

/* Expected: what docs/validation.md promises. */
Test(published, there_are_forty_rows_and_twelve_values_that_were_seen_in_print)
{
    size_t all = 0, seen = 0;
    for (int g = 0; g < PUBLISHED_GROUPS; g++) {
        struct published rows[PUBLISHED_MOST];
        const size_t n = published_rows((enum published_group)g, rows);
        all += n;
        for (size_t i = 0; i < n; i++)
            seen += rows[i].tag == READ || rows[i].tag == TRANSCRIBED;
    }
    cr_assert_geq(all, (size_t)40);
    cr_assert_geq(seen, (size_t)12);
}

Test(published, validation_md_shows_these_rows)
{
    char *document = run_file(SM_DOCS_DIR "/validation.md");
    cr_assert_not_null(document);
    for (int g = 0; g < PUBLISHED_GROUPS; g++) {
        struct sm_text table;
        sm_text_init(&table);
        published_table((enum published_group)g, &table);
        cr_assert(table.data && !table.out_of_memory);
        cr_expect(strstr(document, table.data),
                  "docs/validation.md differs in '%s': make validation",
                  published_name((enum published_group)g));
        sm_text_release(&table);
    }
    free(document);
}
