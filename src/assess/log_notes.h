/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Doubts about a log, one by one. */
#ifndef SM_ASSESS_LOG_NOTES_H
#define SM_ASSESS_LOG_NOTES_H

#include "swapmargin/log.h"

/* Adds a note.  Errors: SM_ERR_MEMORY. */
enum sm_status log_note_add(struct sm_log_judgement *judgement, struct sm_log_note note);

#endif
