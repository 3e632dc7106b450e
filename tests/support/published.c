/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/published.h"

#include <math.h>
#include <string.h>

static const char *const names[PUBLISHED_GROUPS] = { "chain", "losses", "heat", "drive" };
static const char *const tags[PUBLISHED_TAGS] = { "value, read",
                                                  "formula, read",
                                                  "rule, read",
                                                  "value, in a transcription",
                                                  "formula, in a transcription",
                                                  "value from memory",
                                                  "formula from memory" };

const char *published_name(enum published_group group)
{
    return names[group];
}

size_t published_rows(enum published_group group, struct published *rows)
{
    switch (group) {
    case PUBLISHED_CHAIN:
        return published_chain(rows);
    case PUBLISHED_LOSSES:
        return published_losses(rows);
    case PUBLISHED_HEAT:
        return published_heat(rows);
    case PUBLISHED_DRIVE:
        return published_drive(rows);
    case PUBLISHED_GROUPS:
        break;
    }
    return 0;
}

/* Decimals of a printed number. */
static int decimals(const char *printed)
{
    const char *point = strchr(printed, '.');
    return point ? (int)strlen(point + 1) : 0;
}

static void row_write(const struct published *row, struct sm_text *out)
{
    const int n = decimals(row->printed) + 1;
    const double difference = row->ours - row->value;
    sm_text_add(out, "| %s | %s | %s | %.*f | ", row->what, row->unit, row->printed, n, row->ours);
    if (fabs(difference) < 0.5 * pow(10.0, -n)) /* rounds to nothing, whichever side it is on */
        sm_text_add(out, "0");
    else
        sm_text_add(out, "%+.*f", n, difference);
    sm_text_add(out, " | %g: %s | %s | %s |\n", row->tolerance, row->why, tags[row->tag],
                row->source);
}

void published_table(enum published_group group, struct sm_text *out)
{
    struct published rows[PUBLISHED_MOST];
    const size_t n = published_rows(group, rows);
    sm_text_add(out, "| quantity | unit | published | ours | difference | allowed, and why | known "
                     "| source |\n|---|---|---|---|---|---|---|---|\n");
    for (size_t i = 0; i < n; i++)
        row_write(&rows[i], out);
}
