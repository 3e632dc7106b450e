/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/deliver.h"

#include "report/report_html.h"
#include "report/report_text.h"

bool deliver_wants_sheet(enum sm_format format)
{
    return format == SM_FORMAT_TEXT || format == SM_FORMAT_HTML;
}

enum sm_status deliver_no_format(struct sm_faults *faults)
{
    return sm_fault_add(faults, SM_ERR_DOMAIN, NULL, "this report has no such format");
}

enum sm_status deliver_sheet(struct sheet *sheet, enum sm_format format,
                             const struct sm_style *style, struct sm_text *out,
                             struct sm_faults *faults)
{
    enum sm_status status = SM_OK;
    if (sheet->not_finite) {
        status = sm_fault_add(faults, SM_ERR_DOMAIN, NULL, "a number of the result is not finite");
    } else if (format == SM_FORMAT_HTML) {
        report_html(out, sheet);
    } else {
        report_text(out, sheet, style);
    }
    if (status == SM_OK && out->out_of_memory) {
        status = sm_fault_add(faults, SM_ERR_MEMORY, NULL, "out of memory");
    }
    sheet_release(sheet);
    return status;
}

enum sm_status deliver_document(const struct json_writer *writer, json_t *root,
                                enum sm_format format, json_form *csv, struct sm_text *out,
                                struct sm_faults *faults)
{
    if (format == SM_FORMAT_JSON) {
        return json_deliver(writer, root, json_text, out, faults);
    }
    if (format == SM_FORMAT_CSV) {
        return json_deliver(writer, root, csv, out, faults);
    }
    json_decref(root);
    return deliver_no_format(faults);
}
