/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/phrase.h"
#include "base/text.h"
#include "report/report_explain.h"
#include "report/text_layout.h"
#include "report/text_table.h"
#include "swapmargin/quantity.h"

#include <stdio.h>
#include <string.h>

enum { NUMBER_SIZE = 40, FIRST_SIZE = 160 };

/* ------------------------------------------------------------------- parts */

void explain_value(struct sm_text *out, double value, const char *unit)
{
    char number[NUMBER_SIZE];
    sm_number_format(number, sizeof number, value, SM_EXPLAIN_DIGITS);
    sm_text_add(out, "%s%s%s", number, unit[0] ? " " : "", unit);
}

void explain_origin(struct sm_text *out, const struct sm_origin *origin, const char *key,
                    const char *note)
{
    if (origin->kind == SM_ORIGIN_DEFAULT) {
        sm_text_add(out, "default");
    } else if (origin->file) {
        sm_text_add(out, "%s", origin->file);
    }
    if (origin->kind != SM_ORIGIN_DEFAULT && origin->line > 0) {
        sm_text_add(out, ":%d", origin->line);
    }
    if (note) {
        sm_text_add(out, " %s,", note);
    }
    sm_text_add(out, " %s", key);
}

/* Where a symbol's value comes from, said in one line. */
static void place_add(struct sm_text *out, const struct sm_step *step, const char *column)
{
    if (column) {
        sm_text_add(out, "column %s of %s", column, step->name);
    } else if (step->kind == SM_STEP_INPUT && step->key) {
        explain_origin(out, &step->origin, step->key, step->note);
    } else if (step->kind == SM_STEP_CONSTANT) {
        sm_text_add(out, "%s: %s", step->meaning, step->note);
    } else {
        sm_text_add(out, "%s", step->name);
    }
}

static int longest_word(const char *text)
{
    int longest = 0;
    while (text && *text != '\0') {
        const int length = (int)strcspn(text, " ");
        longest = length > longest ? length : longest;
        text += length + (text[length] == ' ' ? 1 : 0);
    }
    return longest;
}

/* "T_c  82.68 degC  ": symbol and value in columns, the place wrapped behind them, or below where
 * a file's name is long. */
void explain_link(const struct sm_explanation *e, const struct sm_step_link *link, int width,
                  const struct sm_style *style, struct sm_text *out)
{
    const struct sm_step *step = &e->steps[link->step];
    struct sm_text value, place, first;
    sm_text_init(&value);
    sm_text_init(&place);
    sm_text_init(&first);
    if (!link->column && step->given) {
        explain_value(&value, step->value, step->unit);
    } else if (!link->column && step->kind == SM_STEP_VALUE) {
        sm_text_add(&value, "none");
    }
    place_add(&place, step, link->column);
    sm_text_add(&first, "      %-*s  %-22s  ", width, link->symbol, text_words(&value));
    if (longest_word(place.data) > style->width - (int)first.length) {
        layout_trim(&first);
        sm_text_add(out, "%s\n", first.data);
        first.length = 0;
        sm_text_add(&first, "          ");
    }
    layout_wrap(out, text_words(&place), &(struct layout){ style, text_words(&first) });
    text_close(&value, &out->out_of_memory);
    text_close(&place, &out->out_of_memory);
    text_close(&first, &out->out_of_memory);
}

static void links_add(const struct sm_explanation *e, const struct sm_step_formula *formula,
                      const struct sm_style *style, struct sm_text *out)
{
    int width = 0;
    for (size_t i = 0; i < formula->n_links; i++) {
        const int length = (int)strlen(formula->links[i].symbol);
        width = length > width ? length : width;
    }
    for (size_t i = 0; i < formula->n_links; i++) {
        explain_link(e, &formula->links[i], width, style, out);
    }
}

static void heading_add(struct sm_text *out, const char *title, const struct sm_style *style)
{
    sm_text_add(out, "\n%s ", title);
    layout_repeat(out, style->utf8 ? "\u2500" : "-", style->width - (int)strlen(title) - 1);
    sm_text_add(out, "\n");
}

/* -------------------------------------------------------------------- steps */

/* "T_max = T_c + theta_max", the same with numbers, the value. */
static void equation_add(const struct sm_step *step, const struct sm_style *style,
                         struct sm_text *out)
{
    char first[FIRST_SIZE];
    struct sm_text value;
    const int width = (int)strlen(step->symbol);
    (void)snprintf(first, sizeof first, "    %s = ", step->symbol);
    layout_wrap(out, step->formula.text, &(struct layout){ style, first });
    (void)snprintf(first, sizeof first, "    %*s = ", width, "");
    if (!step->given) {
        return;
    }
    sm_text_init(&value);
    explain_value(&value, step->value, "");
    if (strcmp(step->formula.numbers, step->formula.text) != 0 &&
        strcmp(step->formula.numbers, text_words(&value)) != 0) {
        layout_wrap(out, step->formula.numbers, &(struct layout){ style, first });
    }
    value.length = 0;
    explain_value(&value, step->value, step->unit);
    layout_wrap(out, text_words(&value), &(struct layout){ style, first });
    text_close(&value, &out->out_of_memory);
}

/* What a check says of itself; where it has no number, why. */
static void sentence_add(const struct sm_step *step, const struct sm_style *style,
                         struct sm_text *out)
{
    struct sm_text sentence;
    sm_text_init(&sentence);
    phrase_note(&sentence, step->sentence, style->utf8);
    layout_wrap(out, text_words(&sentence),
                &(struct layout){ style, step->given ? "  result: " : "  none: " });
    text_close(&sentence, &out->out_of_memory);
}

static void step_add(const struct sm_explanation *e, const struct sm_step *step,
                     const struct sm_style *style, struct sm_text *out)
{
    heading_add(out, step->name, style);
    layout_wrap(out, step->meaning, &(struct layout){ style, "  " });
    if (step->why) {
        layout_wrap(out, step->why, &(struct layout){ style, "  none: " });
    }
    if (step->sentence) {
        sentence_add(step, style, out);
    }
    if (step->formula.text) {
        equation_add(step, style, out);
        layout_wrap(out, step->formula.source, &(struct layout){ style, "  basis: " });
        if (step->worked) {
            layout_wrap(out, step->worked, &(struct layout){ style, "  once worked out: " });
        }
        links_add(e, &step->formula, style, out);
    }
    if (step->kind == SM_STEP_INPUT || step->kind == SM_STEP_CONSTANT) {
        struct sm_text place;
        sm_text_init(&place);
        place_add(&place, step, NULL);
        layout_wrap(out, text_words(&place), &(struct layout){ style, "  from: " });
        text_close(&place, &out->out_of_memory);
    }
    if (step->n_columns > 0) {
        explain_table(e, step, style, out);
    }
}

static void head_add(const struct sm_step *top, const struct sm_style *style, struct sm_text *out)
{
    struct sm_text value;
    sm_text_init(&value);
    if (top->given) {
        explain_value(&value, top->value, top->unit);
    } else if (top->kind == SM_STEP_VALUE) {
        sm_text_add(&value, "none");
    }
    const int blank = style->width - (int)strlen(top->name) - (int)value.length;
    sm_text_add(out, "%s", top->name);
    layout_repeat(out, " ", blank > 1 ? blank : 1);
    sm_text_add(out, "%s\n", text_words(&value));
    layout_repeat(out, style->utf8 ? "\u2550" : "=", style->width);
    sm_text_add(out, "\n");
    text_close(&value, &out->out_of_memory);
}

static void preface_add(const struct sm_explanation *e, const struct sm_style *style,
                        struct sm_text *out)
{
    if (!e->settled) {
        return;
    }
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "Losses and temperatures depend on each other: what follows holds where "
                       "they have settled, to within ");
    phrase_quantity(&text, e->residual, "K", false);
    sm_text_add(&text, ". Temperatures in degC, all else in SI units.");
    layout_wrap(out, text_words(&text), &(struct layout){ style, "  " });
    text_close(&text, &out->out_of_memory);
}

static bool is_number(const struct sm_step *step)
{
    return step->kind == SM_STEP_VALUE;
}

void explain_text(const struct sm_explanation *e, const struct sm_style *style, struct sm_text *out)
{
    head_add(&e->steps[0], style, out);
    preface_add(e, style, out);
    step_add(e, &e->steps[0], style, out);
    for (size_t i = 1; i < e->n_steps; i++) {
        if (is_number(&e->steps[i])) {
            step_add(e, &e->steps[i], style, out);
        }
    }
    for (size_t i = 1; i < e->n_steps; i++) {
        if (e->steps[i].kind == SM_STEP_FUNCTION || e->steps[i].kind == SM_STEP_TABLE) {
            step_add(e, &e->steps[i], style, out);
        }
    }
    if (e->n_words > 0) {
        heading_add(out, "Words in the formulas", style);
    }
    for (size_t i = 0; i < e->n_words; i++) {
        layout_wrap(out, e->words[i].meaning, &(struct layout){ style, "  " });
    }
}

/* --------------------------------------------------------------------- list */

static void askable_add(const struct sm_askable *askable, int width, const struct sm_style *style,
                        struct sm_text *out)
{
    struct sm_text text;
    char first[FIRST_SIZE];
    sm_text_init(&text);
    sm_text_add(&text, "%s%s%s", askable->meaning, askable->unit[0] ? ", " : "", askable->unit);
    (void)snprintf(first, sizeof first, "  %-*s  ", width, askable->pattern);
    layout_wrap(out, text_words(&text), &(struct layout){ style, first });
    text_close(&text, &out->out_of_memory);
}

/* The first of each pattern: the others differ in their number only. */
static bool is_first(const struct sm_askables *askables, size_t i)
{
    for (size_t k = 0; k < i; k++) {
        if (strcmp(askables->list[k].pattern, askables->list[i].pattern) == 0) {
            return false;
        }
    }
    return true;
}

static void patterns_add(const struct sm_askables *askables, bool results,
                         const struct sm_style *style, struct sm_text *out)
{
    int width = 0;
    for (size_t i = 0; i < askables->n; i++) {
        const int length = (int)strlen(askables->list[i].pattern);
        width = length > width ? length : width;
    }
    for (size_t i = 0; i < askables->n; i++) {
        if (askables->list[i].result == results && is_first(askables, i)) {
            askable_add(&askables->list[i], width, style, out);
        }
    }
}

void askables_text(const struct sm_askables *askables, const struct sm_style *style,
                   struct sm_text *out)
{
    layout_wrap(out,
                "What can be explained: name one of these behind the two files. [i] counts the "
                "test frequencies from 0; points@30 is the point at 30 Hz. Quote what has brackets "
                "where the shell takes them for its own.",
                &(struct layout){ style, "" });
    heading_add(out, "Numbers of a check", style);
    patterns_add(askables, true, style, out);
    heading_add(out, "Steps on the way to them", style);
    patterns_add(askables, false, style, out);
}
