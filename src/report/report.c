/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/report.h"

#include "report/report_csv.h"
#include "report/report_html.h"
#include "report/report_json.h"
#include "report/report_text.h"
#include "report/sheet_check.h"

static enum sm_status text_check(const struct sm_case *c, const struct sm_result *result,
                                 const struct sm_style *style, struct sm_text *out,
                                 struct sm_faults *faults)
{
    struct sheet sheet;
    sheet_init(&sheet);
    sheet_check(&sheet, c, result);
    return report_text_deliver(&sheet, style, out, faults);
}

enum sm_status sm_report_check_page(const struct sm_case *c, const struct sm_result *result,
                                    const struct sm_check_curves *curves, struct sm_text *out,
                                    struct sm_faults *faults)
{
    struct sheet sheet;
    sheet_init(&sheet);
    sheet_check_page(&sheet, c, result, curves);
    return report_html_deliver(&sheet, out, faults);
}

enum sm_status sm_report_check(const struct sm_case *c, const struct sm_result *result,
                               enum sm_format format, const struct sm_style *style,
                               struct sm_text *out, struct sm_faults *faults)
{
    switch (format) {
    case SM_FORMAT_TEXT:
        return text_check(c, result, style, out, faults);
    case SM_FORMAT_JSON:
        return report_json_check(c, result, json_text, out, faults);
    case SM_FORMAT_CSV:
        return report_json_check(c, result, report_csv, out, faults);
    case SM_FORMAT_HTML:
        return sm_report_check_page(c, result, &(struct sm_check_curves){ .n_cycles = 0 }, out,
                                    faults);
    case SM_FORMAT_JSONL:
        break;
    }
    return sm_fault_add(faults, SM_ERR_DOMAIN, NULL, "this report has no such format");
}
