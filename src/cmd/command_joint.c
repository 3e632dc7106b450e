/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/case_files.h"
#include "cmd/check_curves.h"
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

/* A page draws the margin over the layer's thickness. */
static enum sm_status report(struct joint_page *page, const struct options *options,
                             const struct sm_style *style, struct answer *answer,
                             struct sm_faults *faults)
{
    struct sm_sweep sweep;
    enum sm_status status = SM_OK;
    sm_sweep_init(&sweep);
    if (options->format == SM_FORMAT_HTML) {
        status =
            check_curves_thickness(page->c, &page->study->result, &sweep, &page->thickness, faults);
    }
    if (status == SM_OK) {
        status = report_joint(page, options->format, style, &answer->text, faults);
    }
    sm_sweep_release(&sweep);
    return status;
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
        struct joint_page page = { c, &study, compounds, NULL };
        answer->code = joint_keeps(&page) ? EXIT_CODE_YES : EXIT_CODE_NO;
        status = report(&page, options, style, answer, faults);
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
