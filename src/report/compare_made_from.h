/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The fingerprints at the end of a comparison. */
#ifndef SM_REPORT_COMPARE_MADE_FROM_H
#define SM_REPORT_COMPARE_MADE_FROM_H

#include "report/report_compare.h"
#include "report/sheet.h"

/* The drives, what was read beside them, and on a page the module files of the rows shown, each
 * once, whatever the number of drives.  A text of thousands of rows would end in as many
 * fingerprints: it says where they stand. */
void compare_made_from(struct sheet *sheet, const struct comparison *about,
                       const struct ranked *rows, bool page);

#endif
