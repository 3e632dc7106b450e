/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rows of a comparison, as many as there are.  Each row waits as one line of JSON in a
 * temporary file; what stays in memory is what decides its place. */
#ifndef SWAPMARGIN_CMD_COMPARE_ROWS_H
#define SWAPMARGIN_CMD_COMPARE_ROWS_H

#include "report/candidate.h"

#include <stdio.h>

/* What decides a row's place.  The name is borrowed and outlives the rows. */
struct row_key {
    struct sm_optional margin, price, losses, lead_time;
    const char *file;
    enum sm_standing standing;
    size_t drive;              /* number of the drive */
    struct sm_optional chosen; /* what the order asked for goes by; after compare_rows_rank() */
    size_t rank;               /* 1, 2, ... within the drive; after compare_rows_rank() */
    long offset;               /* of its line */
    size_t length;
};

struct compare_rows {
    struct row_key *key;
    size_t n, capacity;
    FILE *lines;
    long end;
};

/* Orders that --sort knows. */
enum row_order {
    ORDER_RANK,
    ORDER_MARGIN,
    ORDER_PRICE,
    ORDER_LOSSES,
    ORDER_LEAD_TIME,
    ORDER_FILE,
    ORDER_COUNT
};

void compare_rows_init(struct compare_rows *rows);
void compare_rows_release(struct compare_rows *rows);

/* The key of a candidate, its line's place left out. */
struct row_key row_key_of(const struct sm_candidate *candidate, const char *file, size_t drive);

/* Adds a row: its key and its line of JSON.  Errors: SM_ERR_MEMORY, SM_ERR_FILE. */
enum sm_status compare_rows_add(struct compare_rows *rows, const struct row_key *key,
                                const char *line, size_t length, struct sm_faults *faults);

/* Ranks the rows of each drive, then puts all into the order, drive by drive. */
void compare_rows_rank(struct compare_rows *rows, enum row_order order);

/* How many files cannot be read or used: each counts once, in however many drives.
 * Errors: SM_ERR_MEMORY. */
enum sm_status compare_rows_unreadable(const struct compare_rows *rows, size_t *n_files,
                                       struct sm_faults *faults);

/* Reads the line of row i, in the order they stand; replaces the text. */
enum sm_status compare_rows_line(const struct compare_rows *rows, size_t i, struct sm_text *line,
                                 struct sm_faults *faults);

#endif
