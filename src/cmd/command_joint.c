/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/case_files.h"
#include "cmd/command_functions.h"
#include "report/report_joint.h"

#include <stdlib.h>

/* The compound table as the study wants it. */
static struct sm_joint_compound *compounds_make(const struct sm_tables *tables)
{
    struct sm_joint_compound *list = calloc(tables->n_compounds + 1, sizeof *list);
    for (size_t i = 0; list && i < tables->n_compounds; i++) {
        list[i] = (struct sm_joint_compound){ tables->compounds[i].name,
                                              tables->compounds[i].conductivity };
    }
    return list;
}

static enum sm_status joint_run(const struct case_files *files, const struct sm_case *c,
                                const struct options *options, const struct sm_style *style,
                                struct answer *answer, struct sm_faults *faults)
{
    struct sm_joint_study study;
    struct sm_joint_compound *compounds = compounds_make(&files->tables);
    if (!compounds) {
        return memory_fault(faults);
    }
    sm_joint_init(&study);
    enum sm_status status = sm_joint(c, compounds, files->tables.n_compounds, &study, faults);
    if (status == SM_OK) {
        const struct joint_page page = { c, &study, compounds };
        answer->code = joint_keeps(&page) ? EXIT_CODE_YES : EXIT_CODE_NO;
        status = report_joint(&page, options->format, style, &answer->text, faults);
    }
    sm_joint_release(&study);
    free(compounds);
    return status;
}

enum sm_status command_joint(const struct options *options, const struct sm_style *style,
                             struct answer *answer, struct sm_faults *faults)
{
    return case_files_run(options, style, answer, faults, joint_run);
}
