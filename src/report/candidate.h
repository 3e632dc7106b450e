/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One row of a comparison: a candidate's numbers with its names and the sentences against it. */
#ifndef SM_REPORT_CANDIDATE_H
#define SM_REPORT_CANDIDATE_H

#include "report/json_value.h"
#include "swapmargin/compare.h"
#include "swapmargin/text.h"

/* Strings are owned, never NULL after candidate_of() and candidate_unreadable(). */
struct candidate {
    struct sm_candidate numbers;
    char *drive, *drive_file, *part, *file;
    char *sha256;    /* of the module file as it was read, "" when it is not known */
    char *condition; /* the first point to settle, "" for none */
    char **reasons;
    size_t n_reasons;
    bool out_of_memory;
};

void candidate_init(struct candidate *candidate);
void candidate_release(struct candidate *candidate);

/* Given: an initialised candidate and a solved case; or the file and what is wrong with it. */
void candidate_of(struct candidate *candidate, const struct sm_case *c,
                  const struct sm_result *result);
void candidate_unreadable(struct candidate *candidate, const struct sm_drive *drive,
                          const char *file, const char *fault);

/* For whoever fills one in: a copy of a text (NULL counts as ""), and room for n reasons.  Lack of
 * memory is remembered in the candidate. */
char *candidate_copy(struct candidate *candidate, const char *text);
bool candidate_reasons(struct candidate *candidate, size_t n);

/* A number of a row that cannot be used. */
struct candidate_slip {
    const char *key, *expected;
    const json_t *found; /* borrowed from the row; NULL when it is not there */
};

/* The row as a JSON object without its rank; and back, false when the object is none: for a number
 * with *slip, its key NULL for all else. */
json_t *candidate_json(struct json_writer *writer, const struct candidate *candidate);
bool candidate_from_json(const json_t *object, struct candidate *candidate,
                         struct candidate_slip *slip);

/* "approve", "conditional", "reject", "unreadable". */
const char *word_standing(enum sm_standing standing);

#endif
