/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Explanations: where a number of a check's result comes from, step by step down to the lines of
 * the input files.
 *
 * A step is a number with its formula, the same with the numbers filled in, and links to the steps
 * that its symbols stand for; or an input with its file and line; or a constant with its source; or
 * a function or table that formulas refer to.  Each stands once.  Losses and temperatures depend on
 * each other, so the links make a loop: the values are those at which it has settled. */
#ifndef SWAPMARGIN_EXPLAIN_H
#define SWAPMARGIN_EXPLAIN_H

#include "swapmargin/case.h"
#include "swapmargin/error.h"
#include "swapmargin/result.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum sm_step_kind {
    SM_STEP_VALUE,    /* a number from a formula */
    SM_STEP_INPUT,    /* a number as read, or what stands in for it */
    SM_STEP_CONSTANT, /* a number that stands in the program, or that a search found */
    SM_STEP_FUNCTION, /* no number: its formula has arguments; may have columns */
    SM_STEP_TABLE     /* no number: columns, row by row */
};

/* A symbol of a formula and what it stands for: a step, or a column of a step. */
struct sm_step_link {
    const char *symbol;
    size_t step;        /* index */
    const char *column; /* symbol of the column, or NULL */
};

struct sm_step_formula {
    const char *text;    /* the expression; NULL where there is none */
    const char *numbers; /* the same with the numbers filled in; NULL for functions and columns */
    const char *source;  /* a standard, a publication, a balance, or common practice */
    struct sm_step_link *links;
    size_t n_links; /* a symbol that stands for several has several links */
};

struct sm_step_column {
    const char *symbol;
    const char *unit; /* "" for none */
    const char *meaning;
    struct sm_step_formula formula; /* text NULL: read or laid out */
    struct sm_origin origin;        /* of a column that was read */
    const char *key;                /* of a column that was read, "[section] key"; else NULL */
    const double *values;           /* n_rows, in `unit` */
    const char *worked; /* the formula in one row with its numbers, and the result; or NULL */
};

struct sm_step {
    enum sm_step_kind kind;
    const char *name;   /* path in the JSON of a check, or of the same form */
    const char *symbol; /* with arguments for a function */
    const char *unit;   /* "" for none */
    const char *meaning;
    bool given;                     /* false: there is no value, and `why` says why */
    double value;                   /* in `unit` */
    const char *why;                /* NULL as a rule */
    const char *note;               /* of an input or a constant: its source; NULL else */
    const struct sm_note *sentence; /* what a check says of itself; NULL else */
    struct sm_step_formula formula;
    struct sm_origin origin; /* of an input */
    const char *key;         /* of an input, "[section] key"; else NULL */
    const char *worked;      /* a function at one place, with its numbers and the result; or NULL */
    double worked_value;     /* that result */
    struct sm_step_column *columns;
    size_t n_columns, n_rows;
    size_t worked_row; /* that the columns are worked out in; n_rows where they are not */
};

/* A word of the expressions that needs saying. */
struct sm_step_word {
    const char *name, *meaning;
};

/* Significant digits that numbers are written with: one more than promised. */
#define SM_EXPLAIN_DIGITS 10

struct sm_explanation {
    struct sm_step *steps; /* [0] is what was asked; further down the farther from it */
    size_t n_steps;
    struct sm_step_word *words; /* used in these steps */
    size_t n_words;
    bool settled;    /* the links make a loop of losses and temperatures, which has settled */
    double residual; /* K  how far that loop may be from settled */
    void *memory;    /* owned: everything above */
};

/* What can be asked for. */
struct sm_askable {
    const char *path;    /* "points[0].igbt.tvj_max_c" */
    const char *pattern; /* "points[i].igbt.tvj_max_c": the same for all i */
    const char *unit;
    const char *meaning;
    bool result; /* stands in the JSON of a check; else a step on the way */
};

struct sm_askables {
    struct sm_askable *list;
    size_t n;
    void *memory; /* owned: everything above */
};

void sm_explanation_init(struct sm_explanation *explanation);
void sm_explanation_release(struct sm_explanation *explanation);
void sm_askables_init(struct sm_askables *askables);
void sm_askables_release(struct sm_askables *askables);

/* Explains one number.
 * Given: c from sm_case_assemble(), borrowed for the life of *out; what: a path of
 * sm_explain_list(), or one with points@30 in place of points[0].
 * Returned: *out, which was initialised, filled on SM_OK and empty otherwise.
 * Errors: SM_ERR_KEY (no such number: the nearest is named), those of sm_run(). */
enum sm_status sm_explain(const struct sm_case *c, const char *what, struct sm_explanation *out,
                          struct sm_faults *faults);

/* All that can be asked of this case, in the order of a check's JSON, then the steps in between.
 * Errors: SM_ERR_MEMORY. */
enum sm_status sm_explain_list(const struct sm_case *c, struct sm_askables *out,
                               struct sm_faults *faults);

#ifdef __cplusplus
}
#endif

#endif
