/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The few modules that cover most drives. */
#ifndef SWAPMARGIN_CMD_COMPARE_STOCK_H
#define SWAPMARGIN_CMD_COMPARE_STOCK_H

#include "cmd/file_list.h"
#include "report/report_compare.h"

/* Every module in every drive. */
struct stock_matrix {
    const struct matrix_cell *cells; /* [module * n_drives + drive] */
    char *const *parts;              /* [files->n] */
    const struct file_list *files;   /* in the order of their names */
    size_t n_drives;
    bool strict; /* conditional does not cover a drive */
};

/* The stocking list of sm_stocking_list().  Of modules that add as many drives the one with the
 * lower price of a set is taken, without a price last; then the larger margin; then the name.
 * Both are those of the drive it does best in: price and margin of the same module differ from
 * drive to drive.
 * Given: room for a row of every module.  Returned: rows that borrow their names, and how many.
 * Errors: SM_ERR_MEMORY. */
enum sm_status compare_stock(const struct stock_matrix *matrix, struct stock_row *rows, size_t *n,
                             struct sm_faults *faults);

#endif
