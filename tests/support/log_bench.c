/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/log_bench.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>

static const struct heat_bounds bounds = { 1.0, 100.0, 770.0, 212.15, 574.15 };

void log_bench_open(struct log_bench *b, const char *log)
{
    sm_faults_init(&b->faults);
    sm_tables_init(&b->tables);
    sm_drive_init(&b->drive);
    sm_module_init(&b->module);
    sm_result_init(&b->result);
    sm_loadrun_init(&b->expected);
    sm_log_init(&b->log);
    sm_log_judgement_init(&b->judgement);
    arena_init(&b->arena);
    arena_init(&b->scratch);
    arena_init(&b->rows);
    (void)gsl_set_error_handler_off();
    cr_assert_eq(sm_tables_load(NULL, &b->tables, &b->faults), SM_OK);
    cr_assert_eq(sm_drive_load(SM_EXAMPLES "/drive.ini", NULL, &b->tables, &b->drive, &b->faults),
                 SM_OK);
    cr_assert_eq(sm_module_load(SM_EXAMPLES "/module-good.ini", &b->module, &b->faults), SM_OK);
    cr_assert_eq(sm_case_assemble(&b->drive, &b->module, NULL, &b->c, &b->faults), SM_OK);
    cr_assert_eq(sm_run(&b->c, &b->result, &b->faults), SM_OK);
    cr_assert_eq(sm_loadrun(&b->c, &b->result, &b->expected, &b->faults), SM_OK);
    cr_assert_eq(log_model_open(&b->arena, &b->scratch, &b->c, &bounds, &b->model), SM_OK);
    if (log)
        cr_assert_eq(sm_log_load(log, &b->log, &b->faults), SM_OK, "%s", log);
}

void log_bench_close(struct log_bench *b)
{
    arena_release(&b->rows);
    arena_release(&b->scratch);
    arena_release(&b->arena);
    sm_log_judgement_release(&b->judgement);
    sm_log_release(&b->log);
    sm_loadrun_release(&b->expected);
    sm_result_release(&b->result);
    sm_module_release(&b->module);
    sm_drive_release(&b->drive);
    sm_tables_release(&b->tables);
    sm_faults_release(&b->faults);
}

void log_bench_judge(struct log_bench *b, bool ntc_as_case)
{
    sm_log_judgement_release(&b->judgement);
    cr_assert_eq(sm_log_judge(&b->c, &b->expected, &b->log, ntc_as_case, &b->judgement, &b->faults),
                 SM_OK);
}

void log_bench_judge_again(struct log_bench *b)
{
    struct log_rows rows = {
        .arena = &b->rows, .c = &b->c, .expected = &b->expected, .log = &b->log, .model = &b->model
    };
    sm_log_judgement_release(&b->judgement);
    arena_clear(&b->rows);
    cr_assert_eq(log_judge(&rows, &b->judgement), SM_OK);
}

struct sm_log log_made(struct sm_log_row *rows, size_t n)
{
    static char name[] = "made.csv";
    struct sm_log log = { .file = name, .rows = rows, .n_rows = n };
    for (size_t i = 0; i < n; i++)
        rows[i] = (struct sm_log_row){ .line = (int)i + 2 };
    return log;
}

void log_put(struct sm_log *log, size_t row, enum sm_log_column column, double si)
{
    log->has[column] = true;
    log->rows[row].cell[column] = sm_given(si);
}
