/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A comparison written out.  Rows come one by one, as lines of JSON without their rank, so that any
 * number of them needs no more memory than one; the sheet for people takes them all. */
#ifndef SM_REPORT_REPORT_COMPARE_H
#define SM_REPORT_REPORT_COMPARE_H

#include "report/candidate.h"
#include "swapmargin/report.h"

/* A module of the stocking list. */
struct stock_row {
    const char *part, *file;
    size_t covers; /* drives in all */
    size_t adds;   /* drives that no module above it covers */
};

/* Best module of a drive. */
struct best_row {
    const char *drive;
    struct candidate candidate; /* its numbers.standing is unreadable when there is none */
};

/* One module in one drive, as the matrix shows it. */
struct matrix_cell {
    enum sm_standing standing;
    struct sm_optional margin;    /* K */
    struct sm_optional price_set; /* all modules in the drive */
};

/* What a comparison is about. */
struct comparison {
    const struct sm_drive *drive;  /* the one drive; NULL for several, and for merged rows */
    const struct sm_drive *drives; /* all of them */
    size_t n_drives;               /* 0 for merged rows */
    bool several;                  /* drives in rows of `best`, and a stocking list */
    const struct best_row *best;
    size_t n_best;
    const struct stock_row *stock;
    size_t n_stock;
    const struct matrix_cell *cells; /* [module * n_best + drive]; NULL with one drive */
    char *const *modules;            /* parts of the modules, "" of those that cannot be read */
    char *const *module_files;
    size_t n_modules;
    double *hz; /* test frequencies of all drives, rising, as the rows have them */
    size_t n_hz;
    size_t standing[SM_STANDING_COUNT]; /* candidates of each verdict, shown or not */
    size_t unreadable_files;            /* of those; a file may be so for several drives */
    size_t shown;                       /* rows that follow */
};

/* A row as it waits: its line of JSON, its rank, and its place among those shown, from 0. */
struct ranked_line {
    const struct sm_text *line;
    size_t rank, number;
};

/* Formats that write row by row: JSON, JSON lines, CSV. */
void compare_begin(struct sm_text *out, enum sm_format format, const struct comparison *about);
/* Errors: SM_ERR_VALUE when the line is no row of a comparison, SM_ERR_MEMORY. */
enum sm_status compare_row(struct sm_text *out, enum sm_format format,
                           const struct comparison *about, const struct ranked_line *row);
void compare_end(struct sm_text *out, enum sm_format format, const struct comparison *about);

/* A row of the sheet. */
struct ranked {
    struct candidate candidate;
    size_t rank;
    const char *name; /* what it is called there, once it is made */
};

/* The sheet as text or HTML, there with pictures of the margins: rows[about->shown] in the order
 * they are shown; with several drives the matrix stands for them.
 * Errors: SM_ERR_DOMAIN, SM_ERR_MEMORY; one fault. */
enum sm_status compare_sheet(struct sm_text *out, enum sm_format format,
                             const struct comparison *about, struct ranked *rows,
                             const struct sm_style *style, struct sm_faults *faults);

/* What the buyer is told with every comparison, and what to tick before ordering. */
size_t compare_advice_count(void);
const char *compare_advice(size_t index);

#endif
