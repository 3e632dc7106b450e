/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Explanations judged from outside: what the program prints is read back, and a calculator that
 * knows only the printed words works everything out again. */
#include "swapmargin/explain.h"

#include "explain/rows.h"
#include "support/near.h"
#include "support/recomputed.h"
#include "support/run.h"

#include <criterion/criterion.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Drives and modules of the reference cases: every formula that an explanation knows is in one. */
static const char *const cases[] = {
    "beyond-the-tables",
    "both-joints-single",
    "clamped-regenerating",
    "fan-torque",
    "joint-file",
    "one-current-printed-joints",
    "runaway",
    "sine-terminal-curves",
    "single-points",
    "slow-fan",
    "slow-output",
    "space-vector-six-pack",
    "third-harmonic-single-parallel",
};

enum { CASES = sizeof cases / sizeof cases[0] };

static void run_case(struct run *run, const char *command, const char *name, const char *rest)
{
    char line[512];
    const bool joint = strcmp(name, "joint-file") == 0;
    (void)snprintf(line, sizeof line,
                   "\"$S\" %s \"$C/%s-drive.ini\" \"$C/%s-module.ini\" %s --format json%s", command,
                   name, name, rest, joint ? " --joint \"$C/joint-file-joint.ini\"" : "");
    run_line(run, line);
}

static void explain_case(struct run *run, const char *name, const char *what,
                         struct explained *explained)
{
    char quoted[128];
    (void)snprintf(quoted, sizeof quoted, "'%s'", what);
    run_case(run, "explain", name, quoted);
    cr_assert_eq(run->code, 0, "%s %s: %s", name, what, run->err);
    explained_read(explained, run->out);
}

/* ------------------------------------------- every number of a check, its value and its formula */

/* One case: the numbers of its check, the names of steps that were looked at already. */
struct survey {
    struct run *run;
    const char *name;
    json_t *seen; /* object: name -> printed value */
    json_t *formulas;
};

static void remember(const struct survey *survey, const struct line *line)
{
    if (line->text)
        (void)json_object_set_new(survey->formulas, line->text, json_true());
}

/* A step that is new, or the same as where it was seen first. */
static void look_at_step(const struct survey *survey, struct explained *explained,
                         struct told *step)
{
    json_t *seen = json_object_get(survey->seen, step->name);
    if (seen) {
        cr_assert_eq(json_is_null(seen), !step->given);
        NEAR(step->printed, json_number_value(seen), 0.0);
        return;
    }
    formula_holds(explained, step);
    (void)json_object_set_new(survey->seen, step->name,
                              step->given ? json_real(step->printed) : json_null());
    remember(survey, &step->line);
    for (size_t k = 0; k < step->n_columns; k++)
        remember(survey, &step->columns[k].line);
}

static void look_at(const struct survey *survey, const char *what, bool from_leaves)
{
    struct explained explained;
    explain_case(survey->run, survey->name, what, &explained);
    for (size_t i = 0; i < explained.n_steps; i++)
        look_at_step(survey, &explained, &explained.steps[i]);
    if (from_leaves) {
        recompute_start(&explained);
        recompute(&explained);
        recomputed_is_printed(&explained);
    }
    explained_release(&explained);
}

/* The number stands in the check as `value`; what was seen below another is not asked for again. */
static void expect_explained(const struct survey *survey, const char *what, json_t *value)
{
    if (!json_object_get(survey->seen, what))
        look_at(survey, what, false);
    json_t *told = json_object_get(survey->seen, what);
    cr_assert_eq(json_is_null(value), json_is_null(told), "%s: %s", survey->name, what);
    /* both print ten digits of the same number */
    if (json_is_number(value))
        NEAR_REL(json_number_value(told), json_number_value(value), 1e-9);
}

/* The current that may stand for good is found by a search. */
static bool is_number_or_none(const char *key, json_t *value)
{
    static const char *const words[] = { "why", "set_by", "allowed_current_a" };
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strcmp(key, words[i]) == 0)
            return false;
    return json_is_number(value) || json_is_null(value);
}

static void walk(const struct survey *survey, json_t *value, const char *path);

static void walk_object(const struct survey *survey, json_t *object, const char *path)
{
    const char *key = NULL;
    json_t *value = NULL;
    json_object_foreach(object, key, value)
    {
        char name[128];
        (void)snprintf(name, sizeof name, "%s%s%s", path, path[0] ? "." : "", key);
        if (is_number_or_none(key, value))
            expect_explained(survey, name, value);
        else
            walk(survey, value, name);
    }
}

static void walk(const struct survey *survey, json_t *value, const char *path)
{
    if (json_is_object(value))
        walk_object(survey, value, path);
    for (size_t i = 0; json_is_array(value) && i < json_array_size(value); i++) {
        char name[128];
        (void)snprintf(name, sizeof name, "%s[%zu]", path, i);
        walk(survey, json_array_get(value, i), name);
    }
}

static void survey_case(const struct survey *survey)
{
    static const char *const parts[] = { "drive", "module", "joint", "points", "hold" };
    json_error_t error;
    run_case(survey->run, "check", survey->name, "");
    json_t *root = json_loads(survey->run->out, 0, &error);
    cr_assert_not_null(root, "%s", error.text);
    json_object_clear(survey->seen);
    /* most of the rest lies below these two */
    look_at(survey, "margin_k", true);
    look_at(survey, "hold.margin_k", true);
    expect_explained(survey, "margin_k", json_object_get(root, "margin_k"));
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        walk(survey, json_object_get(root, parts[i]), parts[i]);
    json_decref(root);
}

Test(explain, every_number_of_a_check_follows_from_printed_leaves_by_printed_formulas,
     .timeout = 300)
{
    struct run run;
    run_open(&run);
    struct survey survey = { .run = &run, .seen = json_object(), .formulas = json_object() };
    for (size_t i = 0; i < CASES; i++) {
        survey.name = cases[i];
        survey_case(&survey);
    }
    for (int i = 0; i < FORMULA_COUNT; i++)
        cr_expect_not_null(json_object_get(survey.formulas, formula_row((enum formula)i)->text),
                           "no case uses '%s'", formula_row((enum formula)i)->text);
    json_decref(survey.seen);
    json_decref(survey.formulas);
    run_close(&run);
}
