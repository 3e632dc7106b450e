/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/case_files.h"
#include "cmd/command_functions.h"

#include "swapmargin/engine.h"

static enum exit_code verdict_code(enum sm_verdict verdict, bool strict)
{
    const bool yes = verdict == SM_APPROVE || (verdict == SM_CONDITIONAL && !strict);
    return yes ? EXIT_CODE_YES : EXIT_CODE_NO;
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
        status = sm_report_check(c, &result, options->format, style, &answer->text, faults);
    }
    sm_result_release(&result);
    return status;
}

enum sm_status command_check(const struct options *options, const struct sm_style *style,
                             struct answer *answer, struct sm_faults *faults)
{
    return case_files_run(options, style, answer, faults, check_run);
}
