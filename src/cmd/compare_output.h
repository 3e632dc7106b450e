/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The ranked rows of a comparison on their way out: which are shown, and in what form. */
#ifndef SWAPMARGIN_CMD_COMPARE_OUTPUT_H
#define SWAPMARGIN_CMD_COMPARE_OUTPUT_H

#include "cmd/commands.h"
#include "cmd/compare_rows.h"
#include "report/report_compare.h"

struct compare_output {
    struct compare_rows rows;
    struct comparison about;
    enum sm_format format;
    size_t next; /* row that comes next */
    bool ended;
    struct sm_text line; /* the row in hand */
};

void compare_output_init(struct compare_output *output);
void compare_output_release(struct compare_output *output);

/* Leaves only rows of one verdict (SM_STANDING_COUNT: all), at most `top` a drive (0: all), counts
 * all of them, and tells whether any can be used.  Given: ranked rows. */
bool compare_output_choose(struct compare_output *output, enum sm_standing only, size_t top,
                           bool strict);

/* The next piece of JSON, JSON lines or CSV; an empty piece is the end.  An output_source with a
 * struct compare_output behind it. */
enum sm_status compare_output_next(void *context, struct sm_text *piece, struct sm_faults *faults);

/* The whole sheet for people. */
enum sm_status compare_output_sheet(struct compare_output *output, const struct sm_style *style,
                                    struct sm_text *out, struct sm_faults *faults);

/* The candidate behind a row. */
enum sm_status compare_output_candidate(struct compare_output *output, size_t row,
                                        struct candidate *candidate, struct sm_faults *faults);

#endif
