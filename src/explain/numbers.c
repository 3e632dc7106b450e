/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The printed expressions once more, with numbers in place of their symbols. */
#include "explain/builder.h"
#include "explain/expression.h"
#include "swapmargin/quantity.h"

static void add_number(struct sm_text *out, double number, bool apart)
{
    char text[40];
    sm_number_format(text, sizeof text, number, SM_EXPLAIN_DIGITS);
    const bool signed_number = apart && text[0] == '-';
    sm_text_add(out, signed_number ? "(%s)" : "%s", text);
}

/* Links of a formula that a word stands for. */
struct found {
    const struct sm_step_formula *formula;
    const struct word *word;
    size_t n;     /* how many */
    bool numbers; /* all of them are plain numbers */
};

static struct found find(const struct builder *b, const struct sm_step_formula *formula,
                         const struct word *word)
{
    struct found found = { .formula = formula, .word = word, .numbers = true };
    for (size_t i = 0; i < formula->n_links; i++) {
        const struct sm_step_link *link = &formula->links[i];
        if (!word_is(word, link->symbol))
            continue;
        found.n++;
        found.numbers = found.numbers && !link->column && b->steps[link->step].given;
    }
    return found;
}

/* One number, or "[a, b, c]" where the symbol stands for several. */
static void add_found(const struct builder *b, struct sm_text *out, const struct found *found)
{
    bool first = true;
    if (found->n > 1)
        sm_text_add(out, "[");
    for (size_t i = 0; i < found->formula->n_links; i++) {
        const struct sm_step_link *link = &found->formula->links[i];
        if (!word_is(found->word, link->symbol))
            continue;
        sm_text_add(out, "%s", first ? "" : ", ");
        add_number(out, b->steps[link->step].value, found->n == 1);
        first = false;
    }
    if (found->n > 1)
        sm_text_add(out, "]");
}

static const char *numbers_of(struct builder *b, const struct sm_step_formula *formula)
{
    struct sm_text out;
    struct word word;
    const char *at = formula->text, *copied = formula->text;
    sm_text_init(&out);
    while (expression_word(&at, &word)) {
        const struct found found = find(b, formula, &word);
        if (!word.name || found.n == 0 || !found.numbers)
            continue;
        sm_text_add_bytes(&out, copied, (size_t)(word.start - copied));
        add_found(b, &out, &found);
        copied = at;
    }
    sm_text_add(&out, "%s", copied);
    return keep(b, &out);
}

void numbers_fill(struct builder *b)
{
    for (size_t i = 0; i < b->n_steps; i++) {
        struct sm_step *step = &b->steps[i];
        if (step->kind == SM_STEP_VALUE && step->given)
            step->formula.numbers = numbers_of(b, &step->formula);
    }
}
