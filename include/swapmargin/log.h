/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The log of a load run: reading it, and what it says of the joint, the heatsink, the phases and
 * the bus, held against what the case promises. */
#ifndef SWAPMARGIN_LOG_H
#define SWAPMARGIN_LOG_H

#include "swapmargin/case.h"
#include "swapmargin/error.h"
#include "swapmargin/text.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Ids SM_LOG_<ID> of every column, in the order of log_columns.def. */
enum sm_log_column {
#define LOG_COLUMN(id, ...) SM_LOG_##id,
#include "swapmargin/log_columns.def"
#undef LOG_COLUMN
    SM_LOG_COLUMN_COUNT
};

/* One line of the file. */
struct sm_log_row {
    int line;
    struct sm_optional cell[SM_LOG_COLUMN_COUNT]; /* SI; SM_LOG_TIME is always given */
};

struct sm_log {
    char *file;                    /* as the user named it */
    bool has[SM_LOG_COLUMN_COUNT]; /* the header names the column */
    struct sm_log_row *rows;       /* owned, in the order of time */
    size_t n_rows;
    char **ignored; /* owned; names of columns that are not ours, as typed */
    size_t n_ignored;
};

void sm_log_init(struct sm_log *log);
/* Frees the contents; safe twice. */
void sm_log_release(struct sm_log *log);

/* Reads a log: RFC 4180 with a header, cells parted by commas or semicolons, decimal point (with
 * semicolons a decimal comma too), lines ended by LF or CR LF, a byte order mark allowed.  Columns
 * in any order, others are named in log->ignored; empty cells are missing values.
 * Given: log from sm_log_init(); filled on SM_OK, as after init otherwise.
 * Errors: SM_ERR_FILE, SM_ERR_SYNTAX, SM_ERR_KEY (a column missing or given twice), SM_ERR_VALUE,
 * SM_ERR_RANGE, SM_ERR_MEMORY; every fault of the file is added, with line and column. */
enum sm_status sm_log_load(const char *file, struct sm_log *log, struct sm_faults *faults);

/* Adds a blank log: its header.  Errors: SM_ERR_MEMORY. */
enum sm_status sm_log_template(struct sm_text *out);

#ifdef __cplusplus
}
#endif

#endif
