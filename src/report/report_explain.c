/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_explain.h"

#include "report/deliver.h"

static enum sm_status text_status(const struct sm_text *out, struct sm_faults *faults)
{
    return out->out_of_memory ? sm_fault_add(faults, SM_ERR_MEMORY, NULL, "out of memory") : SM_OK;
}

enum sm_status sm_report_explanation(const struct sm_explanation *explanation,
                                     enum sm_format format, const struct sm_style *style,
                                     struct sm_text *out, struct sm_faults *faults)
{
    if (format == SM_FORMAT_TEXT) {
        explain_text(explanation, style, out);
        return text_status(out, faults);
    }
    return format == SM_FORMAT_JSON ? explain_json(explanation, out, faults)
                                    : deliver_no_format(faults);
}

enum sm_status sm_report_askables(const struct sm_askables *askables, enum sm_format format,
                                  const struct sm_style *style, struct sm_text *out,
                                  struct sm_faults *faults)
{
    if (format == SM_FORMAT_TEXT) {
        askables_text(askables, style, out);
        return text_status(out, faults);
    }
    return format == SM_FORMAT_JSON ? askables_json(askables, out, faults)
                                    : deliver_no_format(faults);
}
