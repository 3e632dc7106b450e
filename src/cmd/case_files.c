/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/case_files.h"

#include "cmd/output.h"
#include "swapmargin/engine.h"

#include <string.h>

void case_files_init(struct case_files *files)
{
    sm_tables_init(&files->tables);
    sm_drive_init(&files->drive);
    sm_module_init(&files->module);
    sm_module_init(&files->original);
    files->has_original = false;
}

void case_files_release(struct case_files *files)
{
    sm_module_release(&files->original);
    sm_module_release(&files->module);
    sm_drive_release(&files->drive);
    sm_tables_release(&files->tables);
}

static enum sm_status original_load(const struct options *options, enum sm_status module,
                                    struct case_files *files, struct sm_faults *faults)
{
    const char *name = options->value[OPTION_ORIGINAL];
    files->has_original = name != NULL;
    if (!name || (module != SM_OK && strcmp(name, options->operands[1]) == 0)) {
        return SM_OK; /* the faults of that file were told */
    }
    return sm_module_load(name, &files->original, faults);
}

static enum sm_status files_look_through(const struct case_files *files, struct sm_faults *faults)
{
    const struct sm_case c = { .drive = &files->drive,
                               .module = &files->module,
                               .original = files->has_original ? &files->original : NULL };
    struct sm_warnings warnings;
    sm_warnings_init(&warnings);
    const enum sm_status status = sm_case_sanity(&c, &warnings);
    output_warnings(&warnings);
    sm_warnings_release(&warnings);
    return status == SM_OK ? SM_OK : sm_fault_add(faults, status, NULL, "out of memory");
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
    const enum sm_status original = original_load(options, module, files, faults);
    status = status != SM_OK ? status : module;
    status = status != SM_OK ? status : original;
    return status != SM_OK ? status : files_look_through(files, faults);
}

enum sm_status case_files_assemble(const struct case_files *files, struct sm_case *c,
                                   struct sm_faults *faults)
{
    return sm_case_assemble(&files->drive, &files->module,
                            files->has_original ? &files->original : NULL, c, faults);
}

enum sm_status case_files_run(const struct options *options, const struct sm_style *style,
                              struct answer *answer, struct sm_faults *faults,
                              case_function *function)
{
    struct case_files files;
    struct sm_case c;
    case_files_init(&files);
    answer->reads_operands = true;
    enum sm_status status = case_files_load(options, &files, faults);
    if (status == SM_OK) {
        status = case_files_assemble(&files, &c, faults);
    }
    if (status == SM_OK) {
        status = function(&files, &c, options, style, answer, faults);
    }
    case_files_release(&files);
    return status;
}
