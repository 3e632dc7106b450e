/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/comparison.h"

#include "assess/checks.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* 1: two values nearer than this are the same: far below what is typed and what the iteration
 * leaves (common practice, no source). */
#define SAME_WITHIN 1e-6

enum better { HIGHER, LOWER, SAME, NEITHER };

struct rule {
    enum better better;
    bool at_point;
};

static const struct rule rules[SM_COMPARED_COUNT] = {
#define POINT(id, name, unit, difference, better, title, side)                                     \
    [SM_COMPARED_##id] = { better, true },
#define PART(id, name, unit, difference, better, title, side)                                      \
    [SM_COMPARED_##id] = { better, false },
#include "swapmargin/comparison.def"
#undef POINT
#undef PART
};

/* ------------------------------------------------------------ one side's say */

static struct sm_side number(double value)
{
    return (struct sm_side){ .state = SM_SIDE_GIVEN, .value = value };
}

static struct sm_side not_given(void)
{
    return (struct sm_side){ .state = SM_SIDE_NOT_GIVEN };
}

static struct sm_side optional(struct sm_optional value)
{
    return value.given ? number(value.value) : not_given();
}

/* A value with a default, which says nothing of the part. */
static struct sm_side typed(const struct sm_module *m, enum sm_module_key key, double value)
{
    return m->origin[key].kind == SM_ORIGIN_GIVEN ? number(value) : not_given();
}

static struct sm_side element(const struct sm_list *list, size_t i)
{
    return i < list->n ? number(list->v[i]) : not_given();
}

static struct sm_side words(const char *text)
{
    return text && text[0] ? (struct sm_side){ .state = SM_SIDE_GIVEN, .text = text } : not_given();
}

static struct sm_side equilibrium(bool runaway, double value)
{
    if (runaway)
        return (struct sm_side){ .state = SM_SIDE_RUNAWAY };
    return number(value);
}

/* The margin at the end of the overload; the drive may not ask for one. */
static struct sm_side overload(const struct sm_result *r, size_t i)
{
    return i < r->n_overload ? equilibrium(r->overload[i].runaway, r->overload[i].margin)
                             : not_given();
}

/* A value that means nothing where the point has no equilibrium. */
static struct sm_side settled(const struct sm_point *p, struct sm_side side)
{
    return p->runaway && side.state == SM_SIDE_GIVEN ? equilibrium(true, 0.0) : side;
}

/* One of the two parts and its result in the drive. */
struct part {
    const struct sm_module *module;
    const struct sm_result *result;
};

static void part_sides(const struct part *part, struct sm_side out[SM_COMPARED_COUNT])
{
    const struct sm_module *m = part->module;
    const struct sm_result *r = part->result;
    const struct sm_side all[SM_COMPARED_COUNT] = {
#define POINT(id, name, unit, difference, better, title, side)
#define PART(id, name, unit, difference, better, title, side) [SM_COMPARED_##id] = side,
#include "swapmargin/comparison.def"
#undef POINT
#undef PART
    };
    memcpy(out, all, sizeof all);
}

static void point_sides(const struct part *part, size_t i, struct sm_side out[SM_COMPARED_COUNT])
{
    const struct sm_result *r = part->result;
    const struct sm_point *p = &r->points[i];
    const double n = r->module_count * sm_module_switches(part->module);
    const struct sm_side all[SM_COMPARED_COUNT] = {
#define POINT(id, name, unit, difference, better, title, side)                                     \
    [SM_COMPARED_##id] = settled(p, side),
#define PART(id, name, unit, difference, better, title, side)
#include "swapmargin/comparison.def"
#undef POINT
#undef PART
    };
    memcpy(out, all, sizeof all);
}

/* ----------------------------------------------------------------- the rows */

static bool worse(enum better better, const struct sm_compared *row)
{
    if (!row->comparable)
        return row->candidate.state == SM_SIDE_RUNAWAY && row->original.state == SM_SIDE_GIVEN;
    switch (better) {
    case HIGHER:
        return !row->same && row->difference < 0.0;
    case LOWER:
        return !row->same && row->difference > 0.0;
    case SAME:
        return !row->same;
    case NEITHER:
        break;
    }
    return false;
}

static bool same(const struct sm_side *a, const struct sm_side *b)
{
    if (a->text && b->text)
        return same_words(a->text, b->text);
    return fabs(a->value - b->value) <= SAME_WITHIN * fmax(fabs(a->value), fabs(b->value));
}

/* Fills what follows from the two sides. */
static void row_judge(struct sm_compared *row)
{
    const struct sm_side *a = &row->candidate, *b = &row->original;
    row->comparable = a->state == SM_SIDE_GIVEN && b->state == SM_SIDE_GIVEN;
    if (row->comparable) {
        row->same = same(a, b);
        row->difference = a->value - b->value;
    }
    row->worse = worse(rules[row->id].better, row);
}

/* The rows of one point, or those of the parts; returned: how many. */
static size_t rows_fill(struct sm_compared *rows, bool at_point, double output_hz,
                        const struct sm_side candidate[SM_COMPARED_COUNT],
                        const struct sm_side original[SM_COMPARED_COUNT])
{
    size_t n = 0;
    for (int id = 0; id < SM_COMPARED_COUNT; id++) {
        if (rules[id].at_point != at_point)
            continue;
        rows[n] = (struct sm_compared){ .id = (enum sm_compared_id)id,
                                        .output_hz = output_hz,
                                        .candidate = candidate[id],
                                        .original = original[id] };
        row_judge(&rows[n++]);
    }
    return n;
}

enum sm_status comparison_make(const struct sm_case *c, struct sm_result *result)
{
    struct sm_comparison *out = &result->comparison;
    const struct part candidate = { c->module, result };
    const struct part original = { c->original, out->original };
    struct sm_side sides[2][SM_COMPARED_COUNT];
    out->rows = calloc((result->n_points + 1) * SM_COMPARED_COUNT, sizeof *out->rows);
    if (!out->rows)
        return SM_ERR_MEMORY;
    for (size_t i = 0; i < result->n_points; i++) {
        point_sides(&candidate, i, sides[0]);
        point_sides(&original, i, sides[1]);
        out->n_rows += rows_fill(out->rows + out->n_rows, true, result->points[i].output_hz,
                                 sides[0], sides[1]);
    }
    part_sides(&candidate, sides[0]);
    part_sides(&original, sides[1]);
    out->n_rows += rows_fill(out->rows + out->n_rows, false, 0.0, sides[0], sides[1]);
    return SM_OK;
}
