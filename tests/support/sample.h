/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A case and its result filled by hand, for tests of reports.  The numbers are no physics: each is
 * different, so that none can be taken for another. */
#ifndef SM_TESTS_SAMPLE_H
#define SM_TESTS_SAMPLE_H

#include "swapmargin/report.h"
#include "swapmargin/result.h"

#define SAMPLE_POINTS 16

struct sample {
    struct sm_drive drive;
    struct sm_module module;
    struct sm_case c;
    struct sm_result result;
    struct sm_point points[SAMPLE_POINTS];
    struct sm_overload overload[SAMPLE_POINTS];
    struct sm_note conditions[3], reasons[2], notes[2];
    char part[80], name[80];
};

/* Two points, 30 and 60 Hz, conditional, every check but two not checked. */
void sample_make(struct sample *s);

/* The first point, and so the whole result, without equilibrium: rejected. */
void sample_run_away(struct sample *s);

/* n points, 30 Hz apart. */
void sample_points(struct sample *s, size_t n);

/* The sheet of a sample as text, 80 columns; the caller releases it. */
struct sm_text sample_sheet(const struct sample *s, bool utf8);

/* The text has the expected piece in it. */
void text_contains(const struct sm_text *text, const char *expected);

#endif
