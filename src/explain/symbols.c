/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the symbols of an expression stand for. */
#include "explain/builder.h"
#include "explain/expression.h"

#include <string.h>

enum target_kind { TARGET_QUANTITY, TARGET_COLUMN, TARGET_KEY, TARGET_CONSTANT };

struct target {
    enum target_kind kind;
    enum quantity q;    /* or the table of the column */
    enum column column; /* TARGET_COLUMN */
    size_t row;         /* TARGET_KEY, TARGET_CONSTANT */
};

static bool same_symbol(const char *symbol, const char *name, size_t n)
{
    return symbol_length(symbol) == n && strncmp(symbol, name, n) == 0;
}

static bool find_in_scope(enum scope scope, const char *name, size_t n, struct target *out)
{
    for (int q = 0; q < QUANTITY_COUNT; q++) {
        const struct quantity_row *row = quantity_row((enum quantity)q);
        if (group_scope(row->group) != scope || !same_symbol(row->symbol, name, n))
            continue;
        *out = (struct target){ .kind = TARGET_QUANTITY, .q = (enum quantity)q };
        return true;
    }
    for (int i = 0; i < COLUMN_COUNT; i++) {
        const struct column_row *row = column_row((enum column)i);
        if (group_scope(quantity_row(row->table)->group) != scope ||
            !same_symbol(row->symbol, name, n))
            continue;
        *out = (struct target){ .kind = TARGET_COLUMN, .q = row->table, .column = (enum column)i };
        return true;
    }
    return false;
}

static bool find_input(const char *name, size_t n, struct target *out)
{
    for (size_t i = 0; symbol_row(i); i++)
        if (same_symbol(symbol_row(i)->symbol, name, n)) {
            *out = (struct target){ .kind = TARGET_KEY, .row = i };
            return true;
        }
    for (size_t i = 0; constant_row(i); i++)
        if (same_symbol(constant_row(i)->symbol, name, n)) {
            *out = (struct target){ .kind = TARGET_CONSTANT, .row = i };
            return true;
        }
    return false;
}

/* Its own scope first, then what is known everywhere, then the others. */
static bool find_exact(enum scope own, const char *name, size_t n, struct target *out)
{
    return find_in_scope(own, name, n, out) || find_in_scope(SCOPE_DEVICE, name, n, out) ||
           find_in_scope(SCOPE_CASE, name, n, out) || find_input(name, n, out) ||
           find_in_scope(SCOPE_SITE, name, n, out) || find_in_scope(SCOPE_HOLD, name, n, out);
}

/* A symbol on its way through its suffixes. */
struct reading {
    size_t n; /* length that is left */
    enum scope scope;
    struct where w;
    bool all; /* every k */
};

static bool strip(struct reading *reading, const char *name, const char *suffix)
{
    const size_t length = strlen(suffix);
    if (reading->n <= length || strncmp(name + reading->n - length, suffix, length) != 0)
        return false;
    reading->n -= length;
    return true;
}

/* Suffixes that change where the symbol is looked at. */
static bool strip_place(const struct builder *b, struct reading *reading, const char *name)
{
    if (strip(reading, name, "_start")) {
        reading->w.site = reading->w.site->start;
    } else if (strip(reading, name, "_there")) {
        reading->w.variant = &b->varied;
        reading->w.site = &b->there;
    } else {
        return false;
    }
    return true;
}

static bool strip_any(const struct builder *b, struct reading *reading, const char *name)
{
    if (strip(reading, name, "_k")) {
        reading->all = true;
    } else if (strip(reading, name, "_T")) {
        reading->w.chip = SM_IGBT;
    } else if (strip(reading, name, "_D")) {
        reading->w.chip = SM_DIODE;
    } else if (strip(reading, name, "_hot")) {
        reading->w.other_leg = false;
        reading->scope = SCOPE_HOLD;
    } else if (strip(reading, name, "_other")) {
        reading->w.other_leg = true;
        reading->scope = SCOPE_HOLD;
    } else {
        return strip_place(b, reading, name);
    }
    return true;
}

/* How many a suffix _k means. */
static size_t count_of(const struct ask *ask, enum quantity q, const struct where *w)
{
    const struct builder *b = ask->b;
    switch ((int)quantity_row(q)->group) {
    case GROUP_CHIP:
        return b->n_tests;
    case GROUP_OVERLOAD:
        return b->n_overloads;
    case GROUP_FOSTER:
        return b->base.stage.foster_r[w->chip]->n;
    case GROUP_POINT:
        return b->c->drive->load.power_factor.n;
    case GROUP_DEVICE:
        if (q == QUANTITY_FOSTER_R || q == QUANTITY_FOSTER_TAU)
            return b->base.stage.foster_r[w->chip]->n;
        return curve_rows(b, w)->n;
    default:
        break;
    }
    return 0;
}

static size_t target_step(const struct ask *ask, const struct target *target, const struct where *w)
{
    switch (target->kind) {
    case TARGET_KEY:
        return leaf_step(ask->b, symbol_row(target->row), w);
    case TARGET_CONSTANT:
        return constant_step(ask->b, constant_row(target->row));
    case TARGET_QUANTITY:
    case TARGET_COLUMN:
        break;
    }
    return quantity_step(ask->b, target->q, w);
}

struct links {
    struct sm_step_link *list;
    size_t n, capacity;
};

static void link_add(const struct ask *ask, struct links *links, const struct sm_step_link *link)
{
    if (links->n == links->capacity) {
        const size_t capacity = links->capacity ? 2 * links->capacity : 8;
        struct sm_step_link *list = arena_bytes(ask->b->arena, capacity * sizeof *list);
        if (!list)
            return;
        if (links->n > 0)
            memcpy(list, links->list, links->n * sizeof *list);
        links->list = list;
        links->capacity = capacity;
    }
    links->list[links->n++] = *link;
}

static bool linked(const struct links *links, const struct word *word)
{
    for (size_t i = 0; i < links->n; i++)
        if (word_is(word, links->list[i].symbol))
            return true;
    return false;
}

/* All points or overloads go over their sites, any others over rows or terms. */
static void where_set(const struct ask *ask, enum quantity q, size_t k, struct where *w)
{
    w->k = k;
    if (quantity_row(q)->group == GROUP_CHIP)
        w->site = &ask->b->tests[k];
    if (quantity_row(q)->group == GROUP_OVERLOAD)
        w->site = &ask->b->overloads[k];
}

static void symbol_link(const struct ask *ask, const struct word *word, struct links *links)
{
    struct reading reading = { .n = word->length,
                               .scope = group_scope(quantity_row(ask->q)->group),
                               .w = ask->w };
    struct target target = { .kind = TARGET_QUANTITY };
    while (!find_exact(reading.scope, word->start, reading.n, &target))
        if (!strip_any(ask->b, &reading, word->start))
            return; /* a test walks through all expressions: no symbol is left over */
    struct sm_step_link link = { .symbol = keep_bytes(ask->b, word->start, word->length),
                                 .column = target.kind == TARGET_COLUMN
                                               ? column_row(target.column)->symbol
                                               : NULL };
    const size_t n = reading.all ? count_of(ask, target.q, &reading.w) : 1;
    for (size_t k = 0; k < n; k++) {
        if (reading.all)
            where_set(ask, target.q, k, &reading.w);
        link.step = target_step(ask, &target, &reading.w);
        link_add(ask, links, &link);
    }
}

/* True for a column of the table that the formula stands in. */
static bool is_own_column(enum quantity q, const struct word *word)
{
    for (int i = 0; i < COLUMN_COUNT; i++) {
        const struct column_row *row = column_row((enum column)i);
        if (row->table == columns_owner(q) && word_is(word, row->symbol))
            return true;
    }
    return false;
}

void formula_link(const struct ask *ask, enum formula formula, struct sm_step_formula *out)
{
    const struct formula_row *row = formula_row(formula);
    const char *at = row->text;
    struct word word;
    struct links links = { .n = 0 };
    while (expression_word(&at, &word))
        if (word.name && !word_is_builtin(&word) &&
            !word_is_argument(&word, quantity_row(ask->q)->symbol) &&
            !is_own_column(ask->q, &word) && !linked(&links, &word))
            symbol_link(ask, &word, &links);
    *out = (struct sm_step_formula){
        .text = row->text, .source = row->source, .links = links.list, .n_links = links.n
    };
}
