/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Slips in a log that are no wrong cells: another unit, a sensor that does not follow.  Rules of
 * the trade, in one place; each is a note and changes no result.
 *
 * Source: common practice, docs/method.md, section 18. */
#ifndef SM_ASSESS_LOG_DOUBTS_H
#define SM_ASSESS_LOG_DOUBTS_H

#include "assess/log_rows.h"

/* Adds a note for each slip that shows.  Given: out->sink as judged; its `stuck` is filled.
 * Errors: SM_ERR_MEMORY. */
enum sm_status log_doubts_find(const struct log_rows *rows, struct sm_log_judgement *out);

#endif
