/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/sweep.h"

#include "base/maths.h"
#include "sweep/plan.h"
#include "swapmargin/engine.h"

#include <stdlib.h>
#include <string.h>

void sm_sweep_init(struct sm_sweep *sweep)
{
    *sweep = (struct sm_sweep){ .rows = NULL };
}

void sm_sweep_release(struct sm_sweep *sweep)
{
    free(sweep->rows);
    free(sweep->points);
    free(sweep->crossings);
    free(sweep->notes);
    sm_sweep_init(sweep);
}

bool sm_sweep_keeps(const struct sm_sweep *sweep, size_t row)
{
    return !sweep->rows[row].runaway && sweep->rows[row].margin >= sweep->required_margin;
}

/* ------------------------------------------------------------------ notes */

static bool same_note(const struct sm_note *a, const struct sm_note *b)
{
    return a->id == b->id &&
           (a->text == b->text || (a->text && b->text && strcmp(a->text, b->text) == 0));
}

static bool same_numbers(const struct sm_note *a, const struct sm_note *b)
{
    for (size_t i = 0; i < SM_NOTE_ARGS; i++)
        if (!(a->value[i] <= b->value[i] && a->value[i] >= b->value[i]))
            return false;
    return true;
}

/* What a check says stands among the conditions word for word. */
static bool from_check(const struct sm_result *result, const struct sm_note *note)
{
    for (size_t i = 0; i < SM_CHECK_COUNT; i++)
        if (same_note(&result->checks[i].why, note))
            return true;
    return false;
}

/* The entry of the n-th such note of a row (two test frequencies may each have one); NULL when
 * there is no memory for a new one. */
static struct sm_sweep_note *note_entry(struct sm_sweep *sweep, const struct sm_note *note,
                                        size_t n)
{
    for (size_t i = 0; i < sweep->n_notes; i++)
        if (same_note(&sweep->notes[i].note, note) && n-- == 0)
            return &sweep->notes[i];
    struct sm_sweep_note *grown =
        realloc(sweep->notes, (sweep->n_notes + 1) * sizeof *sweep->notes);
    if (!grown)
        return NULL;
    sweep->notes = grown;
    grown[sweep->n_notes] = (struct sm_sweep_note){ .note = *note, .same = true };
    return &grown[sweep->n_notes++];
}

static enum sm_status notes_gather(struct sm_sweep *sweep, size_t row,
                                   const struct sm_result *result, const struct sm_notes *notes)
{
    for (size_t i = 0; i < notes->count; i++) {
        const struct sm_note *note = &notes->list[i];
        size_t before = 0;
        for (size_t k = 0; k < i; k++)
            before += same_note(&notes->list[k], note) ? 1u : 0u;
        if (from_check(result, note))
            continue;
        struct sm_sweep_note *entry = note_entry(sweep, note, before);
        if (!entry)
            return SM_ERR_MEMORY;
        entry->first = entry->rows == 0 ? row : entry->first;
        entry->last = row;
        entry->rows++;
        entry->same = entry->same && same_numbers(&entry->note, note);
    }
    return SM_OK;
}

/* ------------------------------------------------------------------- rows */

/* Puts the value where the plan says; a frequency is lent to the drive as its list of one. */
static void value_put(struct sm_drive *drive, enum sm_sweep_over over, double *value)
{
    switch (over) {
    case SM_SWEEP_OUTPUT_FREQUENCY:
        drive->test.frequencies = (struct sm_list){ value, 1 };
        break;
    case SM_SWEEP_LOAD:
        drive->test.load = *value;
        break;
    case SM_SWEEP_AMBIENT:
        drive->cooling.ambient = *value;
        break;
    case SM_SWEEP_SWITCHING_FREQUENCY:
        drive->rating.switching_frequency = *value;
        break;
    case SM_SWEEP_JOINT_THICKNESS:
        drive->joint.thickness = (struct sm_optional){ .given = true, .value = *value };
        break;
    case SM_SWEEP_COUNT:
        break;
    }
}

static enum sm_status row_fill(struct sm_sweep *sweep, size_t row, const struct sm_result *result)
{
    struct sm_point *points = &sweep->points[row * sweep->n_points];
    memcpy(points, result->points, sweep->n_points * sizeof *points);
    sweep->rows[row].points = points;
    sweep->rows[row].runaway = result->runaway;
    sweep->rows[row].margin = result->margin;
    sweep->rows[row].worst = result->worst_point;
    const enum sm_status status = notes_gather(sweep, row, result, &result->conditions);
    return status == SM_OK ? notes_gather(sweep, row, result, &result->notes) : status;
}

static enum sm_status row_run(const struct sm_case *c, struct sm_sweep *sweep, size_t row,
                              struct sm_faults *faults)
{
    /* the copy shares its lists and texts with the drive, which stays as it is */
    struct sm_drive drive = *c->drive;
    double value = sweep->rows[row].value;
    value_put(&drive, sweep->plan.over, &value);
    const struct sm_case one = { &drive, c->module, NULL };
    struct sm_result result;
    sm_result_init(&result);
    enum sm_status status = sm_run(&one, &result, NULL);
    if (status == SM_OK)
        status = row_fill(sweep, row, &result);
    sm_result_release(&result);
    const struct sm_place place = { .file = c->module->file };
    return status == SM_OK
               ? SM_OK
               : sm_fault_add(faults, status, &place, "at %s: %s",
                              plan_typed(sweep->plan.over, value).text, sm_status_text(status));
}

/* -------------------------------------------------------------- crossings */

static void crossings_find(struct sm_sweep *sweep)
{
    for (size_t i = 0; i + 1 < sweep->n_rows; i++) {
        const struct sm_sweep_row *a = &sweep->rows[i], *b = &sweep->rows[i + 1];
        if (sm_sweep_keeps(sweep, i) == sm_sweep_keeps(sweep, i + 1))
            continue;
        struct sm_sweep_crossing *crossing = &sweep->crossings[sweep->n_crossings++];
        *crossing = (struct sm_sweep_crossing){ .before = i,
                                                .falls = sm_sweep_keeps(sweep, i),
                                                .found = !a->runaway && !b->runaway };
        if (crossing->found) {
            /* one margin is at or above the required one, the other below: they differ */
            const double share = (a->margin - sweep->required_margin) / (a->margin - b->margin);
            crossing->value = a->value + share * (b->value - a->value);
        }
    }
}

/* ------------------------------------------------------------------ sweep */

static enum sm_status rows_build(const struct sm_sweep_plan *plan, size_t n_points,
                                 struct sm_sweep *sweep, struct sm_faults *faults)
{
    double *values = calloc(plan->steps, sizeof *values);
    sweep->rows = calloc(plan->steps, sizeof *sweep->rows);
    sweep->points = calloc(plan->steps * n_points, sizeof *sweep->points);
    sweep->crossings = calloc(plan->steps, sizeof *sweep->crossings);
    if (!values || !sweep->rows || !sweep->points || !sweep->crossings) {
        free(values);
        return sm_fault_add(faults, SM_ERR_MEMORY, NULL, "out of memory");
    }
    const enum sm_status status = plan_values(plan, values, faults);
    for (size_t i = 0; status == SM_OK && i < plan->steps; i++)
        sweep->rows[i].value = values[i];
    free(values);
    sweep->n_rows = plan->steps;
    sweep->n_points = n_points;
    return status;
}

enum sm_status sm_sweep(const struct sm_case *c, const struct sm_sweep_plan *plan,
                        struct sm_sweep *out, struct sm_faults *faults)
{
    enum sm_status status = plan_check(c, plan, faults);
    if (status != SM_OK)
        return status;
    const bool frequency = plan->over == SM_SWEEP_OUTPUT_FREQUENCY;
    out->plan = *plan;
    out->required_margin = c->drive->test.required_margin;
    status = rows_build(plan, frequency ? 1 : c->drive->test.frequencies.n, out, faults);
    for (size_t i = 0; status == SM_OK && i < out->n_rows; i++)
        status = row_run(c, out, i, faults);
    if (status != SM_OK) {
        sm_sweep_release(out);
        return status;
    }
    crossings_find(out);
    return SM_OK;
}
