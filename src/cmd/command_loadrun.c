/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/case_files.h"
#include "cmd/command_functions.h"
#include "report/report_loadrun.h"
#include "swapmargin/engine.h"

static enum sm_status loadrun_run(const struct case_files *files, const struct options *options,
                                  const struct sm_style *style, struct answer *answer,
                                  struct sm_faults *faults)
{
    struct sm_case c;
    struct sm_result result;
    struct sm_loadrun loadrun;
    struct sm_network network;
    enum sm_status status = case_files_assemble(files, &c, faults);
    if (status != SM_OK) {
        return status;
    }
    sm_result_init(&result);
    sm_loadrun_init(&loadrun);
    sm_network_init(&network);
    status = sm_run(&c, &result, faults);
    if (status == SM_OK) {
        status = sm_loadrun(&c, &result, &loadrun, faults);
    }
    if (status == SM_OK) {
        status = sm_network(&c, &result, &network, faults);
    }
    if (status == SM_OK) {
        const struct loadrun_page page = { &c, &result, &loadrun, &network };
        answer->code = result.verdict == SM_REJECT ? EXIT_CODE_NO : EXIT_CODE_YES;
        status = report_loadrun(&page, options->format, style, &answer->text, faults);
    }
    sm_network_release(&network);
    sm_loadrun_release(&loadrun);
    sm_result_release(&result);
    return status;
}

enum sm_status command_loadrun(const struct options *options, const struct sm_style *style,
                               struct answer *answer, struct sm_faults *faults)
{
    struct case_files files;
    case_files_init(&files);
    answer->reads_operands = true;
    enum sm_status status = case_files_load(options, &files, faults);
    if (status == SM_OK) {
        status = loadrun_run(&files, options, style, answer, faults);
    }
    case_files_release(&files);
    return status;
}
