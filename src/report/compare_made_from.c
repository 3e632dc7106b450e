/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/compare_made_from.h"

#include "base/grow.h"
#include "report/made_from.h"

#include <stdlib.h>
#include <string.h>

static int by_file(const void *a, const void *b)
{
    return strcmp(((const struct made_file *)a)->file, ((const struct made_file *)b)->file);
}

/* Given: room for every row. */
static size_t modules_read(const struct comparison *about, const struct ranked *rows,
                           struct made_file *files)
{
    size_t n = 0, kept = 0;
    for (size_t i = 0; i < about->shown; i++) {
        const struct candidate *row = &rows[i].candidate;
        if (row->sha256[0] != '\0')
            files[n++] = (struct made_file){ "module", row->file, row->sha256 };
    }
    if (n > 0)
        qsort(files, n, sizeof *files, by_file);
    for (size_t i = 0; i < n; i++) {
        if (kept == 0 || by_file(&files[kept - 1], &files[i]) != 0)
            files[kept++] = files[i];
    }
    return kept;
}

void compare_made_from(struct sheet *sheet, const struct comparison *about,
                       const struct ranked *rows, bool page)
{
    if (!page) {
        made_from_compared(sheet, about->drives, about->n_drives, NULL, 0);
        (void)sheet_add(sheet, SHEET_PARAGRAPH, "",
                        "The modules' fingerprints stand in their rows of CSV and JSON, and on the "
                        "page.");
        return;
    }
    struct made_file *files = list_zeroed(about->shown, sizeof *files);
    if (!files) {
        sheet->out_of_memory = true;
        return;
    }
    made_from_compared(sheet, about->drives, about->n_drives, files,
                       modules_read(about, rows, files));
    free(files);
}
