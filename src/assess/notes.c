/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/notes.h"

#include "base/grow.h"
#include "swapmargin/engine.h"

#include <stdlib.h>

struct row {
    enum sm_note_kind kind;
    const char *text;
};

static const struct row rows[SM_NOTE_COUNT] = {
#define NOTE(id, kind, text) [SM_NOTE_##id] = { SM_KIND_##kind, text },
#include "swapmargin/notes.def"
#undef NOTE
};

enum sm_note_kind sm_note_kind(enum sm_note_id id)
{
    return rows[id].kind;
}

const char *sm_note_template(enum sm_note_id id)
{
    return rows[id].text;
}

static bool grow(struct sm_notes *notes)
{
    struct sm_note *list = list_grow(notes->list, notes->count, &notes->capacity, sizeof *list);
    if (!list)
        return false;
    notes->list = list;
    return true;
}

static struct sm_notes *list_of(struct sm_result *result, enum sm_note_kind kind)
{
    if (kind == SM_KIND_REASON)
        return &result->reasons;
    return kind == SM_KIND_CONDITION ? &result->conditions : &result->notes;
}

void note_add(struct sm_result *result, struct sm_note note)
{
    struct sm_notes *notes = list_of(result, sm_note_kind(note.id));
    if (!grow(notes)) {
        result->notes.out_of_memory = true;
        return;
    }
    notes->list[notes->count++] = note;
}

const char *note_chip(enum sm_chip_kind kind)
{
    return kind == SM_IGBT ? "IGBT" : "diode";
}

bool notes_failed(const struct sm_result *result)
{
    return result->notes.out_of_memory;
}

void sm_result_init(struct sm_result *result)
{
    *result = (struct sm_result){ .points = NULL };
}

static void contents_free(struct sm_result *result)
{
    free(result->points);
    free(result->overload);
    free(result->reasons.list);
    free(result->conditions.list);
    free(result->notes.list);
    free(result->comparison.rows);
    sm_warnings_release(&result->warnings);
}

void sm_result_release(struct sm_result *result)
{
    if (result->comparison.original) /* which has none of its own */
        contents_free(result->comparison.original);
    free(result->comparison.original);
    contents_free(result);
    sm_result_init(result);
}
