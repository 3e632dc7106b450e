/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sheet of a load run: what to read beside the drive, and where to write it. */
#ifndef SM_REPORT_REPORT_LOADRUN_H
#define SM_REPORT_REPORT_LOADRUN_H

#include "report/json_value.h"
#include "report/report_log.h"
#include "report/sheet.h"
#include "swapmargin/loadrun.h"
#include "swapmargin/network.h"
#include "swapmargin/report.h"

/* Times are shown in minutes. */
#define SECONDS_PER_MINUTE 60.0

/* What is told: the case, what a check says of it, and the runs. */
struct loadrun_page {
    const struct sm_case *c;
    const struct sm_result *result;
    const struct sm_loadrun *loadrun;
    const struct sm_network *network;
    const struct log_page *log; /* NULL without one */
};

/* Fills an empty sheet. */
void sheet_loadrun(struct sheet *sheet, const struct loadrun_page *page);

/* Errors: SM_ERR_DOMAIN (a format that this report does not have; a number that is not finite),
 * SM_ERR_MEMORY. */
enum sm_status report_loadrun(const struct loadrun_page *page, enum sm_format format,
                              const struct sm_style *style, struct sm_text *out,
                              struct sm_faults *faults);

/* One run (json_load_run.c). */
json_t *json_load_run(struct json_writer *writer, const struct sm_load_run *run);

/* The second calculation (json_network.c, sheet_network.c). */
json_t *json_network(struct json_writer *writer, const struct sm_network *network);
void sheet_network(struct sheet *sheet, const struct loadrun_page *page);

/* Rows of practice.def and unseen.def. */
size_t word_practice_count(void);
const char *word_practice(size_t index);
size_t word_unseen_count(void);
const char *word_unseen(size_t index);

#endif
