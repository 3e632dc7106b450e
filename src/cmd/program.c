/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/commands.h"

#include "base/lack.h"
#include "cmd/help.h"
#include "cmd/output.h"
#include "swapmargin/input.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* Columns of a sheet: what prints on a page and fits any terminal. */
#define SHEET_WIDTH 80

bool locale_is_utf8(const char *lc_all, const char *lc_ctype, const char *lang)
{
    const char *const candidates[] = { lc_all, lc_ctype, lang };
    for (size_t i = 0; i < sizeof candidates / sizeof candidates[0]; i++) {
        if (candidates[i] && candidates[i][0] != '\0') {
            const char *charset = strchr(candidates[i], '.');
            return charset && (strncasecmp(charset, ".utf-8", 6) == 0 ||
                               strncasecmp(charset, ".utf8", 5) == 0);
        }
    }
    return false;
}

enum exit_code faults_exit_code(const struct sm_faults *faults)
{
    if (faults->out_of_memory) {
        return EXIT_CODE_BROKEN;
    }
    for (size_t i = 0; i < faults->count; i++) {
        const enum sm_status status = faults->list[i].status;
        if (is_lack(status) || status == SM_ERR_DOMAIN) {
            return EXIT_CODE_BROKEN;
        }
    }
    return faults->count > 0 ? EXIT_CODE_WRONG : EXIT_CODE_YES;
}

/* Writes to standard output; its failure is told and is exit 3. */
static enum exit_code standard_deliver(const struct output_body *body)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    enum exit_code code = EXIT_CODE_YES;
    if (body->text->out_of_memory) {
        (void)memory_fault(&faults);
        code = EXIT_CODE_BROKEN;
    } else if (output_standard(body, &faults) != SM_OK) {
        code = EXIT_CODE_BROKEN;
    }
    output_faults(&faults);
    sm_faults_release(&faults);
    return code;
}

/* The options whose value is a file that is read. */
static const enum option_id input_options[] = { OPTION_JOINT, OPTION_ORIGINAL, OPTION_LOG };

enum { INPUT_OPTIONS = sizeof input_options / sizeof input_options[0] };

/* The files that are read in the folder of --tables. */
static const char *const table_files[] = { SM_COMPOUNDS_FILE, SM_SURFACES_FILE };

enum { TABLE_FILES = sizeof table_files / sizeof table_files[0] };

static bool tables_keep(const char *folder, struct file_list *inputs)
{
    struct sm_text path;
    bool kept = true;
    sm_text_init(&path);
    for (size_t i = 0; kept && i < TABLE_FILES; i++) {
        path.length = 0;
        sm_text_add(&path, "%s/%s", folder, table_files[i]);
        kept = !path.out_of_memory && file_list_keep(inputs, path.data);
    }
    sm_text_release(&path);
    return kept;
}

/* Every file that was read.  Returned: false without memory. */
static bool inputs_keep(const struct options *options, const struct answer *answer,
                        struct file_list *inputs)
{
    bool kept = true;
    for (size_t i = 0; kept && answer->reads_operands && i < options->n_operands; i++) {
        kept = file_list_keep(inputs, options->operands[i]) != NULL;
    }
    for (size_t i = 0; kept && i < INPUT_OPTIONS; i++) {
        const char *name = options->value[input_options[i]];
        kept = !name || file_list_keep(inputs, name);
    }
    if (kept && options->value[OPTION_TABLES]) {
        kept = tables_keep(options->value[OPTION_TABLES], inputs);
    }
    for (size_t i = 0; i < ANSWER_FOUND; i++) {
        for (size_t k = 0; kept && answer->found[i] && k < answer->found[i]->n; k++) {
            kept = file_list_keep(inputs, answer->found[i]->path[k]) != NULL;
        }
    }
    return kept;
}

/* Writes to the file of --output, which must be none of the files read. */
static enum sm_status file_deliver(const struct options *options, const struct answer *answer,
                                   struct sm_faults *faults)
{
    struct file_list inputs;
    file_list_init(&inputs);
    const enum sm_status status =
        inputs_keep(options, answer, &inputs)
            ? output_file(options_output(options),
                          &(struct output_body){ &answer->text, answer->rest },
                          (const char *const *)inputs.path, inputs.n, faults)
            : memory_fault(faults);
    file_list_release(&inputs);
    return status;
}

static enum exit_code answer_deliver(const struct options *options, const struct answer *answer,
                                     struct sm_faults *faults)
{
    if (options_output(options)) {
        (void)file_deliver(options, answer, faults);
        return faults->count == 0 ? answer->code : faults_exit_code(faults);
    }
    const enum exit_code code =
        standard_deliver(&(struct output_body){ &answer->text, answer->rest });
    return code == EXIT_CODE_YES ? answer->code : code;
}

static enum exit_code command_deliver(const struct options *options, struct sm_faults *faults)
{
    const struct sm_style style = {
        .utf8 = locale_is_utf8(getenv("LC_ALL"), getenv("LC_CTYPE"), getenv("LANG")),
        .width = SHEET_WIDTH,
    };
    struct answer answer = { .code = EXIT_CODE_BROKEN };
    sm_text_init(&answer.text);
    enum sm_status status = command_run(options, &style, &answer, faults);
    if (status == SM_OK && answer.text.out_of_memory) {
        status = SM_ERR_MEMORY;
    }
    if (status != SM_OK && faults->count == 0 && !faults->out_of_memory) {
        (void)sm_fault_add(faults, status, NULL, PROGRAM_NAME ": %s", sm_status_text(status));
    }
    enum exit_code code = EXIT_CODE_BROKEN;
    if (status != SM_OK || faults->count > 0) {
        code = faults_exit_code(faults);
    } else {
        code = answer_deliver(options, &answer, faults);
    }
    if (answer.release) {
        answer.release(answer.rest.context);
    }
    sm_text_release(&answer.text);
    return code;
}

/* --help, --version, or a line without a command: usage. */
static enum exit_code usage_deliver(const struct options *options)
{
    struct sm_text text;
    sm_text_init(&text);
    enum exit_code code = EXIT_CODE_WRONG;
    if (options->given[OPTION_HELP]) {
        help_add(&text, options->command);
        code = standard_deliver(&(struct output_body){ .text = &text });
    } else if (options->given[OPTION_VERSION]) {
        help_version(&text);
        code = standard_deliver(&(struct output_body){ .text = &text });
    } else {
        help_usage(&text);
        output_error(&text);
        code = text.out_of_memory ? EXIT_CODE_BROKEN : code;
    }
    sm_text_release(&text);
    return code;
}

enum exit_code program_run(int argc, char **argv)
{
    struct sm_faults faults;
    struct options options;
    sm_faults_init(&faults);
    options_init(&options);
    enum exit_code code = EXIT_CODE_WRONG;
    if (options_parse(argc, argv, &options, &faults) != SM_OK) {
        code = faults_exit_code(&faults);
    } else if (options.command == COMMAND_NONE || options.given[OPTION_HELP] ||
               options.given[OPTION_VERSION]) {
        code = usage_deliver(&options);
    } else {
        code = command_deliver(&options, &faults);
    }
    output_faults(&faults);
    options_release(&options);
    sm_faults_release(&faults);
    return code;
}
