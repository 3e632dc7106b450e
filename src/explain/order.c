/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "explain/order.h"

#include "explain/expression.h"

/* ------------------------------------------------------------------- order */

struct queue {
    size_t *step;  /* in the new order */
    size_t *place; /* of each old step; n_steps where it has none yet */
    size_t n;
};

static void visit(const struct builder *b, struct queue *queue, size_t step)
{
    if (queue->place[step] < b->n_steps)
        return;
    queue->place[step] = queue->n;
    queue->step[queue->n++] = step;
}

static void visit_links(const struct builder *b, struct queue *queue,
                        const struct sm_step_formula *formula)
{
    for (size_t i = 0; i < formula->n_links; i++)
        visit(b, queue, formula->links[i].step);
}

static void links_move(const struct queue *queue, struct sm_step_formula *formula)
{
    for (size_t i = 0; i < formula->n_links; i++)
        formula->links[i].step = queue->place[formula->links[i].step];
}

static void steps_move(struct builder *b, const struct queue *queue, struct sm_explanation *out)
{
    out->steps = arena_bytes(b->arena, queue->n * sizeof *out->steps);
    if (!out->steps)
        return;
    out->n_steps = queue->n;
    for (size_t i = 0; i < queue->n; i++) {
        struct sm_step *step = &out->steps[i];
        *step = b->steps[queue->step[i]];
        links_move(queue, &step->formula);
        for (size_t c = 0; c < step->n_columns; c++)
            links_move(queue, &step->columns[c].formula);
    }
}

void order_from(struct builder *b, size_t top, struct sm_explanation *out)
{
    struct queue queue = { .step = arena_bytes(b->arena, b->n_steps * sizeof *queue.step),
                           .place = arena_bytes(b->arena, b->n_steps * sizeof *queue.place) };
    if (b->arena->failed)
        return;
    for (size_t i = 0; i < b->n_steps; i++)
        queue.place[i] = b->n_steps;
    visit(b, &queue, top);
    for (size_t i = 0; i < queue.n; i++) {
        const struct sm_step *step = &b->steps[queue.step[i]];
        visit_links(b, &queue, &step->formula);
        for (size_t c = 0; c < step->n_columns; c++)
            visit_links(b, &queue, &step->columns[c].formula);
    }
    steps_move(b, &queue, out);
}

/* ------------------------------------------------------------------- words */

static bool formula_uses(const struct sm_step_formula *formula, const char *name)
{
    const char *at = formula->text;
    struct word word;
    while (at && expression_word(&at, &word))
        if (word_is(&word, name))
            return true;
    return false;
}

static bool used(const struct sm_explanation *out, const char *name)
{
    for (size_t i = 0; i < out->n_steps; i++) {
        const struct sm_step *step = &out->steps[i];
        if (formula_uses(&step->formula, name))
            return true;
        for (size_t c = 0; c < step->n_columns; c++)
            if (formula_uses(&step->columns[c].formula, name))
                return true;
    }
    return false;
}

void words_collect(struct builder *b, struct sm_explanation *out)
{
    size_t room = 0;
    while (function_row(room))
        room++;
    out->words = arena_bytes(b->arena, room * sizeof *out->words);
    for (size_t i = 0; out->words && i < room; i++)
        if (used(out, function_row(i)->name))
            out->words[out->n_words++] =
                (struct sm_step_word){ function_row(i)->name, function_row(i)->text };
}
