/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page.css and page.js, compiled in. */
#ifndef SWAPMARGIN_REPORT_EMBEDDED_H
#define SWAPMARGIN_REPORT_EMBEDDED_H

extern const char sm_embedded_page_css[];
extern const char sm_embedded_page_js[];

#endif
