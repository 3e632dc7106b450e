/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "explain/builder.h"

#include "solve/stage.h"
#include "swapmargin/quantity.h"

#include <string.h>

/* --------------------------------------------------------------- the steps */

static struct sm_step *step_at(struct builder *b, size_t step)
{
    return &b->steps[step];
}

static bool steps_grow(struct builder *b)
{
    if (b->n_steps < b->capacity)
        return true;
    const size_t capacity = b->capacity ? 2 * b->capacity : 64;
    struct sm_step *steps = arena_bytes(b->arena, capacity * sizeof *steps);
    if (!steps)
        return false;
    if (b->n_steps > 0)
        memcpy(steps, b->steps, b->n_steps * sizeof *steps);
    b->steps = steps;
    b->capacity = capacity;
    return true;
}

bool step_named(struct builder *b, const char *name, size_t *step)
{
    for (size_t i = 0; i < b->n_steps; i++)
        if (strcmp(b->steps[i].name, name) == 0) {
            *step = i;
            return true;
        }
    *step = 0;
    if (!steps_grow(b))
        return true;
    *step = b->n_steps++;
    b->steps[*step] = (struct sm_step){ .name = name, .symbol = "", .unit = "", .meaning = "" };
    return false;
}

/* True where a changed value changes what holds for the whole case. */
static bool follows_change(enum quantity q, int changed)
{
    switch ((int)q) {
    case QUANTITY_RTH_SA:
        return changed == SM_DRIVE_RTH_SA;
    case QUANTITY_JOINT:
    case QUANTITY_JOINT_CHIP:
    case QUANTITY_LAYER:
        return changed == SM_DRIVE_THICKNESS;
    case QUANTITY_VARIED:
        return true;
    default:
        return false;
    }
}

/* What a quantity's row fixes of the place where it is looked at. */
static void where_settle(const struct builder *b, enum quantity q, struct where *w)
{
    const struct quantity_row *row = quantity_row(q);
    const enum scope scope = group_scope(row->group);
    if (row->chip != SM_CHIP_COUNT)
        w->chip = (enum sm_chip_kind)row->chip;
    if (q == QUANTITY_LIMIT_VALUE && w->variant == &b->varied)
        w->k = w->variant->k;
    if (q == QUANTITY_OVERLOAD_ALLOWED && w->variant == &b->varied)
        w->site = &b->overloads[w->variant->k];
    if (scope == SCOPE_SITE && w->site)
        w->variant = w->site->variant;
    if (scope == SCOPE_DEVICE || (scope == SCOPE_CASE && !follows_change(q, w->variant->changed)))
        w->variant = &b->base;
    if (q == QUANTITY_VOLTAGE)
        w->switching = false;
    if (q == QUANTITY_ENERGY || q == QUANTITY_ENERGY_FACTOR)
        w->switching = true;
    if (q == QUANTITY_HOLD_E_ON || q == QUANTITY_HOLD_E_RR)
        w->energy = ENERGY_FIRST;
    if (q == QUANTITY_HOLD_E_OFF)
        w->energy = ENERGY_SECOND;
    if (q == QUANTITY_RISE_MAX || q == QUANTITY_RISE_MIN)
        w->lowest = q == QUANTITY_RISE_MIN;
}

static const char *meaning_of(struct builder *b, const struct quantity_row *row,
                              const struct where *w)
{
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "%s", words_fill(b, row->meaning, w));
    if (group_scope(row->group) == SCOPE_SITE && w->site)
        sm_text_add(&text, "%s", words_fill(b, ", at {hz}", w));
    return keep(b, &text);
}

/* Sites and legs carry a variant's name themselves. */
static const char *name_of(struct builder *b, const struct quantity_row *row, const struct where *w)
{
    const enum scope scope = group_scope(row->group);
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "%s%s", scope == SCOPE_SITE ? "" : w->variant->prefix,
                path_fill(b, row->path, w));
    return keep(b, &text);
}

/* Nodes, and all that is known of an overload's end, come from solving once more. */
static bool needs_solution(const struct quantity_row *row, const struct where *w)
{
    return row->group == GROUP_CYCLE || row->group == GROUP_FOSTER ||
           (group_scope(row->group) == SCOPE_SITE && w->site && w->site->kind == SITE_OVERLOAD);
}

size_t quantity_step(struct builder *b, enum quantity q, const struct where *w)
{
    static void (*const tell[GROUP_COUNT])(const struct ask *) = {
        [GROUP_OVERLOAD] = tell_overload, [GROUP_LIMIT] = tell_limit, [GROUP_CHECK] = tell_check,
        [GROUP_CASE] = tell_case,         [GROUP_JOINT] = tell_joint, [GROUP_POINT] = tell_point,
        [GROUP_CHIP] = tell_chip,         [GROUP_CYCLE] = tell_cycle, [GROUP_FOSTER] = tell_foster,
        [GROUP_DEVICE] = tell_device,     [GROUP_HOLD] = tell_hold,
    };
    const struct quantity_row *row = quantity_row(q);
    struct ask ask = { .b = b, .q = q, .w = *w };
    where_settle(b, q, &ask.w);
    const char *name = name_of(b, row, &ask.w);
    /* without memory no step would be known again, and the loop be followed for ever */
    if (b->arena->failed || step_named(b, name, &ask.step))
        return ask.step;
    if (b->status == SM_OK && !b->solved && needs_solution(row, &ask.w))
        b->status = builder_solve(b);
    if (b->status != SM_OK) {
        say_null(&ask, NULL); /* the explanation ends with that status */
        return ask.step;
    }
    struct sm_step *step = step_at(b, ask.step);
    step->symbol = row->symbol;
    step->unit = quantity_unit(q, ask.w.k);
    step->meaning = meaning_of(b, row, &ask.w);
    b->loop = b->loop || row->group == GROUP_CYCLE || row->group == GROUP_HOLD;
    tell[row->group](&ask);
    return ask.step;
}

size_t constant_step(struct builder *b, const struct constant_row *row)
{
    size_t i = 0;
    if (step_named(b, row->symbol, &i))
        return i;
    struct sm_step *step = step_at(b, i);
    step->kind = SM_STEP_CONSTANT;
    step->symbol = row->symbol;
    step->unit = row->unit;
    step->meaning = row->meaning;
    step->note = row->source;
    step->given = true;
    step->value = row->value;
    return i;
}

/* ------------------------------------------------------------ what is said */

/* A unit that the table of units does not have is SI. */
static double in_unit(double si, const char *unit)
{
    double shown = si;
    (void)sm_quantity_to_unit(si, unit, &shown);
    return shown;
}

void say_value(const struct ask *ask, double si, enum formula formula)
{
    struct sm_step *step = step_at(ask->b, ask->step);
    step->kind = SM_STEP_VALUE;
    step->given = true;
    step->value = in_unit(si, step->unit);
    struct sm_step_formula linked;
    formula_link(ask, formula, &linked); /* steps may move meanwhile */
    step_at(ask->b, ask->step)->formula = linked;
}

void say_null(const struct ask *ask, const char *why)
{
    struct sm_step *step = step_at(ask->b, ask->step);
    step->kind = SM_STEP_VALUE;
    step->given = false;
    step->why = why;
}

void say_input(const struct ask *ask, double si, const struct sm_origin *origin, const char *key)
{
    struct sm_step *step = step_at(ask->b, ask->step);
    step->kind = SM_STEP_INPUT;
    step->given = true;
    step->value = in_unit(si, step->unit);
    step->origin = *origin;
    step->key = key;
}

void say_found(const struct ask *ask, double number, const char *note)
{
    struct sm_step *step = step_at(ask->b, ask->step);
    step->kind = SM_STEP_CONSTANT;
    step->given = true;
    step->value = number;
    step->note = note;
}

void say_function(const struct ask *ask, enum formula formula)
{
    struct sm_step_formula linked;
    step_at(ask->b, ask->step)->kind = SM_STEP_FUNCTION;
    formula_link(ask, formula, &linked);
    step_at(ask->b, ask->step)->formula = linked;
}

void say_unit(const struct ask *ask, const char *unit)
{
    step_at(ask->b, ask->step)->unit = unit;
}

void say_meaning(const struct ask *ask, const char *meaning)
{
    step_at(ask->b, ask->step)->meaning = meaning;
}

void say_sentence(const struct ask *ask, const struct sm_note *note)
{
    struct sm_note *copy = arena_bytes(ask->b->arena, sizeof *copy);
    if (copy)
        *copy = *note;
    step_at(ask->b, ask->step)->sentence = copy;
}

/* ----------------------------------------------------------------- columns */

void say_worked_row(const struct ask *ask, size_t row)
{
    step_at(ask->b, ask->step)->worked_row = row;
}

void say_rows(const struct ask *ask, size_t n_rows)
{
    struct sm_step_column *columns = arena_bytes(ask->b->arena, COLUMN_COUNT * sizeof *columns);
    struct sm_step *step = step_at(ask->b, ask->step);
    if (step->kind != SM_STEP_FUNCTION)
        step->kind = SM_STEP_TABLE;
    step->columns = columns;
    step->n_rows = columns ? n_rows : 0;
    step->worked_row = step->n_rows;
}

double *say_column(const struct ask *ask, enum column column, const struct column_from *from,
                   const char *unit)
{
    const struct column_row *row = column_row(column);
    struct sm_step *step = step_at(ask->b, ask->step);
    double *values = arena_doubles(ask->b->arena, step->n_rows);
    if (!values || !step->columns)
        return NULL;
    step->columns[step->n_columns++] = (struct sm_step_column){ .symbol = row->symbol,
                                                                .unit = unit ? unit : row->unit,
                                                                .meaning = row->meaning,
                                                                .origin = from->origin,
                                                                .key = from->key,
                                                                .values = values };
    const size_t at = step->n_columns - 1;
    if (from->computed) {
        struct sm_step_formula linked;
        formula_link(ask, from->formula, &linked);
        step_at(ask->b, ask->step)->columns[at].formula = linked;
    }
    return values;
}

double *say_computed(const struct ask *ask, enum column column, enum formula formula)
{
    return say_column(ask, column, &(struct column_from){ .computed = true, .formula = formula },
                      NULL);
}

double *say_laid_out(const struct ask *ask, enum column column)
{
    return say_column(ask, column, &(struct column_from){ .computed = false }, NULL);
}

/* ----------------------------------------------------------------- opening */

const char *numbered(struct builder *b, const char *before, size_t i, const char *behind)
{
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "%s[%zu]%s", before, i, behind);
    return keep(b, &text);
}

static void sites_open(struct builder *b)
{
    const struct sm_drive *drive = b->c->drive;
    b->tests = arena_bytes(b->arena, b->n_tests * sizeof *b->tests);
    b->overloads = arena_bytes(b->arena, b->n_tests * sizeof *b->overloads);
    for (size_t i = 0; !b->arena->failed && i < b->n_tests; i++) {
        const double hz = drive->test.frequencies.v[i];
        b->tests[i] = (struct site){ .kind = SITE_TEST,
                                     .name = numbered(b, "points", i, ""),
                                     .index = i,
                                     .variant = &b->base,
                                     .op = operating_point_at(drive, hz, drive->test.load) };
        b->overloads[i] = (struct site){ .kind = SITE_OVERLOAD,
                                         .name = numbered(b, "overload", i, ".end"),
                                         .index = i,
                                         .variant = &b->base,
                                         .op = b->tests[i].op };
    }
}

enum sm_status builder_open(struct builder *b, const struct sm_case *c, struct arena *arena)
{
    *b = (struct builder){ .c = c, .arena = arena, .n_tests = c->drive->test.frequencies.n };
    b->n_overloads = c->drive->rating.overload_current.given ? b->n_tests : 0;
    b->base = (struct variant){ .prefix = "",
                                .c = *c,
                                .stage = stage_build(arena, c),
                                .joint = joint_of(&c->drive->joint, c->module),
                                .changed = SM_DRIVE_KEY_COUNT };
    sites_open(b);
    return arena->failed ? SM_ERR_MEMORY : SM_OK;
}

void builder_told(struct builder *b, const struct sm_result *result)
{
    b->result = result;
    b->base.hold = result->hold;
    for (size_t i = 0; i < b->n_tests; i++)
        b->tests[i].point = result->points[i];
}

enum sm_status builder_solve(struct builder *b)
{
    const struct sm_optional *duration = &b->c->drive->rating.overload_time;
    enum sm_status status = SM_OK;
    b->solved = true;
    for (size_t i = 0; i < b->n_tests && status == SM_OK; i++) {
        struct sm_point again; /* the result's is what the check tells */
        status = electrothermal_solve(b->arena, &b->base.stage, &b->tests[i].op, NULL, &again,
                                      b->tests[i].chip);
    }
    for (size_t i = 0; i < b->n_overloads && status == SM_OK; i++)
        status = overload_site(b, &b->tests[i], &b->base, duration->value, &b->overloads[i]);
    return status;
}
