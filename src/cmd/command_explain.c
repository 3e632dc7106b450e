/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/case_files.h"
#include "cmd/command_functions.h"

#include "swapmargin/explain.h"

static enum sm_status list_run(const struct sm_case *c, const struct options *options,
                               const struct sm_style *style, struct answer *answer,
                               struct sm_faults *faults)
{
    struct sm_askables askables;
    sm_askables_init(&askables);
    enum sm_status status = sm_explain_list(c, &askables, faults);
    if (status == SM_OK) {
        status = sm_report_askables(&askables, options->format, style, &answer->text, faults);
    }
    sm_askables_release(&askables);
    return status;
}

static enum sm_status explain_run(const struct case_files *files, const struct sm_case *c,
                                  const struct options *options, const struct sm_style *style,
                                  struct answer *answer, struct sm_faults *faults)
{
    struct sm_explanation explanation;
    (void)files;
    answer->code = EXIT_CODE_YES;
    if (options->n_operands < 3) {
        return list_run(c, options, style, answer, faults);
    }
    sm_explanation_init(&explanation);
    enum sm_status status = sm_explain(c, options->operands[2], &explanation, faults);
    if (status == SM_OK) {
        status = sm_report_explanation(&explanation, options->format, style, &answer->text, faults);
    }
    sm_explanation_release(&explanation);
    return status;
}

enum sm_status command_explain(const struct options *options, const struct sm_style *style,
                               struct answer *answer, struct sm_faults *faults)
{
    return case_files_run(options, style, answer, faults, explain_run);
}
