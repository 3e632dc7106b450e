/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A comparison as pictures: what a buyer sees before any number is read. */
#ifndef SM_REPORT_COMPARE_PICTURES_H
#define SM_REPORT_COMPARE_PICTURES_H

#include "report/report_compare.h"
#include "report/sheet.h"

/* Candidates that a picture shows, the best first. */
enum { COMPARE_PICTURED = 16 };

/* The smallest margin of each, as bars; and, where two of them and more have a price, the margin
 * over the price of the set.  Without equilibrium there is no margin, and no bar.
 * Given: rows[n] of one drive in the order they are shown. */
void pictures_compare(struct sheet *sheet, const struct comparison *about,
                      const struct ranked *rows, size_t n);

#endif
