/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/candidate.h"

#include "base/grow.h"
#include "base/text.h"
#include "report/phrase.h"

#include <stdlib.h>

const char *word_standing(enum sm_standing standing)
{
    static const char *const words[SM_STANDING_COUNT] = {
        [SM_STANDING_APPROVE] = "approve",
        [SM_STANDING_CONDITIONAL] = "conditional",
        [SM_STANDING_REJECT] = "reject",
        [SM_STANDING_UNREADABLE] = "unreadable",
    };
    return (unsigned)standing < SM_STANDING_COUNT ? words[standing] : "";
}

void candidate_init(struct candidate *candidate)
{
    *candidate = (struct candidate){ .drive = NULL };
    sm_candidate_unreadable(&candidate->numbers);
}

void candidate_release(struct candidate *candidate)
{
    for (size_t i = 0; i < candidate->n_reasons; i++)
        free(candidate->reasons[i]);
    free(candidate->reasons);
    free(candidate->condition);
    free(candidate->drive);
    free(candidate->drive_file);
    free(candidate->part);
    free(candidate->file);
    free(candidate->sha256);
    candidate_init(candidate);
}

char *candidate_copy(struct candidate *candidate, const char *text)
{
    char *own = text_copy(text ? text : "");
    candidate->out_of_memory = candidate->out_of_memory || !own;
    return own;
}

static char *note_words(struct candidate *candidate, const struct sm_note *note)
{
    struct sm_text text;
    sm_text_init(&text);
    phrase_note(&text, note, true);
    char *own = candidate_copy(candidate, text_words(&text));
    text_close(&text, &candidate->out_of_memory);
    return own;
}

bool candidate_reasons(struct candidate *candidate, size_t n)
{
    candidate->reasons = n > 0 ? calloc(n, sizeof *candidate->reasons) : NULL;
    candidate->n_reasons = candidate->reasons ? n : 0;
    candidate->out_of_memory = candidate->out_of_memory || (n > 0 && !candidate->reasons);
    return candidate->reasons != NULL;
}

/* What decides the order is rounded to the digits that are printed: rows that were written and read
 * again stand in the same order. */
static void as_printed(struct sm_optional *value)
{
    if (value->given)
        value->value = json_as_written(value->value);
}

void candidate_of(struct candidate *candidate, const struct sm_case *c,
                  const struct sm_result *result)
{
    sm_candidate_of(c, result, &candidate->numbers);
    as_printed(&candidate->numbers.margin);
    as_printed(&candidate->numbers.price);
    as_printed(&candidate->numbers.losses);
    candidate->drive = candidate_copy(candidate, c->drive->name);
    candidate->drive_file = candidate_copy(candidate, c->drive->file);
    candidate->part = candidate_copy(candidate, c->module->part);
    candidate->file = candidate_copy(candidate, c->module->file);
    candidate->sha256 = candidate_copy(candidate, c->module->sha256);
    candidate->condition = result->conditions.count > 0
                               ? note_words(candidate, &result->conditions.list[0])
                               : candidate_copy(candidate, "");
    if (candidate_reasons(candidate, result->reasons.count))
        for (size_t i = 0; i < result->reasons.count; i++)
            candidate->reasons[i] = note_words(candidate, &result->reasons.list[i]);
}

void candidate_unreadable(struct candidate *candidate, const struct sm_drive *drive,
                          const char *file, const char *fault)
{
    sm_candidate_unreadable(&candidate->numbers);
    candidate->drive = candidate_copy(candidate, drive->name);
    candidate->drive_file = candidate_copy(candidate, drive->file);
    candidate->part = candidate_copy(candidate, "");
    candidate->file = candidate_copy(candidate, file);
    candidate->sha256 = candidate_copy(candidate, "");
    candidate->condition = candidate_copy(candidate, "");
    if (candidate_reasons(candidate, 1))
        candidate->reasons[0] = candidate_copy(candidate, fault);
}
