/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/inputs.h"

#include "report/words.h"
#include "swapmargin/input.h"

#include <string.h>

/* One file of a case, walked key by key. */
struct walk {
    const char *noun; /* "drive" or "module" */
    const struct sm_drive *drive;
    const struct sm_module *module;
};

static bool walk_echo(const struct walk *walk, size_t i, struct sm_echo *echo)
{
    return walk->drive ? sm_drive_echo(walk->drive, i, echo)
                       : sm_module_echo(walk->module, i, echo);
}

static const char *echo_value(const struct sm_echo *echo)
{
    return echo->value.data && echo->value.length > 0 ? echo->value.data : "";
}

/* ------------------------------------------------------------------- JSON */

static json_t *echo_json(struct json_writer *writer, const struct walk *walk,
                         const struct sm_echo *echo)
{
    const struct sm_origin *origin = &echo->origin;
    const bool has_line = origin->line > 0;
    json_t *row = json_object();
    json_put(writer, row, "of", json_words(writer, walk->noun));
    json_put(writer, row, "section", json_words(writer, echo->section));
    json_put(writer, row, "key", json_words(writer, echo->key));
    json_put(writer, row, "value", json_words(writer, echo_value(echo)));
    json_put(writer, row, "origin", json_words(writer, word_origin(origin->kind)));
    json_put(writer, row, "file", json_words(writer, origin->file));
    json_put(writer, row, "line", has_line ? json_integer(origin->line) : json_null());
    return row;
}

static void walk_json(struct json_writer *writer, const struct walk *walk, json_t *array)
{
    struct sm_echo echo;
    sm_echo_init(&echo);
    for (size_t i = 0; walk_echo(walk, i, &echo); i++) {
        if (echo.origin.kind != SM_ORIGIN_ABSENT) {
            json_append(writer, array, echo_json(writer, walk, &echo));
        }
        if (echo.value.out_of_memory && writer->status == SM_OK) {
            writer->status = SM_ERR_MEMORY;
        }
    }
    sm_echo_release(&echo);
}

json_t *inputs_json(struct json_writer *writer, const struct sm_case *c)
{
    json_t *array = json_array();
    walk_json(writer, &(struct walk){ "drive", c->drive, NULL }, array);
    walk_json(writer, &(struct walk){ "module", NULL, c->module }, array);
    return array;
}

/* ------------------------------------------------------------------ sheet */

/* Whether the row belongs on the sheet: something stands in for what no line of the file tells, not
 * under another key either.  What a person has not confirmed stands among the points to settle. */
static bool echo_stands_in(const struct sm_echo *echo)
{
    const enum sm_origin_kind kind = echo->origin.kind;
    return (kind == SM_ORIGIN_DEFAULT || (kind == SM_ORIGIN_DERIVED && echo->origin.line == 0)) &&
           echo_value(echo)[0] != '\0' && strcmp(echo->section, "confirmed") != 0;
}

/* "default"; where a derived value was taken: a table, or another value. */
static const char *echo_source(struct sheet *sheet, const struct sm_echo *echo)
{
    const struct sm_origin *origin = &echo->origin;
    if (origin->kind == SM_ORIGIN_DERIVED && origin->file) {
        const char *slash = strrchr(origin->file, '/');
        return sheet_keep(sheet, slash ? slash + 1 : origin->file);
    }
    return word_origin(origin->kind);
}

static void walk_rows(struct sheet *sheet, const struct walk *walk, struct sheet_block *table)
{
    struct sm_echo echo;
    sm_echo_init(&echo);
    for (size_t i = 0; walk_echo(walk, i, &echo); i++) {
        if (echo_stands_in(&echo)) {
            sheet_text(sheet, table, walk->noun);
            sheet_text(sheet, table, sheet_format(sheet, "[%s] %s", echo.section, echo.key));
            sheet_text(sheet, table, sheet_keep(sheet, echo_value(&echo)));
            sheet_text(sheet, table, echo_source(sheet, &echo));
        }
        sheet->out_of_memory = sheet->out_of_memory || echo.value.out_of_memory;
    }
    sm_echo_release(&echo);
}

/* How many keys of a file something stands in for. */
static size_t walk_count(const struct walk *walk)
{
    size_t n = 0;
    struct sm_echo echo;
    sm_echo_init(&echo);
    for (size_t i = 0; walk_echo(walk, i, &echo); i++) {
        n += echo_stands_in(&echo) ? 1u : 0u;
    }
    sm_echo_release(&echo);
    return n;
}

void inputs_defaults(struct sheet *sheet, const struct sm_case *c)
{
    static const struct sheet_column columns[] = {
        { "", "file", "", SHEET_LEFT, false, true },
        { "", "key", "", SHEET_LEFT, false, true },
        { "", "value", "", SHEET_LEFT, true, false },
        { "", "from", "", SHEET_LEFT, false, false },
    };
    const struct walk drive = { "drive", c->drive, NULL };
    const struct walk module = { "module", NULL, c->module };
    if (walk_count(&drive) + walk_count(&module) == 0) {
        return;
    }
    (void)sheet_add(sheet, SHEET_HEADING, "Taken where the files say nothing", "defaults");
    struct sheet_block *table = sheet_add(sheet, SHEET_TABLE, "defaults", "");
    sheet_columns(sheet, table, columns, sizeof columns / sizeof columns[0]);
    walk_rows(sheet, &drive, table);
    walk_rows(sheet, &module, table);
}
