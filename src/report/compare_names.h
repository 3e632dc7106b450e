/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the modules of a comparison are called, so that no two look alike. */
#ifndef SM_REPORT_COMPARE_NAMES_H
#define SM_REPORT_COMPARE_NAMES_H

#include "report/report_compare.h"
#include "report/sheet.h"

/* A module file and its name on the sheet; the texts are borrowed. */
struct compare_name {
    const char *part, *file, *name;
};

/* Sorted by part, then by file. */
struct compare_names {
    struct compare_name *list;
    size_t n;
};

/* The names of all modules of the matrix, of all rows where there is none: the part; where another
 * file has the same part, with so much of the end of its path as tells them apart; without a part
 * (an unreadable file) the file.
 * Returned: empty when memory ran out, which the sheet remembers. */
struct compare_names compare_names_make(struct sheet *sheet, const struct comparison *about,
                                        const struct ranked *rows);
void compare_names_release(struct compare_names *names);

/* The name of a file; the part, or else the file, when it is none of those. */
const char *compare_name_of(const struct compare_names *names, const char *part, const char *file);

#endif
