/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rows of an earlier comparison, or of its shards, read again. */
#ifndef SWAPMARGIN_CMD_COMPARE_MERGE_H
#define SWAPMARGIN_CMD_COMPARE_MERGE_H

#include "cmd/compare_rows.h"
#include "cmd/file_list.h"

/* Where a row was read. */
struct merged_row {
    size_t drive;
    const char *file;      /* the module file */
    size_t number;         /* of the row, in the order they were read */
    struct sm_place place; /* file and line of the row itself */
};

/* What the rows of merged files borrow. */
struct merged {
    struct file_list names;  /* module files, one a row */
    struct file_list drives; /* drive files, in the order they appear: the rows' numbers */
    double *hz;              /* every test frequency that some row has, rising */
    size_t n_hz;
    struct merged_row *rows;
    size_t n_rows, capacity;
};

void merged_init(struct merged *merged);
void merged_release(struct merged *merged);

/* Adds the rows of files of JSON lines.  Rows that are missing cannot be told: none knows how many
 * shards there were.  Errors: SM_ERR_FILE, SM_ERR_SYNTAX (file and line of the first one that is no
 * row of a comparison), SM_ERR_VALUE (a number of a row; the same drive and module twice),
 * SM_ERR_MEMORY. */
enum sm_status compare_merge(const char *const *files, size_t n, struct merged *merged,
                             struct compare_rows *rows, struct sm_faults *faults);

/* Puts a frequency into a rising list, each once and as a row has it that was written; *hz is owned
 * and grows.  False: no memory. */
bool frequency_keep(double **hz, size_t *n, double value);

#endif
