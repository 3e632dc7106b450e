/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/report.h"

#include "report/deliver.h"
#include "report/report_csv.h"
#include "report/report_json.h"
#include "report/sheet_check.h"

enum sm_status sm_report_check_page(const struct sm_case *c, const struct sm_result *result,
                                    const struct sm_check_curves *curves, struct sm_text *out,
                                    struct sm_faults *faults)
{
    struct sheet sheet;
    sheet_init(&sheet);
    sheet_check_page(&sheet, c, result, curves);
    return deliver_sheet(&sheet, SM_FORMAT_HTML, NULL, out, faults);
}

enum sm_status sm_report_check(const struct sm_case *c, const struct sm_result *result,
                               enum sm_format format, const struct sm_style *style,
                               struct sm_text *out, struct sm_faults *faults)
{
    if (format == SM_FORMAT_HTML) {
        const struct sm_check_curves none = { .n_cycles = 0 };
        return sm_report_check_page(c, result, &none, out, faults);
    }
    if (format == SM_FORMAT_TEXT) {
        struct sheet sheet;
        sheet_init(&sheet);
        sheet_check(&sheet, c, result);
        return deliver_sheet(&sheet, format, style, out, faults);
    }
    struct json_writer writer = { .status = SM_OK };
    json_t *root = json_check(&writer, c, result);
    return deliver_document(&writer, root, format, report_csv, out, faults);
}
