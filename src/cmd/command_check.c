/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/case_files.h"
#include "cmd/check_curves.h"
#include "cmd/command_functions.h"

#include "swapmargin/engine.h"

static enum exit_code verdict_code(enum sm_verdict verdict, bool strict)
{
    const bool yes = verdict == SM_APPROVE || (verdict == SM_CONDITIONAL && !strict);
    return yes ? EXIT_CODE_YES : EXIT_CODE_NO;
}

static enum sm_status report(const struct sm_case *c, const struct sm_result *result,
                             const struct options *options, const struct sm_style *style,
                             struct answer *answer, struct sm_faults *faults)
{
    if (options->format != SM_FORMAT_HTML) {
        return sm_report_check(c, result, options->format, style, &answer->text, faults);
    }
    struct check_curves curves;
    check_curves_init(&curves);
    enum sm_status status = check_curves_gather(&curves, c, result, faults);
    if (status == SM_OK) {
        status = sm_report_check_page(c, result, &curves.drawn, &answer->text, faults);
    }
    check_curves_release(&curves);
    return status;
}

static enum sm_status check_run(const struct case_files *files, const struct sm_case *c,
                                const struct options *options, const struct sm_style *style,
                                struct answer *answer, struct sm_faults *faults)
{
    struct sm_result result;
    (void)files;
    sm_result_init(&result);
    enum sm_status status = sm_run(c, &result, faults);
    if (status == SM_OK) {
        status = sm_run_limits(c, &result, faults);
    }
    if (status == SM_OK) {
        answer->code = verdict_code(result.verdict, options->given[OPTION_STRICT]);
        status = report(c, &result, options, style, answer, faults);
    }
    sm_result_release(&result);
    return status;
}

enum sm_status command_check(const struct options *options, const struct sm_style *style,
                             struct answer *answer, struct sm_faults *faults)
{
    return case_files_run(options, style, answer, faults, check_run);
}
