/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A report in the format that was asked for: from its sheet for people, from its JSON document for
 * programs. */
#ifndef SWAPMARGIN_REPORT_DELIVER_H
#define SWAPMARGIN_REPORT_DELIVER_H

#include "report/json_value.h"
#include "report/sheet.h"

/* True for the formats that are made from a sheet: text and HTML. */
bool deliver_wants_sheet(enum sm_format format);

/* Adds a sheet as text or HTML, and releases it.  style: for text.
 * Errors: SM_ERR_DOMAIN (a number is not finite), SM_ERR_MEMORY; one fault. */
enum sm_status deliver_sheet(struct sheet *sheet, enum sm_format format,
                             const struct sm_style *style, struct sm_text *out,
                             struct sm_faults *faults);

/* Adds a document as JSON, or as CSV in the form given, and frees it.
 * Errors: as deliver_sheet(). */
enum sm_status deliver_document(const struct json_writer *writer, json_t *root,
                                enum sm_format format, json_form *csv, struct sm_text *out,
                                struct sm_faults *faults);

/* The fault of a format that a report does not have: SM_ERR_DOMAIN. */
enum sm_status deliver_no_format(struct sm_faults *faults);

#endif
