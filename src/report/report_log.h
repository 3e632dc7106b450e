/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a log says, as part of the sheet and the document of a load run. */
#ifndef SM_REPORT_REPORT_LOG_H
#define SM_REPORT_REPORT_LOG_H

#include "report/json_value.h"
#include "report/made_from.h"
#include "report/sheet.h"
#include "swapmargin/log.h"

/* The log and what was found in it. */
struct log_page {
    const struct sm_log *log;
    const struct sm_log_judgement *judgement;
};

/* The log as a file that was read; its name is NULL without a page. */
struct made_file log_made_file(const struct log_page *page);

/* The document's `log` (json_log.c). */
json_t *json_log(struct json_writer *writer, const struct log_page *page);

/* The sheet's part (sheet_log.c), and what is bad in it, or that nothing is; "" when it is nothing
 * but the reading to stop at. */
void sheet_log(struct sheet *sheet, const struct log_page *page);
const char *sheet_log_headline(struct sheet *sheet, const struct sm_log_judgement *judgement);

/* Its head (sheet_log_head.c): what goes behind "LOAD RUN: ", with the verdict of the check; what
 * is told before all else when the run should have been stopped, else NULL; what became of the
 * readings to stop at, which have a result; and the doubts about the log, if any. */
const char *sheet_log_title(struct sheet *sheet, const struct sm_log_judgement *judgement,
                            bool rejected);
const char *sheet_log_alarm(struct sheet *sheet, const struct sm_log_judgement *judgement);
const char *sheet_log_stop(struct sheet *sheet, const struct sm_log_stop *stop);
void sheet_log_notes(struct sheet *sheet, const struct sm_log_judgement *judgement);

/* Rows of the tables (log_words.c).  A why is NULL for SM_LOG_TOLD. */
struct log_cause_words {
    const char *name, *text, *look;
};

const char *word_log_result(enum sm_log_result_id id);
bool word_log_is_bad(enum sm_log_result_id id);
const char *word_log_why(enum sm_log_why_id id);
const struct log_cause_words *word_log_cause(enum sm_log_cause_id id);
const char *word_log_aside(enum sm_log_aside_id id);
const char *word_log_column(enum sm_log_column column);
const char *word_log_offset(enum sm_log_offset from);
const char *word_log_phase(int phase);

/* Adds why a row was put aside. */
void log_aside_add(struct sm_text *out, const struct sm_log_aside *aside, bool utf8);

/* Adds the sentence of a note. */
void log_note_words(struct sm_text *out, const struct sm_log_note *note, bool utf8);

/* Why a ripple is not checked; NULL when it is. */
const char *log_ripple_why(const struct sm_log_ripple *ripple);

#endif
