/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/case_files.h"
#include "cmd/command_functions.h"
#include "cmd/options.h"
#include "report/report_loadrun.h"
#include "swapmargin/engine.h"

/* What is worked out, and of what. */
struct loadrun_work {
    struct sm_result result;
    struct sm_loadrun loadrun;
    struct sm_network network;
    struct sm_log log;
    struct sm_log_judgement judgement;
};

static void work_init(struct loadrun_work *work)
{
    sm_result_init(&work->result);
    sm_loadrun_init(&work->loadrun);
    sm_network_init(&work->network);
    sm_log_init(&work->log);
    sm_log_judgement_init(&work->judgement);
}

static void work_release(struct loadrun_work *work)
{
    sm_log_judgement_release(&work->judgement);
    sm_log_release(&work->log);
    sm_network_release(&work->network);
    sm_loadrun_release(&work->loadrun);
    sm_result_release(&work->result);
}

static enum sm_status work_do(struct loadrun_work *work, const struct sm_case *c,
                              const struct options *options, struct sm_faults *faults)
{
    enum sm_status status = sm_run(c, &work->result, faults);
    if (status == SM_OK) {
        status = sm_loadrun(c, &work->result, &work->loadrun, faults);
    }
    if (status == SM_OK) {
        status = sm_network(c, &work->result, &work->network, faults);
    }
    if (status == SM_OK && options->given[OPTION_LOG]) {
        status = sm_log_judge(c, &work->loadrun, &work->log, options->given[OPTION_NTC_AS_CASE],
                              &work->judgement, faults);
    }
    return status;
}

static enum sm_status loadrun_run(const struct sm_case *c, struct loadrun_work *work,
                                  const struct options *options, const struct sm_style *style,
                                  struct answer *answer, struct sm_faults *faults)
{
    const struct log_page log = { &work->log, &work->judgement };
    const struct loadrun_page page = { c, &work->result, &work->loadrun, &work->network,
                                       options->given[OPTION_LOG] ? &log : NULL };
    const enum sm_status status = work_do(work, c, options, faults);
    if (status != SM_OK) {
        return status;
    }
    answer->code = work->result.verdict == SM_REJECT || sm_log_is_bad(&work->judgement)
                       ? EXIT_CODE_NO
                       : EXIT_CODE_YES;
    return report_loadrun(&page, options->format, style, &answer->text, faults);
}

static enum sm_status options_check(const struct options *options, struct sm_faults *faults)
{
    static const struct sm_place place = { .file = PROGRAM_NAME };
    if (options->given[OPTION_NTC_AS_CASE] && !options->given[OPTION_LOG]) {
        return sm_fault_add(faults, SM_ERR_KEY, &place,
                            "'--ntc-as-case' does nothing without '--log'");
    }
    return SM_OK;
}

/* Every file is read, so that every fault is told. */
static enum sm_status files_load(const struct options *options, struct case_files *files,
                                 struct loadrun_work *work, struct sm_faults *faults)
{
    const enum sm_status status = case_files_load(options, files, faults);
    const enum sm_status log = options->given[OPTION_LOG]
                                   ? sm_log_load(options->value[OPTION_LOG], &work->log, faults)
                                   : SM_OK;
    return status != SM_OK ? status : log;
}

enum sm_status command_loadrun(const struct options *options, const struct sm_style *style,
                               struct answer *answer, struct sm_faults *faults)
{
    struct case_files files;
    struct loadrun_work work;
    struct sm_case c;
    case_files_init(&files);
    work_init(&work);
    answer->reads_operands = true;
    enum sm_status status = options_check(options, faults);
    if (status == SM_OK) {
        status = files_load(options, &files, &work, faults);
    }
    if (status == SM_OK) {
        status = case_files_assemble(&files, &c, faults);
    }
    if (status == SM_OK) {
        status = loadrun_run(&c, &work, options, style, answer, faults);
    }
    work_release(&work);
    case_files_release(&files);
    return status;
}
