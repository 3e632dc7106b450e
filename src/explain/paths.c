/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "explain/paths.h"

#include "base/maths.h"
#include "base/near.h"
#include "base/text.h"
#include "swapmargin/quantity.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Of a frequency in a fault: as many as a drive file has. */
enum { FREQUENCY_DIGITS = 10 };

/* -------------------------------------------------------------- all of them */

struct list {
    struct builder *b;
    struct path *path;
    size_t n, capacity;
};

static void list_add(struct list *list, const struct path *path)
{
    if (list->n == list->capacity) {
        const size_t capacity = list->capacity ? 2 * list->capacity : 128;
        struct path *grown = arena_bytes(list->b->arena, capacity * sizeof *grown);
        if (!grown)
            return;
        if (list->n > 0)
            memcpy(grown, list->path, list->n * sizeof *grown);
        list->path = grown;
        list->capacity = capacity;
    }
    list->path[list->n++] = *path;
}

static bool goes_over(enum quantity q, const char *placeholder)
{
    return strstr(quantity_row(q)->path, placeholder) != NULL;
}

/* Terms, limits and checks: the only rows that can be asked for one by one. */
static size_t count_rows(const struct list *list, const struct path *path)
{
    switch ((int)quantity_row(path->q)->group) {
    case GROUP_LIMIT:
        return SM_LIMIT_COUNT;
    case GROUP_CHECK:
        return SM_CHECK_COUNT;
    default:
        return list->b->base.stage.foster_r[path->w.chip]->n;
    }
}

static void list_rows(struct list *list, struct path *path)
{
    const size_t n = goes_over(path->q, "{k}") ? count_rows(list, path) : 1;
    for (path->w.k = 0; path->w.k < n; path->w.k++) {
        path->name = path_fill(list->b, quantity_row(path->q)->path, &path->w);
        list_add(list, path);
    }
}

static void list_legs(struct list *list, struct path *path, bool results)
{
    const bool result = quantity_row(path->q)->listing == LISTING_RESULT;
    const int legs = goes_over(path->q, "{leg}") ? 2 : 1;
    for (int leg = 0; leg < legs; leg++) {
        path->w.other_leg = leg > 0;
        path->result = result && leg == 0;
        if (path->result == results)
            list_rows(list, path);
    }
}

static void list_chips(struct list *list, struct path *path, bool results)
{
    const int only = quantity_row(path->q)->chip;
    const bool both = goes_over(path->q, "{chip}") && only == SM_CHIP_COUNT;
    for (int chip = 0; chip < SM_CHIP_COUNT; chip++) {
        if (both || chip == only || (only == SM_CHIP_COUNT && chip == SM_IGBT)) {
            path->w.chip = (enum sm_chip_kind)chip;
            list_legs(list, path, results);
        }
    }
}

static void list_sites(struct list *list, enum quantity q, bool results)
{
    const struct builder *b = list->b;
    const bool overload = quantity_row(q)->group == GROUP_OVERLOAD;
    const bool over = goes_over(q, "{site}") || goes_over(q, "{i}");
    const size_t n = !over ? 1 : overload ? b->n_overloads : b->n_tests;
    struct path path = { .q = q, .w.variant = &b->base };
    if (quantity_row(q)->listing == LISTING_PART)
        return;
    for (size_t i = 0; i < n; i++) {
        if (over)
            path.w.site = overload ? &b->overloads[i] : &b->tests[i];
        list_chips(list, &path, results);
    }
}

struct path *paths_list(struct builder *b, size_t *n)
{
    struct list list = { .b = b };
    for (int q = 0; q < QUANTITY_COUNT; q++)
        list_sites(&list, (enum quantity)q, true);
    for (int q = 0; q < QUANTITY_COUNT; q++)
        list_sites(&list, (enum quantity)q, false);
    *n = list.n;
    return list.path;
}

/* ------------------------------------------------------------- one of them */

/* "points@30.igbt.total_w", taken apart. */
struct at_frequency {
    const char *at, *end; /* the "@", and what follows the number; at NULL where there is none */
    double hz;
};

static struct at_frequency frequency_of(const char *what)
{
    const char *at = strchr(what, '@');
    char *end = NULL;
    const double hz = at ? strtod(at + 1, &end) : 0.0;
    if (!at || end == at + 1)
        return (struct at_frequency){ NULL, NULL, 0.0 };
    if (end[-1] == '.')
        end--; /* the dot behind the number, not in it */
    return (struct at_frequency){ at, end, hz };
}

/* Which test frequency is meant; n_tests for none. */
static size_t test_of(const struct builder *b, double hz)
{
    size_t i = 0;
    while (i < b->n_tests && !same_number(b->tests[i].op.output_hz, hz))
        i++;
    return i;
}

/* points@30.igbt... in place of points[0].igbt...; anything else as it is. */
static const char *by_frequency(struct builder *b, const char *what)
{
    const struct at_frequency asked = frequency_of(what);
    const size_t i = asked.at ? test_of(b, asked.hz) : b->n_tests;
    if (i == b->n_tests)
        return what;
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "%.*s[%zu]%s", (int)(asked.at - what), what, i, asked.end);
    return keep(b, &text);
}

/* Names the frequencies there are.  Returned: false when `what` asks for none, or for one of
 * them. */
static bool frequency_fault(const struct builder *b, const char *what, struct sm_faults *faults)
{
    const struct at_frequency asked = frequency_of(what);
    if (!asked.at || test_of(b, asked.hz) < b->n_tests)
        return false;
    const struct sm_place place = { .key = what };
    struct sm_text known;
    sm_text_init(&known);
    for (size_t i = 0; i < b->n_tests; i++) {
        char hz[40];
        sm_number_format(hz, sizeof hz, b->tests[i].op.output_hz, FREQUENCY_DIGITS);
        sm_text_add(&known, "%s%.*s@%s%s", i > 0 ? ", " : "", (int)(asked.at - what), what, hz,
                    asked.end);
    }
    (void)sm_fault_add(faults, SM_ERR_KEY, &place, "no test frequency of the drive; expected %s",
                       text_words(&known));
    text_close(&known, &faults->out_of_memory);
    return true;
}

/* limits[load_current_a]... in place of limits[0]..., checks likewise; anything else as it is. */
static const char *by_name(struct builder *b, const char *what)
{
    const enum group group = strncmp(what, "limits[", 7) == 0   ? GROUP_LIMIT
                             : strncmp(what, "checks[", 7) == 0 ? GROUP_CHECK
                                                                : GROUP_COUNT;
    if (group == GROUP_COUNT)
        return what;
    const size_t length = strcspn(what + 7, "]");
    for (size_t i = 0; row_name(group, i); i++) {
        const char *name = row_name(group, i);
        if (strlen(name) != length || strncmp(name, what + 7, length) != 0)
            continue;
        struct sm_text text;
        sm_text_init(&text);
        sm_text_add(&text, "%.7s%zu%s", what, i, what + 7 + length);
        return keep(b, &text);
    }
    return what;
}

/* What a person most probably meant: a slip of the fingers, or a name's end alone. */
static const char *nearest(const struct path *path, size_t n, const char *what)
{
    const char *best = NULL, *ending = NULL;
    size_t best_distance = 0;
    for (size_t i = 0; i < n; i++) {
        size_t distance = 0;
        const size_t length = strlen(path[i].name), typed = strlen(what);
        if (!ending && typed > 2 && typed < length &&
            strcmp(path[i].name + length - typed, what) == 0)
            ending = path[i].name;
        if (name_near(what, path[i].name, &distance) && (!best || distance < best_distance)) {
            best = path[i].name;
            best_distance = distance;
        }
    }
    return ending ? ending : best;
}

const struct path *path_find(struct builder *b, const char *what, struct sm_faults *faults)
{
    size_t n = 0;
    const struct path *path = paths_list(b, &n);
    const char *name = by_name(b, by_frequency(b, what));
    for (size_t i = 0; i < n; i++)
        if (strcmp(path[i].name, name) == 0)
            return &path[i];
    if (frequency_fault(b, what, faults))
        return NULL;
    const char *near = nearest(path, n, name);
    const struct sm_place place = { .key = what };
    if (near)
        (void)sm_fault_add(faults, SM_ERR_KEY, &place,
                           "no number of the result has this name; did you mean '%s'?", near);
    else
        (void)sm_fault_add(faults, SM_ERR_KEY, &place,
                           "no number of the result has this name; expected one of those listed "
                           "when explain is given none");
    return NULL;
}
