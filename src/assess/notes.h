/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Lists of notes: an id of tables/swapmargin/notes.def with its numbers. */
#ifndef SM_ASSESS_NOTES_H
#define SM_ASSESS_NOTES_H

#include "swapmargin/result.h"

/* Adds a note to the list of its kind: notes, conditions or reasons. */
void note_add(struct sm_result *result, struct sm_note note);

/* The name of a chip in a note's text. */
const char *note_chip(enum sm_chip_kind kind);

/* True when some list could not grow. */
bool notes_failed(const struct sm_result *result);

#endif
