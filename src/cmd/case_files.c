/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/case_files.h"

void case_files_init(struct case_files *files)
{
    sm_tables_init(&files->tables);
    sm_drive_init(&files->drive);
    sm_module_init(&files->module);
}

void case_files_release(struct case_files *files)
{
    sm_module_release(&files->module);
    sm_drive_release(&files->drive);
    sm_tables_release(&files->tables);
}

enum sm_status case_files_load(const struct options *options, struct case_files *files,
                               struct sm_faults *faults)
{
    enum sm_status status = sm_tables_load(options->value[OPTION_TABLES], &files->tables, faults);
    if (status == SM_OK) {
        status = sm_drive_load(options->operands[0], options->value[OPTION_JOINT], &files->tables,
                               &files->drive, faults);
    }
    const enum sm_status module = sm_module_load(options->operands[1], &files->module, faults);
    return status != SM_OK ? status : module;
}
