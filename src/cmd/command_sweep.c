/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/case_files.h"
#include "cmd/command_functions.h"

#include "swapmargin/sweep.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Digits of the longest number of steps that is read at all. */
enum { STEPS_DIGITS = 6 };

/* Bytes of an option with its dashes. */
enum { OPTION_SPELLED = 32 };

/* As it is typed; spelled: room for it. */
static struct sm_place option_place(enum option_id id, char spelled[OPTION_SPELLED])
{
    (void)snprintf(spelled, OPTION_SPELLED, "--%s", option_row(id)->name);
    return (struct sm_place){ .file = PROGRAM_NAME, .key = spelled };
}

/* Whether an option that the command cannot do without is there. */
static bool option_needed(const struct options *options, enum option_id id,
                          struct sm_faults *faults)
{
    const struct sm_place place = { .file = PROGRAM_NAME };
    if (!options->value[id]) {
        (void)sm_fault_add(faults, SM_ERR_VALUE, &place, "'%s' needs --%s %s: %s",
                           command_row(options->command)->name, option_row(id)->name,
                           option_row(id)->argument, option_row(id)->help);
    }
    return options->value[id] != NULL;
}

static bool over_read(const struct options *options, enum sm_sweep_over *over,
                      struct sm_faults *faults)
{
    const char *words[SM_SWEEP_COUNT];
    for (size_t i = 0; i < SM_SWEEP_COUNT; i++) {
        words[i] = sm_sweep_quantity((enum sm_sweep_over)i)->name;
    }
    if (!option_needed(options, OPTION_OVER, faults)) {
        return false;
    }
    const size_t i = options_word(faults, "cannot sweep over", options->value[OPTION_OVER], words,
                                  SM_SWEEP_COUNT);
    *over = (enum sm_sweep_over)i;
    return i < SM_SWEEP_COUNT;
}

/* A value as an INI file would have it.  What unit it needs is known with `--over` only. */
static void end_read(const struct options *options, enum option_id id, bool over_known,
                     enum sm_sweep_over over, double *value, struct sm_faults *faults)
{
    char spelled[OPTION_SPELLED];
    const struct sm_place place = option_place(id, spelled);
    if (option_needed(options, id, faults) && over_known) {
        (void)sm_quantity_parse(options->value[id], sm_sweep_quantity(over)->dimension, &place,
                                value, faults);
    }
}

static void steps_read(const struct options *options, size_t *steps, struct sm_faults *faults)
{
    char spelled[OPTION_SPELLED];
    const struct sm_place place = option_place(OPTION_STEPS, spelled);
    if (!option_needed(options, OPTION_STEPS, faults)) {
        return;
    }
    const char *typed = options->value[OPTION_STEPS];
    const size_t digits = strspn(typed, "0123456789");
    if (digits == 0 || digits > STEPS_DIGITS || typed[digits] != '\0') {
        (void)sm_fault_add(faults, SM_ERR_VALUE, &place,
                           "'%s' is not a number of rows; expected a whole number, %d to %d", typed,
                           SM_SWEEP_FEWEST, SM_SWEEP_MOST);
        return;
    }
    *steps = strtoul(typed, NULL, 10);
}

static void spacing_read(const struct options *options, bool *logarithmic, struct sm_faults *faults)
{
    static const char *const words[] = { "even", "log" };
    const char *typed = options->value[OPTION_SPACING];
    *logarithmic = typed && options_word(faults, "unknown spacing", typed, words, 2) == 1;
}

/* What of a plan can be read without the files. */
static enum sm_status plan_read(const struct options *options, struct sm_sweep_plan *plan,
                                struct sm_faults *faults)
{
    const size_t before = faults->count;
    const bool known = over_read(options, &plan->over, faults);
    end_read(options, OPTION_FROM, known, plan->over, &plan->from, faults);
    end_read(options, OPTION_TO, known, plan->over, &plan->to, faults);
    steps_read(options, &plan->steps, faults);
    spacing_read(options, &plan->logarithmic, faults);
    if (faults->out_of_memory) {
        return SM_ERR_MEMORY;
    }
    return faults->count > before ? faults->list[before].status : SM_OK;
}

static enum sm_status sweep_run(const struct case_files *files, const struct sm_sweep_plan *plan,
                                struct sm_sweep *sweep, struct sm_case *c, struct sm_faults *faults)
{
    const enum sm_status status = sm_case_assemble(&files->drive, &files->module, NULL, c, faults);
    return status == SM_OK ? sm_sweep(c, plan, sweep, faults) : status;
}

enum sm_status command_sweep(const struct options *options, const struct sm_style *style,
                             struct answer *answer, struct sm_faults *faults)
{
    struct sm_sweep_plan plan = { 0 };
    struct case_files files;
    struct sm_sweep sweep;
    struct sm_case c;
    case_files_init(&files);
    sm_sweep_init(&sweep);
    answer->reads_operands = true;
    answer->code = EXIT_CODE_YES;
    /* the faults of the line and of all files are told at once */
    const enum sm_status planned = plan_read(options, &plan, faults);
    enum sm_status status = case_files_load(options, &files, faults);
    status = planned != SM_OK ? planned : status;
    if (status == SM_OK) {
        status = sweep_run(&files, &plan, &sweep, &c, faults);
    }
    if (status == SM_OK) {
        status = sm_report_sweep(&c, &sweep, options->format, style, &answer->text, faults);
    }
    sm_sweep_release(&sweep);
    case_files_release(&files);
    return status;
}
