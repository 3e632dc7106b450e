/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sweeps: the margin of one case while one of its values goes through a range, all else held.  Each
 * row is a whole run of the engine, so that it equals a check of a file with that value in it.
 * Limits are not computed, and nothing is judged but the margin.  Pure and re-entrant as the
 * engine is. */
#ifndef SWAPMARGIN_SWEEP_H
#define SWAPMARGIN_SWEEP_H

#include "swapmargin/case.h"
#include "swapmargin/error.h"
#include "swapmargin/quantity.h"
#include "swapmargin/result.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum sm_sweep_over {
#define SWEEP(id, ...) SM_SWEEP_##id,
#include "swapmargin/sweep.def"
#undef SWEEP
    SM_SWEEP_COUNT
};

/* The row of a swept quantity. */
struct sm_sweep_quantity {
    const char *name;
    enum sm_dimension dimension;
    const char *unit;  /* a symbol of the unit table: values are told in it */
    double low, high;  /* SI  inclusive */
    const char *head;  /* over a column */
    const char *title; /* in a sentence */
};

/* Given: over < SM_SWEEP_COUNT. */
const struct sm_sweep_quantity *sm_sweep_quantity(enum sm_sweep_over over);

#define SM_SWEEP_FEWEST 2
#define SM_SWEEP_MOST 1000

struct sm_sweep_plan {
    enum sm_sweep_over over;
    double from, to;  /* SI  from < to, both included */
    size_t steps;     /* rows, SM_SWEEP_FEWEST ... SM_SWEEP_MOST */
    bool logarithmic; /* rows by a constant factor; else by a constant difference */
};

/* The worst point of a row without equilibrium is its first one without. */
struct sm_sweep_row {
    double value;                  /* SI */
    const struct sm_point *points; /* n_points of the sweep, in the order of the frequencies */
    bool runaway;                  /* at any of them */
    double margin;                 /* K  smallest over the points; 0 when runaway */
    size_t worst;                  /* index of the point that sets it */
};

/* Between rows `before` and before + 1 the margin passes the required one, falling or rising. */
struct sm_sweep_crossing {
    size_t before;
    bool falls;   /* the row before keeps the required margin, the next does not */
    bool found;   /* false: one of the two has no equilibrium, so there is nothing to go between */
    double value; /* SI  on the straight line between the two margins */
};

/* A note or condition that stands in some rows, with the numbers of the first of them.  What the
 * checks of a run say is left out: a sweep checks the margin only. */
struct sm_sweep_note {
    struct sm_note note;
    size_t rows;        /* in how many */
    size_t first, last; /* index of the rows */
    bool same;          /* its numbers are the same in all of them */
};

struct sm_sweep {
    struct sm_sweep_plan plan;
    double required_margin; /* K */
    struct sm_sweep_row *rows;
    size_t n_rows;
    struct sm_point *points; /* of all rows */
    size_t n_points;         /* in each row */
    struct sm_sweep_crossing *crossings;
    size_t n_crossings;
    struct sm_sweep_note *notes; /* conditions and notes, in the order of their first row */
    size_t n_notes;
};

void sm_sweep_init(struct sm_sweep *sweep);
void sm_sweep_release(struct sm_sweep *sweep);

/* Whether a row keeps the required margin. */
bool sm_sweep_keeps(const struct sm_sweep *sweep, size_t row);

/* Computes all rows.  Over the output frequency each row has the one point at that frequency; over
 * all else one at each test frequency of the drive.  Each value is what a person would type for it:
 * ten significant digits in the quantity's unit.
 * Given: c from sm_case_assemble(), const while it is used; out from sm_sweep_init(), filled on
 * SM_OK and left as after init otherwise.  It borrows from c.
 * Errors: SM_ERR_RANGE (from, to or steps outside their range), SM_ERR_VALUE (from not below to;
 * rows too near to each other; equal factors over a temperature; a joint whose printed resistance
 * no thickness enters), SM_ERR_CONVERGE, SM_ERR_MEMORY; every fault of the plan is added, of the
 * runs the first. */
enum sm_status sm_sweep(const struct sm_case *c, const struct sm_sweep_plan *plan,
                        struct sm_sweep *out, struct sm_faults *faults);

#ifdef __cplusplus
}
#endif

#endif
