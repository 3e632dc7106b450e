/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/commands.h"

#include "swapmargin/engine.h"
#include "swapmargin/input.h"

#include <string.h>

/* Everything that a check reads. */
struct check_files {
    struct sm_tables tables;
    struct sm_drive drive;
    struct sm_module module;
};

static void files_init(struct check_files *files)
{
    sm_tables_init(&files->tables);
    sm_drive_init(&files->drive);
    sm_module_init(&files->module);
}

static void files_release(struct check_files *files)
{
    sm_module_release(&files->module);
    sm_drive_release(&files->drive);
    sm_tables_release(&files->tables);
}

/* Reads all files, so that all their faults are told at once; the drive only where the tables it is
 * judged by could be read. */
static enum sm_status files_load(const struct options *options, struct check_files *files,
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

static enum exit_code verdict_code(enum sm_verdict verdict, bool strict)
{
    const bool yes = verdict == SM_APPROVE || (verdict == SM_CONDITIONAL && !strict);
    return yes ? EXIT_CODE_YES : EXIT_CODE_NO;
}

static enum sm_status check_run(const struct check_files *files, const struct options *options,
                                const struct sm_style *style, struct answer *answer,
                                struct sm_faults *faults)
{
    struct sm_case c;
    struct sm_result result;
    enum sm_status status = sm_case_assemble(&files->drive, &files->module, NULL, &c, faults);
    if (status != SM_OK) {
        return status;
    }
    sm_result_init(&result);
    status = sm_run(&c, &result, faults);
    if (status == SM_OK) {
        answer->code = verdict_code(result.verdict, options->given[OPTION_STRICT]);
        status = sm_report_check(&c, &result, options->format, style, &answer->text, faults);
    }
    sm_result_release(&result);
    return status;
}

static enum sm_status command_check(const struct options *options, const struct sm_style *style,
                                    struct answer *answer, struct sm_faults *faults)
{
    struct check_files files;
    files_init(&files);
    answer->reads_operands = true;
    enum sm_status status = files_load(options, &files, faults);
    if (status == SM_OK) {
        status = check_run(&files, options, style, answer, faults);
    }
    files_release(&files);
    return status;
}

/* The kinds of blank files. */
static const char *const template_words[] = {
    [SM_TEMPLATE_DRIVE] = "drive",
    [SM_TEMPLATE_MODULE] = "module",
    [SM_TEMPLATE_JOINT] = "joint",
};

enum { TEMPLATE_COUNT = sizeof template_words / sizeof template_words[0] };

static enum sm_status command_template(const struct options *options, const struct sm_style *style,
                                       struct answer *answer, struct sm_faults *faults)
{
    (void)style;
    const char *word = options->operands[0];
    answer->code = EXIT_CODE_YES;
    for (size_t i = 0; i < TEMPLATE_COUNT; i++) {
        if (strcmp(word, template_words[i]) == 0) {
            return sm_template((enum sm_template_kind)i, &answer->text);
        }
    }
    return options_unknown(faults, "unknown template", word, template_words, TEMPLATE_COUNT);
}

typedef enum sm_status command_function(const struct options *options, const struct sm_style *style,
                                        struct answer *answer, struct sm_faults *faults);

enum sm_status command_run(const struct options *options, const struct sm_style *style,
                           struct answer *answer, struct sm_faults *faults)
{
    static command_function *const functions[COMMAND_COUNT] = {
        [COMMAND_CHECK] = command_check,
        [COMMAND_TEMPLATE] = command_template,
    };
    return functions[options->command](options, style, answer, faults);
}
