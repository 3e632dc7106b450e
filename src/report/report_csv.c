/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_csv.h"

#include "base/text.h"
#include "report/csv.h"

#include <stdio.h>
#include <string.h>

/* ------------------------------------------------------------------ units */

static bool ends_with(const char *name, const char *end)
{
    const size_t n = strlen(name), k = strlen(end);
    return n >= k && strcmp(name + n - k, end) == 0;
}

/* The unit that a name ends with, NULL for none. */
static const char *suffix_unit(const char *name)
{
    static const struct {
        const char *end, *unit;
    } rows[] = {
#define SUFFIX(end, unit) { end, unit },
#include "swapmargin/suffixes.def"
#undef SUFFIX
    };
    const char *unit = NULL;
    size_t longest = 0;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const size_t length = strlen(rows[i].end);
        if (length > longest && ends_with(name, rows[i].end)) {
            unit = rows[i].unit;
            longest = length;
        }
    }
    return unit;
}

/* What an object has as "<key><end>", NULL for none. */
static const char *beside(const json_t *object, const char *key, const char *end)
{
    char name[64];
    (void)snprintf(name, sizeof name, "%s%s", key, end);
    return json_string_value(json_object_get(object, name));
}

/* The unit of the number called `key` in an object that stands in a list called `list`: its name's
 * own; else what stands beside it as "<key>_unit" or "unit"; of a plain value or limit, what "name"
 * or the list's name ends with. */
static const char *number_unit(const char *list, const json_t *object, const char *key)
{
    const char *unit = suffix_unit(key);
    unit = unit ? unit : beside(object, key, "_unit");
    unit = unit ? unit : beside(object, "unit", "");
    if (!unit && (strcmp(key, "value") == 0 || strcmp(key, "limit") == 0)) {
        const char *name = beside(object, "name", "");
        unit = suffix_unit(name ? name : list);
    }
    return unit ? unit : "";
}

/* ------------------------------------------------------------------- walk */

struct walk {
    struct csv csv;
    struct sm_text path; /* of the value that is next */
};

/* A value with what its surroundings tell of it. */
struct leaf {
    json_t *value;
    const char *name; /* its own, or its list's */
    const char *unit; /* if it is a number */
};

static void value_add(struct walk *walk, const struct leaf *leaf);

static void path_cut(struct walk *walk, size_t length)
{
    if (walk->path.data) {
        walk->path.length = length;
        walk->path.data[length] = '\0';
    }
}

static void object_add(struct walk *walk, const struct leaf *leaf)
{
    const size_t length = walk->path.length;
    json_t *object = leaf->value;
    for (void *at = json_object_iter(object); at; at = json_object_iter_next(object, at)) {
        const char *key = json_object_iter_key(at);
        sm_text_add(&walk->path, "%s%s", length > 0 ? "." : "", key);
        value_add(walk, &(struct leaf){ json_object_iter_value(at), key,
                                        number_unit(leaf->name, object, key) });
        path_cut(walk, length);
    }
}

static void list_add(struct walk *walk, const struct leaf *leaf)
{
    const size_t length = walk->path.length;
    const char *unit = suffix_unit(leaf->name);
    for (size_t i = 0; i < json_array_size(leaf->value); i++) {
        sm_text_add(&walk->path, "[%zu]", i);
        value_add(walk,
                  &(struct leaf){ json_array_get(leaf->value, i), leaf->name, unit ? unit : "" });
        path_cut(walk, length);
    }
}

static void scalar_add(struct walk *walk, const struct leaf *leaf)
{
    const json_t *value = leaf->value;
    const bool number = json_is_number(value);
    csv_text(&walk->csv, walk->path.data);
    csv_json(&walk->csv, value);
    csv_text(&walk->csv, number ? leaf->unit : "");
    csv_text(&walk->csv, json_is_boolean(value) ? (json_is_true(value) ? "true" : "false")
                                                : json_string_value(value));
    csv_end(&walk->csv);
}

/* Calls itself through the two above, as deep as our own document is. */
static void value_add(struct walk *walk, const struct leaf *leaf)
{
    if (json_is_object(leaf->value)) {
        object_add(walk, leaf);
    } else if (json_is_array(leaf->value)) {
        list_add(walk, leaf);
    } else {
        scalar_add(walk, leaf);
    }
}

void report_csv(struct sm_text *out, json_t *root)
{
    static const char *const header[] = { "path", "value", "unit", "text" };
    struct walk walk = { .csv = { .out = out } };
    sm_text_init(&walk.path);
    csv_header(&walk.csv, header, sizeof header / sizeof header[0]);
    value_add(&walk, &(struct leaf){ root, "", "" });
    text_close(&walk.path, &out->out_of_memory);
}
