/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/evaluator.h"

#include "support/evaluator_place.h"

#include <math.h>

double evaluate_numbers(struct explained *explained, struct told *step, struct node *tree)
{
    const struct place place = { .explained = explained, .step = step, .line = &step->line };
    return evaluate(&place, tree);
}

double evaluate_formula(struct explained *explained, struct told *step)
{
    return evaluate_numbers(explained, step, step->line.tree);
}

double evaluate_text(struct explained *explained, struct told *step, const struct line *line,
                     const char *text, double t)
{
    struct node *tree = formula_parse(text), *head = formula_parse("worked(t)");
    const struct place place = { .explained = explained,
                                 .step = step,
                                 .line = line,
                                 .row = step->worked_row,
                                 .parameters = head,
                                 .argument = { t } };
    const double value = evaluate(&place, tree);
    formula_release(tree);
    formula_release(head);
    return value;
}

double evaluate_cell(struct explained *explained, struct told *step, const struct series *column,
                     size_t row)
{
    const struct place place = {
        .explained = explained, .step = step, .line = &column->line, .row = row
    };
    return evaluate(&place, column->line.tree);
}

double evaluate_turn(struct explained *explained, int turn)
{
    const struct place place = { .explained = explained, .turn = turn };
    double moved = 0.0;
    for (size_t i = 0; i < explained->n_steps; i++)
        explained->steps[i].before = explained->steps[i].now;
    for (size_t i = 0; i < explained->n_steps; i++) {
        struct told *step = &explained->steps[i];
        if (step->given)
            (void)told_value(&place, step);
    }
    for (size_t i = 0; i < explained->n_steps; i++) {
        const struct told *step = &explained->steps[i];
        moved = fmax(moved, fabs(step->now - step->before) / (1.0 + fabs(step->now)));
    }
    return moved;
}
