/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The printed expressions once more, with numbers in place of their symbols. */
#include "explain/builder.h"
#include "base/text.h"
#include "explain/expression.h"
#include "swapmargin/quantity.h"

#include <string.h>

static void add_number(struct sm_text *out, double number, bool apart)
{
    char text[40];
    sm_number_format(text, sizeof text, number, SM_EXPLAIN_DIGITS);
    const bool signed_number = apart && text[0] == '-';
    sm_text_add(out, signed_number ? "(%s)" : "%s", text);
}

/* Whether a negative number in the word's place needs brackets: not where it has some already. */
static bool needs_brackets(const char *text, const struct word *word)
{
    const char *before = word->start, *behind = word->start + word->length;
    while (before > text && before[-1] == ' ')
        before--;
    const bool opened = before == text || before[-1] == '(' || before[-1] == ',';
    return !opened || (*behind != ')' && *behind != ',' && *behind != '\0');
}

/* The number that a link stands for; for a column, in the row asked for.  False when there is none.
 */
static bool link_value(const struct builder *b, const struct sm_step_link *link, size_t row,
                       double *out)
{
    const struct sm_step *step = &b->steps[link->step];
    if (!link->column) {
        *out = step->kind == SM_STEP_FUNCTION ? step->worked_value : step->value;
        return step->given || (step->kind == SM_STEP_FUNCTION && step->worked);
    }
    for (size_t i = 0; i < step->n_columns; i++)
        if (strcmp(step->columns[i].symbol, link->column) == 0 && row < step->n_rows) {
            *out = step->columns[i].values[row];
            return true;
        }
    return false;
}

/* What is being written: a formula, with the columns of its own table where it stands in one. */
struct filling {
    const struct builder *b;
    const struct sm_step_formula *formula;
    const struct sm_step *table; /* NULL for a step's own formula: columns keep their symbols */
    size_t row;
    const struct function_place *place; /* of a function; NULL else */
};

/* Links that a word stands for. */
struct found {
    size_t n;     /* how many */
    bool numbers; /* all of them are plain numbers */
};

static struct found find(const struct filling *f, const struct word *word)
{
    struct found found = { .numbers = true };
    for (size_t i = 0; i < f->formula->n_links; i++) {
        const struct sm_step_link *link = &f->formula->links[i];
        double value = 0.0;
        if (!word_is(word, link->symbol))
            continue;
        found.n++;
        const bool function = f->b->steps[link->step].kind == SM_STEP_FUNCTION;
        found.numbers = found.numbers && (f->table || !link->column) && (f->place || !function) &&
                        link_value(f->b, link, f->row, &value);
    }
    return found;
}

/* One number, or "[a, b, c]" where the symbol stands for several. */
static void add_found(const struct filling *f, struct sm_text *out, const struct word *word,
                      size_t n)
{
    const bool apart = n == 1 && needs_brackets(f->formula->text, word);
    bool first = true;
    if (n > 1)
        sm_text_add(out, "[");
    for (size_t i = 0; i < f->formula->n_links; i++) {
        const struct sm_step_link *link = &f->formula->links[i];
        double value = 0.0;
        if (!word_is(word, link->symbol))
            continue;
        (void)link_value(f->b, link, f->row, &value);
        sm_text_add(out, "%s", first ? "" : ", ");
        add_number(out, value, apart);
        first = false;
    }
    if (n > 1)
        sm_text_add(out, "]");
}

/* The column of the table that a word names, or NULL. */
static const struct sm_step_column *own_column(const struct filling *f, const struct word *word)
{
    for (size_t i = 0; f->table && i < f->table->n_columns; i++)
        if (word_is(word, f->table->columns[i].symbol))
            return &f->table->columns[i];
    return NULL;
}

/* An argument of the function: i, in A, or T, in degC.  False when the word is none. */
static bool fill_argument(const struct filling *f, struct sm_text *out, const struct word *word)
{
    if (!f->place || !word_is_argument(word, f->place->symbol))
        return false;
    add_number(out, word_is(word, "T") ? f->place->t : f->place->i,
               needs_brackets(f->formula->text, word));
    return true;
}

/* Writes what a word stands for.  False: it stays as it is; so does a column of which another row
 * is meant. */
static bool fill_word(const struct filling *f, struct sm_text *out, const struct word *word)
{
    const struct sm_step_column *column = own_column(f, word);
    const struct found found = find(f, word);
    if (!word->name || word->start[word->length] == '[')
        return false;
    if (fill_argument(f, out, word))
        return true;
    if (column) {
        add_number(out, column->values[f->row], needs_brackets(f->formula->text, word));
        return true;
    }
    if (found.n == 0 || !found.numbers)
        return false;
    add_found(f, out, word, found.n);
    return true;
}

static void fill_formula(const struct filling *f, struct sm_text *out)
{
    const char *at = f->formula->text, *copied = f->formula->text;
    struct word word;
    while (expression_word(&at, &word)) {
        struct sm_text number;
        sm_text_init(&number);
        if (fill_word(f, &number, &word)) {
            sm_text_add_bytes(out, copied, (size_t)(word.start - copied));
            sm_text_add(out, "%s", text_words(&number));
            if (f->place && *at == '(') /* a function's value stands for its call */
                at = strchr(at, ')') + 1;
            copied = at;
        }
        text_close(&number, &out->out_of_memory);
    }
    sm_text_add(out, "%s", copied);
}

static const char *numbers_of(struct builder *b, const struct sm_step_formula *formula)
{
    struct sm_text out;
    sm_text_init(&out);
    fill_formula(&(struct filling){ .b = b, .formula = formula }, &out);
    return keep(b, &out);
}

/* "(1 + 0.25) / 2 = 0.625" */
static const char *worked_of(struct builder *b, const struct sm_step *step, size_t column)
{
    const struct sm_step_column *c = &step->columns[column];
    struct sm_text out;
    sm_text_init(&out);
    const struct filling f = {
        .b = b, .formula = &c->formula, .table = step, .row = step->worked_row
    };
    fill_formula(&f, &out);
    sm_text_add(&out, " = ");
    add_number(&out, c->values[step->worked_row], false);
    return keep(b, &out);
}

void function_work_out(struct builder *b, size_t step, const struct function_place *place,
                       double value)
{
    struct sm_text out;
    sm_text_init(&out);
    fill_formula(&(struct filling){ .b = b, .formula = &b->steps[step].formula, .place = place },
                 &out);
    sm_text_add(&out, " = ");
    add_number(&out, value, false);
    b->steps[step].worked = keep(b, &out);
    b->steps[step].worked_value = value;
}

void numbers_fill(struct builder *b)
{
    for (size_t i = 0; i < b->n_steps; i++) {
        struct sm_step *step = &b->steps[i];
        if (step->kind == SM_STEP_VALUE && step->given)
            step->formula.numbers = numbers_of(b, &step->formula);
        for (size_t k = 0; step->worked_row < step->n_rows && k < step->n_columns; k++)
            if (step->columns[k].formula.text && step->columns[k].formula.text[1] != '\0')
                step->columns[k].worked = worked_of(b, step, k);
    }
}
