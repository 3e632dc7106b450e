/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/evaluator_place.h"
#include "support/evaluator_words.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846

/* ----------------------------------------------------------------- values */

static void series_compute(const struct place *place, struct told *step, struct series *column)
{
    struct place inside = {
        .explained = place->explained, .step = step, .line = &column->line, .turn = place->turn
    };
    column->visited = place->turn;
    for (inside.row = 0; inside.row < step->n_rows; inside.row++)
        column->now[inside.row] = evaluate(&inside, column->line.tree);
}

static double series_value(const struct place *place, struct told *step, struct series *column,
                           double row)
{
    if (!(row >= 0.0 && row < (double)step->n_rows))
        cr_assert_fail("row %g of '%s'", row, step->name);
    if (place->turn == 0)
        return column->printed[(size_t)row];
    if (column->line.tree && column->visited != place->turn)
        series_compute(place, step, column);
    return column->now[(size_t)row];
}

double told_value(const struct place *place, struct told *step)
{
    if (place->turn == 0)
        return step->printed;
    if (step->line.tree && step->visited != place->turn) {
        const struct place inside = {
            .explained = place->explained, .step = step, .line = &step->line, .turn = place->turn
        };
        step->visited = place->turn;
        step->now = evaluate(&inside, step->line.tree);
    }
    return step->now;
}

/* ---------------------------------------------------------------- symbols */

static struct series *own_column(const struct place *place, const char *name)
{
    for (size_t i = 0; i < place->step->n_columns; i++)
        if (strcmp(place->step->columns[i].symbol, name) == 0)
            return &place->step->columns[i];
    return NULL;
}

static size_t count_uses(const struct place *place, const char *name)
{
    size_t n = 0;
    for (size_t i = 0; i < place->line->n_uses; i++)
        n += strcmp(place->line->uses[i].symbol, name) == 0;
    return n;
}

/* The k-th use of a symbol, the only one where there is one. */
static const struct use *find_use(const struct place *place, const char *name)
{
    const size_t wanted = count_uses(place, name) > 1 ? place->k : 0;
    size_t n = 0;
    for (size_t i = 0; i < place->line->n_uses; i++)
        if (strcmp(place->line->uses[i].symbol, name) == 0 && n++ == wanted)
            return &place->line->uses[i];
    cr_assert_fail("'%s' in '%s' of '%s' stands for nothing", name, place->line->text,
                   place->step->name);
    abort();
}

static double name_value(const struct place *place, const char *name, double row)
{
    for (size_t i = 0; place->parameters && i < place->parameters->n_arguments; i++)
        if (strcmp(place->parameters->argument[i]->name, name) == 0)
            return place->argument[i];
    if (strcmp(name, "pi") == 0)
        return PI;
    if (strcmp(name, "r") == 0)
        return (double)place->row;
    struct series *own = own_column(place, name);
    if (own)
        return series_value(place, place->step, own, row);
    const struct use *use = find_use(place, name);
    struct told *step = &place->explained->steps[use->step];
    return use->column < 0 ? told_value(place, step)
                           : series_value(place, step, &step->columns[use->column], row);
}

/* ----------------------------------------------------------- several values */

/* How many values an argument stands for: the most that any symbol in it does. */
static size_t count_values(const struct place *place, struct node *node)
{
    size_t most = node->kind == NODE_LIST ? node->n_arguments : 1;
    if (node->kind == NODE_NAME || node->kind == NODE_CALL) {
        const size_t n = count_uses(place, node->name);
        most = n > most ? n : most;
    }
    for (size_t i = 0; node->kind != NODE_LIST && i < node->n_arguments; i++) {
        const size_t n = count_values(place, node->argument[i]);
        most = n > most ? n : most;
    }
    return most;
}

static double value_of(const struct place *place, struct node *node, size_t k)
{
    struct place at = *place;
    at.k = k;
    return evaluate(&at, node);
}

/* Rows that an expression goes over: its own table's, or those of the table its columns are of. */
static size_t count_rows(const struct place *place, struct node *node)
{
    if (node->kind == NODE_NAME) {
        if (own_column(place, node->name))
            return place->step->n_rows;
        for (size_t i = 0; i < place->line->n_uses; i++) {
            const struct use *use = &place->line->uses[i];
            if (use->column >= 0 && strcmp(use->symbol, node->name) == 0)
                return place->explained->steps[use->step].n_rows;
        }
    }
    size_t rows = 0;
    for (size_t i = 0; i < node->n_arguments && rows == 0; i++)
        rows = count_rows(place, node->argument[i]);
    return rows;
}

static double at_row(const struct place *place, struct node *node, size_t row)
{
    struct place at = *place;
    at.row = row;
    return evaluate(&at, node);
}

static double sum_rows(const struct place *place, struct node *node)
{
    const size_t rows = count_rows(place, node);
    cr_assert_gt(rows, 0, "no table in '%s'", place->line->text);
    double sum = 0.0;
    for (size_t row = 0; row < rows; row++)
        sum += at_row(place, node, row);
    return sum;
}

/* ------------------------------------------------------------------- words */

static double word_cubic_at(const struct place *place, struct node *call)
{
    struct points points = { .n = place->step->n_rows };
    cr_assert_leq(points.n, sizeof points.x / sizeof points.x[0]);
    for (size_t j = 0; j < points.n; j++) {
        points.x[j] = at_row(place, call->argument[1], j);
        points.y[j] = at_row(place, call->argument[2], j);
        points.s[j] = at_row(place, call->argument[3], j);
    }
    return word_cubic(&points, evaluate(place, call->argument[0]));
}

static double word_points(const struct place *place, struct node *call)
{
    struct points points = { .n = count_values(place, call->argument[2]) };
    cr_assert_leq(points.n, sizeof points.x / sizeof points.x[0]);
    for (size_t k = 0; k < points.n; k++) {
        points.x[k] = value_of(place, call->argument[1], k);
        points.y[k] = value_of(place, call->argument[2], k);
    }
    const double x = evaluate(place, call->argument[0]);
    return strcmp(call->name, "line") == 0 ? word_line(&points, x) : word_between(&points, x);
}

static double word_of_many(const struct place *place, struct node *call)
{
    const size_t n = count_values(place, call->argument[0]);
    double total = 0.0, least = HUGE_VAL, most = -HUGE_VAL;
    for (size_t k = 0; k < n; k++) {
        const double value = value_of(place, call->argument[0], k);
        total += value;
        least = fmin(least, value);
        most = fmax(most, value);
    }
    return strcmp(call->name, "total") == 0   ? total
           : strcmp(call->name, "least") == 0 ? least
                                              : most;
}

/* first(u, z) and ends(u, v, z). */
static double word_by_row(const struct place *place, struct node *call)
{
    const size_t last = call->n_arguments - 1;
    if (place->row == 0)
        return evaluate(place, call->argument[0]);
    if (last == 2 && place->row + 1 == place->step->n_rows)
        return evaluate(place, call->argument[1]);
    return evaluate(place, call->argument[last]);
}

static double word_pick(const struct place *place, struct node *call)
{
    struct place at = *place;
    at.k = place->row;
    return name_value(&at, call->argument[0]->name, evaluate(place, call->argument[1]));
}

static double word_each(const struct place *place, struct node *call)
{
    return value_of(place, call->argument[0], place->row);
}

static double word_extreme(const struct place *place, struct node *call)
{
    double result = evaluate(place, call->argument[0]);
    for (size_t i = 1; i < call->n_arguments; i++) {
        const double value = evaluate(place, call->argument[i]);
        result = strcmp(call->name, "min") == 0 ? fmin(result, value) : fmax(result, value);
    }
    return result;
}

/* K: searches end within 0.1 mK (include/swapmargin/result.h, src/solve/limits.h). */
#define ROOT 2e-4

/* What was searched for is a leaf; that it is a root shows in the printed values. */
static double word_searched(const struct place *place, struct node *call)
{
    const double u = evaluate(place, call->argument[0]);
    if (place->turn == 0 && strcmp(call->name, "root") == 0)
        cr_assert(fabs(u) <= ROOT, "'%s' of '%s' is no root: %g", place->line->text,
                  place->step->name, u);
    return place->step->printed;
}

static double word_last(const struct place *place, struct node *call)
{
    return at_row(place, call->argument[0], count_rows(place, call->argument[0]) - 1);
}

static double word_sum(const struct place *place, struct node *call)
{
    return sum_rows(place, call->argument[0]);
}

static double word_relax_at(const struct place *place, struct node *call)
{
    return word_relax((int)evaluate(place, call->argument[0]), evaluate(place, call->argument[1]),
                      evaluate(place, call->argument[2]));
}

static const struct {
    const char *name;
    double (*value)(const struct place *place, struct node *call);
} table_words[] = {
    { "cubic", word_cubic_at }, { "line", word_points },   { "between", word_points },
    { "total", word_of_many },  { "least", word_of_many }, { "first", word_by_row },
    { "ends", word_by_row },    { "pick", word_pick },     { "min", word_extreme },
    { "max", word_extreme },    { "last", word_last },     { "sum", word_sum },
    { "relax", word_relax_at }, { "most", word_of_many },  { "root", word_searched },
    { "edge", word_searched },  { "each", word_each },
};

static double sgn(double x)
{
    return (x > 0.0) - (x < 0.0);
}

static const struct {
    const char *name;
    double (*value)(double x);
} plain_words[] = { { "sqrt", sqrt }, { "cos", cos },  { "acos", acos },
                    { "exp", exp },   { "abs", fabs }, { "sgn", sgn } };

enum {
    TABLE_WORDS = sizeof table_words / sizeof table_words[0],
    PLAIN_WORDS = sizeof plain_words / sizeof plain_words[0]
};

/* A symbol that stands for a function: its own formula at these arguments. */
static double function_value(const struct place *place, struct node *call)
{
    struct told *step = &place->explained->steps[find_use(place, call->name)->step];
    struct place inside = { .explained = place->explained,
                            .step = step,
                            .line = &step->line,
                            .parameters = step->head,
                            .turn = place->turn };
    cr_assert_eq(step->head->kind, NODE_CALL, "'%s' is no function", step->name);
    for (size_t i = 0; i < call->n_arguments; i++)
        inside.argument[i] = evaluate(place, call->argument[i]);
    return evaluate(&inside, step->line.tree);
}

/* Which word a call names: an index into both tables, one behind the other; their end for a
 * symbol. */
static int find_word(const char *name)
{
    for (size_t i = 0; i < TABLE_WORDS; i++)
        if (strcmp(table_words[i].name, name) == 0)
            return (int)i;
    for (size_t i = 0; i < PLAIN_WORDS; i++)
        if (strcmp(plain_words[i].name, name) == 0)
            return (int)(TABLE_WORDS + i);
    return (int)(TABLE_WORDS + PLAIN_WORDS);
}

static double call_value(const struct place *place, struct node *call)
{
    if (call->word < 0)
        call->word = find_word(call->name);
    const size_t word = (size_t)call->word;
    if (word < TABLE_WORDS)
        return table_words[word].value(place, call);
    if (word < TABLE_WORDS + PLAIN_WORDS)
        return plain_words[word - TABLE_WORDS].value(evaluate(place, call->argument[0]));
    return function_value(place, call);
}

double evaluate(const struct place *place, struct node *node)
{
    struct node *const *a = node->argument;
    switch (node->kind) {
    case NODE_NUMBER:
        return node->number;
    case NODE_NAME:
        return name_value(place, node->name, (double)place->row);
    case NODE_CALL:
        return call_value(place, node);
    case NODE_ROW:
        return name_value(place, node->name, evaluate(place, a[0]));
    case NODE_LIST:
        return evaluate(place, a[place->k]);
    case NODE_MINUS:
        return -evaluate(place, a[0]);
    case NODE_ADD:
        return evaluate(place, a[0]) + evaluate(place, a[1]);
    case NODE_SUBTRACT:
        return evaluate(place, a[0]) - evaluate(place, a[1]);
    case NODE_MULTIPLY:
        return evaluate(place, a[0]) * evaluate(place, a[1]);
    case NODE_DIVIDE:
        return evaluate(place, a[0]) / evaluate(place, a[1]);
    case NODE_POWER:
        return pow(evaluate(place, a[0]), evaluate(place, a[1]));
    }
    abort();
}
