/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Building an explanation: one step for each quantity, found again by its name.
 *
 * The part of the model that knows a quantity (tell_point() and so on) says its value and which
 * formula holds.  The symbols in that formula's expression then say what else has to be explained:
 * the links follow from the printed text. */
#ifndef SM_EXPLAIN_BUILDER_H
#define SM_EXPLAIN_BUILDER_H

#include "base/arena.h"
#include "explain/rows.h"
#include "load/operating_point.h"
#include "solve/electrothermal.h"
#include "swapmargin/explain.h"
#include "swapmargin/text.h"

/* The case as it is, or with one value of the drive file changed: a limit's, or the time of an
 * overload. */
struct variant {
    const char *prefix; /* of the names of what is different: "" for the case as it is */
    struct sm_drive drive;
    struct sm_case c;
    struct stage stage;
    struct sm_joint_result joint;
    struct sm_hold hold;
    int changed;         /* enum sm_drive_key; SM_DRIVE_KEY_COUNT for none */
    enum formula given;  /* how the changed value follows from what was searched */
    bool changes_output; /* the output frequency is what was searched */
    size_t k;            /* limit, or test frequency of the overload, that it stands for */
};

enum site_kind { SITE_TEST, SITE_OVERLOAD };

/* An operating point with the nodes behind its result. */
struct site {
    enum site_kind kind;
    const char *name; /* "points[0]" */
    size_t index;     /* test frequency */
    const struct variant *variant;
    struct operating_point op;
    struct sm_point point; /* solved for its nodes; below 1 Hz the hold counts */
    struct chip_state chip[SM_CHIP_COUNT];
    const struct site *start; /* of an overload: the test point */
    double duration;          /* s  of an overload */
    bool marched;             /* an overload's sink is held where it got in that time */
};

/* Of what a quantity is asked.  Fields that do not matter for it are left as they are. */
struct where {
    const struct variant *variant;
    const struct site *site;
    enum sm_chip_kind chip;
    size_t k;                /* row, term, check or limit */
    bool switching;          /* an energy's curve; else the on-state voltage's */
    enum energy_kind energy; /* which */
    bool lowest;             /* extreme of the rise; else the highest */
    bool other_leg;          /* of the zero-speed hold; else the hot one */
};

struct builder {
    const struct sm_case *c;
    const struct sm_result *result;
    struct arena *arena;
    struct variant base, varied;
    struct site *tests, *overloads;
    size_t n_tests, n_overloads;
    struct site there; /* where a value that was searched for takes the file's place */
    struct sm_step *steps;
    size_t n_steps, capacity;
    bool loop;   /* a step of the loop of losses and temperatures is there */
    bool solved; /* builder_solve() was called */
    enum sm_status status;
};

/* The case and its names; nothing is solved yet.  Both are borrowed.  Errors: SM_ERR_MEMORY. */
enum sm_status builder_open(struct builder *b, const struct sm_case *c, struct arena *arena);

/* What the check tells; borrowed. */
void builder_told(struct builder *b, const struct sm_result *result);

/* Solves the test frequencies and overloads again, for their nodes: when the first is asked for.
 * Errors: SM_ERR_CONVERGE, SM_ERR_MEMORY. */
enum sm_status builder_solve(struct builder *b);

/* Makes the variant and the point where a value that was searched for takes the file's place
 * (vary.c); nothing to do for other quantities.  Errors: SM_ERR_CONVERGE, SM_ERR_MEMORY. */
enum sm_status builder_vary(struct builder *b, enum quantity q, const struct where *w);

/* Solves an overload of a test frequency: the point at its end (vary.c). */
enum sm_status overload_site(struct builder *b, const struct site *start,
                             const struct variant *variant, double duration, struct site *out);

/* The step of a quantity, with all that it rests on; built at the first call.  On lack of memory
 * b->arena->failed is set and the index is of no use. */
size_t quantity_step(struct builder *b, enum quantity q, const struct where *w);

/* ------------------------------------------------ what the parts of the model say of a quantity */

struct ask {
    struct builder *b;
    enum quantity q;
    struct where w;
    size_t step;
};

void tell_case(const struct ask *ask);
void tell_joint(const struct ask *ask);
void tell_point(const struct ask *ask);
void tell_chip(const struct ask *ask);
void tell_cycle(const struct ask *ask);
void tell_foster(const struct ask *ask);
void tell_device(const struct ask *ask);
void tell_hold(const struct ask *ask);
void tell_overload(const struct ask *ask);
void tell_limit(const struct ask *ask);
void tell_check(const struct ask *ask);

#define WHY_RUNAWAY                                                                                \
    "thermal runaway: losses grow faster with temperature than the sink can carry away, there is " \
    "no "                                                                                          \
    "equilibrium"

/* The value, in SI, and the formula that holds. */
void say_value(const struct ask *ask, double si, enum formula formula);

/* There is none. */
void say_null(const struct ask *ask, const char *why);

/* One value of a list or row of a file.  key: "[section] key ..." */
void say_input(const struct ask *ask, double si, const struct sm_origin *origin, const char *key);

/* A number that a search found; note says how. */
void say_found(const struct ask *ask, double number, const char *note);

/* No number: a formula with arguments. */
void say_function(const struct ask *ask, enum formula formula);

/* Another unit than the row's, before the value is said; and another meaning. */
void say_unit(const struct ask *ask, const char *unit);
void say_meaning(const struct ask *ask, const char *meaning);

/* The sentence that the check says itself; it is copied. */
void say_sentence(const struct ask *ask, const struct sm_note *note);

/* Gives the step rows; afterwards its columns are added one by one. */
void say_rows(const struct ask *ask, size_t n_rows);

/* The row in which the columns are worked out. */
void say_worked_row(const struct ask *ask, size_t row);

/* Where a column comes from. */
struct column_from {
    bool computed;
    enum formula formula; /* when computed */
    struct sm_origin origin;
    const char *key; /* when read */
};

/* Adds a column; unit NULL: that of its row.  Returned: where its values go, n_rows of them, in
 * that unit; NULL when there is no memory. */
double *say_column(const struct ask *ask, enum column column, const struct column_from *from,
                   const char *unit);

/* A column with a formula, and one that was laid out by the program. */
double *say_computed(const struct ask *ask, enum column column, enum formula formula);
double *say_laid_out(const struct ask *ask, enum column column);

/* ---------------------------------------------------------------------------------- parts of it */

/* The step of a key of a file, or of what a variant takes in its place (leaf.c). */
size_t leaf_step(struct builder *b, const struct symbol_row *symbol, const struct where *w);

/* Meaning and unit of a key's number as it is printed. */
const char *drive_key_meaning(enum sm_drive_key key);
const char *drive_key_unit(enum sm_drive_key key);

/* "[section] key" of a key. */
const char *drive_key_name(struct builder *b, enum sm_drive_key key);
const char *module_key_name(struct builder *b, enum sm_module_key key);

/* The step of a constant. */
size_t constant_step(struct builder *b, const struct constant_row *row);

/* Finds a step by name, or adds an empty one.  Returned: true when it was there. */
bool step_named(struct builder *b, const char *name, size_t *step);

/* Links of a formula from the symbols of its expression (symbols.c). */
void formula_link(const struct ask *ask, enum formula formula, struct sm_step_formula *out);

/* A template with its {placeholders} filled in, for a path or for people (names.c). */
const char *path_fill(struct builder *b, const char *text, const struct where *w);
const char *words_fill(struct builder *b, const char *text, const struct where *w);

/* The text as a string that lives as long as the explanation, never NULL; the text is released. */
const char *keep(struct builder *b, struct sm_text *text);

/* The first n bytes of a text likewise. */
const char *keep_bytes(struct builder *b, const char *bytes, size_t n);

/* "before[i]behind" likewise. */
const char *numbered(struct builder *b, const char *before, size_t i, const char *behind);

/* The expressions of all steps with their numbers filled in (numbers.c). */
void numbers_fill(struct builder *b);

/* Where a function is worked out: at these arguments of its symbol. */
struct function_place {
    const char *symbol;
    double i, t; /* A, degC */
};

/* Writes a function's formula with the numbers at a place, and what it gives there. */
void function_work_out(struct builder *b, size_t step, const struct function_place *place,
                       double value);

/* Works the chip's curves out at one place, unless they were at another (worked.c).  i, t: A, K. */
void curves_work_out(struct builder *b, const struct where *w, double i, double t);

/* ------------------------------------------------------------------------ the curves (device.c) */

/* The rows of the curve that w means, the key they were read from, and how many there are. */
const struct sm_rows *curve_rows(const struct builder *b, const struct where *w);
enum sm_module_key curve_key(const struct where *w);

#endif
