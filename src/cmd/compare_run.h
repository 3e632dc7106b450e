/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * All candidates of a comparison, computed side by side. */
#ifndef SWAPMARGIN_CMD_COMPARE_RUN_H
#define SWAPMARGIN_CMD_COMPARE_RUN_H

#include "cmd/compare_rows.h"
#include "cmd/file_list.h"
#include "report/report_compare.h"
#include "swapmargin/case.h"

struct compare_job {
    const struct sm_drive *drives;
    size_t n_drives;
    const struct file_list *modules;
    struct matrix_cell *cells; /* [module * n_drives + drive], filled; NULL: not wanted */
    char **parts;              /* [module], filled with owned names; NULL: not wanted */
    void (*progress)(size_t done, size_t all); /* NULL: none */
};

/* One module file against every drive: its rows, ready to be added. */
struct compare_made {
    struct row_key key;
    struct matrix_cell cell;
    char *line; /* owned */
    enum sm_status status;
    struct sm_text why; /* of a status that is not SM_OK, where there is more to say */
};

/* Computes one module file: made[n_drives].  Shares nothing with another call but what is const:
 * any number of threads may call it at once.  Returned: the module's part in *part, owned, NULL
 * when it is not wanted (part NULL) or there is no memory. */
void compare_module(const struct compare_job *job, size_t module, struct compare_made *made,
                    char **part);

/* Computes all and adds their rows in the order of the files, whatever the number of threads.
 * A file that cannot be read is a row.  Errors: SM_ERR_MEMORY, SM_ERR_SYSTEM
 * (temporary file, or what reading needs). */
enum sm_status compare_run(const struct compare_job *job, struct compare_rows *rows,
                           struct sm_faults *faults);

#endif
