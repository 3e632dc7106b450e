/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A sheet as a page: one file that needs nothing else, neither a network nor a script, to be read.
 * A security policy of its own forbids it to fetch anything; the only script allowed is ours. */
#ifndef SWAPMARGIN_REPORT_REPORT_HTML_H
#define SWAPMARGIN_REPORT_REPORT_HTML_H

#include "report/sheet.h"

/* Adds the page.  Headings begin sections; pictures that follow each other stand side by side where
 * there is room. */
void report_html(struct sm_text *out, const struct sheet *sheet);

#endif
