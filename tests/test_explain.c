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

#define FILES_MAX 400

static void run_files(struct run *run, const char *command, const char *files, const char *rest)
{
    char line[FILES_MAX + 200];
    (void)snprintf(line, sizeof line, "\"$S\" %s %s --format json %s", command, files, rest);
    run_line(run, line);
}

static void explain_files(struct run *run, const char *files, const char *what,
                          struct explained *explained)
{
    char quoted[128];
    (void)snprintf(quoted, sizeof quoted, "'%s'", what);
    run_files(run, "explain", files, quoted);
    cr_assert_eq(run->code, 0, "%s %s: %s", files, what, run->err);
    explained_read(explained, run->out);
}

/* ------------------------------------------- every number of a check, its value and its formula */

/* One case: the numbers of its check, the names of steps that were looked at already. */
struct survey {
    struct run *run;
    const char *files;
    json_t *seen;      /* object: name -> printed value */
    json_t *formulas;  /* object: expression -> how many columns or steps had it, in all cases */
    json_t *columns;   /* object: expression -> how many columns had it, in this case */
    json_t *unchanged; /* object: numbers of the unchanged case, that need no look again; or NULL */
    int *worked;       /* how many were worked out at one place */
    bool thorough; /* every number; else the second and later of a kind where they cost no run */
};

static json_int_t count(json_t *counts, const char *text)
{
    const json_int_t n = json_integer_value(json_object_get(counts, text)) + 1;
    (void)json_object_set_new(counts, text, json_integer(n));
    return n;
}

/* A case has tables by the dozen that differ in numbers only: the first few are worked out. */
#define ENOUGH 3

static void look_at_columns(const struct survey *survey, struct explained *explained,
                            struct told *step)
{
    for (size_t k = 0; k < step->n_columns; k++) {
        const struct series *column = &step->columns[k];
        if (!column->line.text)
            continue;
        (void)count(survey->formulas, column->line.text);
        if (count(survey->columns, column->line.text) <= ENOUGH)
            column_holds(explained, step, column);
    }
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
    (void)json_object_set_new(survey->seen, step->name,
                              step->given ? json_real(step->printed) : json_null());
    if (step->line.text)
        (void)count(survey->formulas, step->line.text);
    value_holds(explained, step);
    survey->worked[0] += worked_holds(explained, step);
    look_at_columns(survey, explained, step);
}

static void look_at(const struct survey *survey, const char *what, bool from_leaves)
{
    struct explained explained;
    explain_files(survey->run, survey->files, what, &explained);
    for (size_t i = 0; i < explained.n_steps; i++)
        look_at_step(survey, &explained, &explained.steps[i]);
    if (from_leaves) {
        recompute_start(&explained);
        recompute(&explained);
        recomputed_is_printed(&explained);
    }
    explained_release(&explained);
}

/* True for the second and later point, overload or limit. */
static bool is_one_more(const char *what)
{
    const char *bracket = strchr(what, '[');
    return bracket && strncmp(what, "checks", 6) != 0 && strtol(bracket + 1, NULL, 10) > 0;
}

static bool is_unchanged(const struct survey *survey, const char *what, json_t *value)
{
    json_t *before = json_object_get(survey->unchanged, what);
    return before && json_is_null(before) == json_is_null(value) &&
           fabs(json_number_value(before) - json_number_value(value)) <= 0.0;
}

/* The number stands in the check as `value`; what was seen below another is not asked for again. */
static void expect_explained(const struct survey *survey, const char *what, json_t *value)
{
    if (!json_object_get(survey->seen, what) && !survey->thorough && is_one_more(what))
        return;
    if (is_unchanged(survey, what, value))
        return;
    if (!json_object_get(survey->seen, what))
        look_at(survey, what, false);
    json_t *told = json_object_get(survey->seen, what);
    cr_assert_eq(json_is_null(value), json_is_null(told), "%s: %s", survey->files, what);
    /* both print ten digits of the same number */
    if (json_is_number(value))
        NEAR_REL(json_number_value(told), json_number_value(value), 1e-9);
}

static bool is_number_or_none(const char *key, json_t *value)
{
    static const char *const words[] = { "why", "set_by" };
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

/* Walks through these parts of the check; `deep`: also from the leaves alone. */
static void survey_files(const struct survey *survey, const char *const *parts, size_t n_parts,
                         bool deep)
{
    json_error_t error;
    run_files(survey->run, "check", survey->files, "");
    json_t *root = json_loads(survey->run->out, 0, &error);
    cr_assert_not_null(root, "%s", survey->run->err);
    json_object_clear(survey->seen);
    json_object_clear(survey->columns);
    if (deep) { /* most of the rest lies below these */
        look_at(survey, "margin_k", true);
        look_at(survey, "hold.margin_k", true);
        look_at(survey, "limits[0].value", true);
        if (json_array_size(json_object_get(root, "overload")) > 0)
            look_at(survey, "overload[0].tvj_max_c", true);
        expect_explained(survey, "margin_k", json_object_get(root, "margin_k"));
    }
    for (size_t i = 0; i < n_parts; i++)
        walk(survey, json_object_get(root, parts[i]), parts[i]);
    json_decref(root);
}

/* ----------------------------------------------------------------- the cases */

static void survey_references(struct survey *survey)
{
    static const char *const parts[] = { "drive",    "module", "joint",  "points",
                                         "overload", "hold",   "limits", "checks" };
    for (size_t i = 0; i < CASES; i++) {
        char files[FILES_MAX];
        const bool joint = strcmp(cases[i], "joint-file") == 0;
        (void)snprintf(files, sizeof files, "\"$C/%s-drive.ini\" \"$C/%s-module.ini\"%s", cases[i],
                       cases[i], joint ? " --joint \"$C/joint-file-joint.ini\"" : "");
        survey->files = files;
        survey->thorough = i % 4 == 0;
        survey_files(survey, parts, sizeof parts / sizeof parts[0], true);
    }
}

/* The example with lines changed by sed: what the fit has to say of it. */
struct change {
    const char *drive, *module;
};

static const struct change changes[] = {
    { "", "" },
    /* bus and peak beyond their limits, trips and overload the other way about */
    { "s/^dc_bus_voltage.*/dc_bus_voltage = 1000 V/; s/^overcurrent_trip.*/overcurrent_trip = 90 "
      "A/",
      "" },
    { "s/^overvoltage_trip.*/overvoltage_trip = 950 V/", "" },
    { "s/^overvoltage_trip.*/overvoltage_trip = 1300 V/; /^overcurrent_trip/d", "" },
    { "/^overvoltage_trip/d; s/^overcurrent_trip.*/overcurrent_trip = 3000 A/", "" },
    { "/^overcurrent_trip/d; s/^overload_current.*/overload_current = 400 %/", "" },
    { "/^dc_bus_voltage/d; s/^power_factor = .*/power_factor = -0.8/", "" },
    { "/^overload/d; s/^overcurrent_trip.*/overcurrent_trip = 180 A/", "" },
    /* gate voltages: beyond the gate, off the curves */
    { "s/^vge_on.*/vge_on = 24 V/", "" },
    { "s/^vge_off.*/vge_off = -24 V/", "" },
    { "s/^vge_off.*/vge_off = 0 V/", "" },
    { "s/^vge_on.*/vge_on = 12 V/", "" },
    { "s/^vge_on.*/vge_on = 17 V/", "" },
    /* typical delays, torque below the range */
    { "s/^screw_torque.*/screw_torque = 1 N.m/", "/^td_on_min/d; /^td_off_max/d" },
    /* overloads that do not fit: too long, too hot at once, no equilibrium */
    { "s/^overload_current.*/overload_current = 145 %/; s/^overload_time.*/overload_time = 20 min/",
      "s/^tvj_op_max.*/tvj_op_max = 125 degC/" },
    { "s/^overload_current.*/overload_current = 230 %/", "" },
    /* losses that rise steeply above 125 degC: equilibrium ends before the margin is used up */
    { "s/^overload_current.*/overload_current = 150 %/; s/^overload_time.*/overload_time = 60 min/",
      "s/^tvj_op_max.*/tvj_op_max = 175 degC/; "
      "s/^e_on @ 25 degC.*/e_on @ 25 degC = 2.1 3.9 7.8 12.4 18.0 33.0 mJ/; "
      "s/^e_on @ 150 degC.*/e_on @ 150 degC = 12 24 49 74 100 190 mJ/" },
};

static void survey_changes(struct survey *survey)
{
    static const char *const parts[] = { "overload", "checks", "limits" };
    const size_t n = sizeof changes / sizeof changes[0];
    survey->files = "\"$T/drive.ini\" \"$T/module.ini\"";
    for (size_t i = 0; i < n; i++) {
        char line[800];
        (void)snprintf(line, sizeof line,
                       "sed '%s' \"$E/drive.ini\" >\"$T/drive.ini\" && "
                       "sed '%s' \"$E/module-good.ini\" >\"$T/module.ini\"",
                       changes[i].drive, changes[i].module);
        run_line(survey->run, line);
        cr_assert_eq(survey->run->code, 0, "%s", survey->run->err);
        survey->thorough = true;
        /* limits of the last one only: they cost most, and the cases above have theirs */
        survey_files(survey, parts, i + 1 < n ? 2 : 3, false);
        if (i == 0)
            survey->unchanged = json_deep_copy(survey->seen);
    }
}

Test(explain, every_number_of_a_check_follows_from_printed_leaves_by_printed_formulas,
     .timeout = 300)
{
    struct run run;
    run_open(&run);
    int worked = 0;
    struct survey survey = { .run = &run,
                             .seen = json_object(),
                             .formulas = json_object(),
                             .columns = json_object(),
                             .worked = &worked };
    survey_references(&survey);
    survey_changes(&survey);
    for (int i = 0; i < FORMULA_COUNT; i++)
        cr_expect_not_null(json_object_get(survey.formulas, formula_row((enum formula)i)->text),
                           "no case uses '%s'", formula_row((enum formula)i)->text);
    cr_expect_gt(worked, 200, "%d", worked); /* 15 or so a chip and point */
    json_decref(survey.seen);
    json_decref(survey.formulas);
    json_decref(survey.columns);
    json_decref(survey.unchanged);
    run_close(&run);
}

/* --------------------------------------------------------- another input, another value */

/* A leaf of the example and the same change typed into its file.  The explanation's nodes stay
 * where the old input laid them, which a bend of the modulation inside a panel shows most: hence
 * 5 mK. */
struct other_input {
    const char *leaf, *column; /* step; column of a step, or NULL */
    size_t row;
    double value; /* as printed: SI, degC */
    const char *drive, *module;
};

static const struct other_input others[] = {
    { "[cooling] ambient", NULL, 0, 46.0, "s/^ambient.*/ambient = 46 degC/", "" },
    { "[cooling] rth_sa", NULL, 0, 0.05, "s,^rth_sa.*,rth_sa = 0.05 K/W,", "" },
    { "[cooling] other_heat", NULL, 0, 400.0, "s/^other_heat.*/other_heat = 400 W/", "" },
    { "[cooling] altitude", NULL, 0, 2500.0, "s/^altitude.*/altitude = 2500 m/", "" },
    { "[drive] output_current", NULL, 0, 80.0, "s/^output_current.*/output_current = 80 A/", "" },
    { "[drive] switching_frequency", NULL, 0, 5000.0,
      "s/^switching_frequency.*/switching_frequency = 5 kHz/", "" },
    { "[drive] dc_bus_voltage", NULL, 0, 700.0, "s/^dc_bus_voltage.*/dc_bus_voltage = 700 V/", "" },
    { "[joint] thickness", NULL, 0, 150e-6, "s/^thickness.*/thickness = 150 um/", "" },
    { "load.power_factor@60Hz", NULL, 0, 0.8, "s/^power_factor = .*/power_factor = 0.8/", "" },
    { "[module] tvj_op_max", NULL, 0, 140.0, "", "s/^tvj_op_max.*/tvj_op_max = 140 degC/" },
    { "[module] lead_resistance", NULL, 0, 2e-3, "",
      "s/^lead_resistance.*/lead_resistance = 2 mohm/" },
    { "[mounting] rth_cs", NULL, 0, 0.06, "", "s,^rth_cs = .*,rth_cs = 0.06 K/W," },
    { "[igbt.switching] test_voltage", NULL, 0, 500.0, "",
      "/igbt.switching/,/current/s/^test_voltage.*/test_voltage = 500 V/" },
    { "igbt.foster_r[2]", NULL, 0, 0.088, "", "s/0.057 0.087 0.035/0.057 0.088 0.035/" },
    { "igbt.foster_tau[1]", NULL, 0, 0.03, "", "s/0.002 0.018 0.062 0.24/0.002 0.03 0.062 0.24/" },
    { "igbt.vce_sat@125degC", "y", 3, 1.9, "", "s/1.07 1.36 1.79 2.15/1.07 1.36 1.9 2.15/" },
    { "igbt.e_off@125degC", "y", 3, 0.0115, "", "s/2.6 5.0 9.8 14.2/2.6 5.0 11.5 14.2/" },
    { "diode.e_rr@25degC", "y", 3, 5.5e-3, "", "s/2.0 3.2 4.8 5.9/2.0 3.2 5.5 5.9/" },
};

/* The margin of the files with this change, by the engine. */
static double margin_of_files(struct run *run, const char *drive, const char *module)
{
    char line[800];
    json_error_t error;
    (void)snprintf(line, sizeof line,
                   "sed '%s' \"$E/drive.ini\" >\"$T/drive.ini\" && "
                   "sed '%s' \"$E/module-good.ini\" >\"$T/module.ini\" && "
                   "\"$S\" check \"$T/drive.ini\" \"$T/module.ini\" --format json",
                   drive, module);
    run_line(run, line);
    json_t *root = json_loads(run->out, 0, &error);
    cr_assert_not_null(root, "%s", run->err);
    const double margin = json_number_value(json_object_get(root, "margin_k"));
    json_decref(root);
    return margin;
}

Test(explain, a_changed_input_changes_the_value_as_it_does_in_the_engine, .timeout = 120)
{
    struct run run;
    struct explained explained;
    run_open(&run);
    explain_files(&run, "\"$E/drive.ini\" \"$E/module-good.ini\"", "margin_k", &explained);
    const struct told *top = &explained.steps[0];
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
        const struct other_input *other = &others[i];
        recompute_start(&explained);
        struct told *leaf = explained_step(&explained, other->leaf);
        double *value =
            other->column ? &explained_column(leaf, other->column)->now[other->row] : &leaf->now;
        cr_assert_gt(fabs(*value - other->value), 1e-3 * fabs(*value), "%s", other->leaf);
        *value = other->value;
        recompute(&explained);
        const double margin = margin_of_files(&run, other->drive, other->module);
        cr_assert_gt(fabs(margin - top->printed), 0.05, "%s: no change", other->leaf);
        cr_assert(fabs(top->now - margin) < 5e-3, "%s: %.9g, the engine has %.9g", other->leaf,
                  top->now, margin);
    }
    explained_release(&explained);
    run_close(&run);
}
