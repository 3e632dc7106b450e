/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/recomputed.h"

#include "support/evaluator.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* 1: ten digits are printed, so a symbol may be off by 5e-10 of itself; sums of them by more. */
#define PRINTED 1e-8

/* K: the engine's loop of losses and temperatures ends within this (twice its own bound: the value
 * and what it is compared with may each be off by it). */
#define LOOP 2e-5

/* 1: where equilibrium ends the loop creeps, and its bound is less sharp. */
#define AT_AN_EDGE 10.0

static double loop_bound(const struct explained *explained)
{
    const char *text = explained->steps[0].line.text;
    return text && strncmp(text, "edge", 4) == 0 ? AT_AN_EDGE * LOOP : LOOP;
}

/* 1: what the loop's error makes of losses, which move by less than 1 % a kelvin; the zero-speed
 * hold's are those of the turn before the last. */
#define LOOP_LOSS 1e-6

static bool is_temperature(const char *unit)
{
    return strcmp(unit, "degC") == 0 || strcmp(unit, "K") == 0;
}

/* K: the sink's march is held within 2 mK (src/solve/sink_time.h). */
#define MARCH 2e-3
#define MARCH_LOSS 5e-5

static bool is_marched(const struct told *step)
{
    return step->line.text && strstr(step->line.text, "T_s_start");
}

/* The largest number that a formula works with sets how exact its result can be. */
static double largest(const struct explained *explained, const struct line *line, double value)
{
    double most = fabs(value);
    for (size_t i = 0; i < line->n_uses; i++) {
        const struct use *use = &line->uses[i];
        if (use->column < 0 && is_temperature(explained->steps[use->step].unit))
            most = fmax(most, fabs(explained->steps[use->step].printed));
    }
    return most;
}

static void expect_near(const struct told *step, const char *what, double got, double want,
                        double tolerance)
{
    cr_assert(fabs(got - want) <= tolerance, "%s %s: %.12g, printed %.12g, within %.3g", step->name,
              what, got, want, tolerance);
}

static double loop_tolerance(const struct explained *explained, const struct told *step)
{
    if (!explained->loop)
        return 0.0;
    if (is_marched(step))
        return MARCH;
    return is_temperature(step->unit) ? loop_bound(explained) : LOOP_LOSS * fabs(step->printed);
}

void value_holds(struct explained *explained, struct told *step)
{
    if (!step->given || !step->line.tree)
        return;
    const double tolerance =
        PRINTED * largest(explained, &step->line, step->printed) + loop_tolerance(explained, step);
    struct node *numbers = formula_parse(step->numbers);
    expect_near(step, step->line.text, evaluate_formula(explained, step), step->printed, tolerance);
    expect_near(step, step->numbers, evaluate_numbers(explained, step, numbers), step->printed,
                tolerance);
    formula_release(numbers);
}

static double column_tolerance(const struct explained *explained, const struct told *step,
                               const struct series *column)
{
    double most = 0.0;
    for (size_t row = 0; row < step->n_rows; row++)
        most = fmax(most, fabs(column->printed[row]));
    return PRINTED * most + (is_temperature(column->unit) ? loop_bound(explained) : 0.0);
}

void column_holds(struct explained *explained, struct told *step, const struct series *column)
{
    const double tolerance = column_tolerance(explained, step, column);
    for (size_t row = 0; row < step->n_rows; row++)
        expect_near(step, column->symbol, evaluate_cell(explained, step, column, row),
                    column->printed[row], tolerance);
}

/* "EXPRESSION = NUMBER", or the same and ", with t = EXPRESSION". */
static void words_hold(struct explained *explained, struct told *step, const struct line *line,
                       const char *words, double tolerance)
{
    char text[1024];
    cr_assert_lt(strlen(words), sizeof text);
    memcpy(text, words, strlen(words) + 1);
    char *with = strstr(text, ", with t = "), *equals = strstr(text, " = ");
    cr_assert_not_null(equals, "%s: %s", step->name, words);
    double t = 0.0;
    if (with) {
        *with = '\0';
        t = evaluate_text(explained, step, line, with + strlen(", with t = "), 0.0);
    }
    *equals = '\0';
    const double printed = strtod(equals + strlen(" = "), NULL);
    /* ten: sums of terms that are up to ten times as large */
    expect_near(step, words, evaluate_text(explained, step, line, text, t), printed,
                tolerance + 10.0 * PRINTED * fabs(printed));
}

int worked_holds(struct explained *explained, struct told *step)
{
    int n = 0;
    if (step->worked) {
        words_hold(explained, step, &step->line, step->worked, 0.0);
        n++;
    }
    for (size_t k = 0; k < step->n_columns; k++) {
        const struct series *column = &step->columns[k];
        if (!column->worked)
            continue;
        words_hold(explained, step, &column->line, column->worked,
                   column_tolerance(explained, step, column));
        n++;
    }
    return n;
}

/* -------------------------------------------------------- from the leaves */

void recompute_start(struct explained *explained)
{
    for (size_t i = 0; i < explained->n_steps; i++) {
        struct told *step = &explained->steps[i];
        step->now = step->line.tree ? 0.0 : step->printed;
        for (size_t k = 0; k < step->n_columns; k++)
            for (size_t row = 0; row < step->n_rows; row++)
                step->columns[k].now[row] =
                    step->columns[k].line.tree ? 0.0 : step->columns[k].printed[row];
    }
}

void recompute(struct explained *explained)
{
    enum { TURNS = 400 };
    static int turn; /* never the same twice: what was computed in an earlier turn is old */
    const int last = turn + TURNS;
    while (evaluate_turn(explained, ++turn) > 1e-12)
        cr_assert_lt(turn, last, "the loop of '%s' does not settle", explained->steps[0].name);
}

void recomputed_is_printed(const struct explained *explained)
{
    bool marched = false;
    for (size_t i = 0; i < explained->n_steps; i++)
        marched = marched || is_marched(&explained->steps[i]);
    for (size_t i = 0; i < explained->n_steps; i++) {
        const struct told *step = &explained->steps[i];
        const double march = !marched                     ? 0.0
                             : is_temperature(step->unit) ? MARCH
                                                          : MARCH_LOSS * fabs(step->printed);
        if (step->given)
            expect_near(step, "from the leaves", step->now, step->printed,
                        PRINTED * largest(explained, &step->line, step->printed) +
                            loop_tolerance(explained, step) + march);
    }
}
