/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The example drive with its good module, and logs judged for it. */
#ifndef SM_TESTS_LOG_BENCH_H
#define SM_TESTS_LOG_BENCH_H

#include "assess/log_judge.h"
#include "swapmargin/engine.h"
#include "swapmargin/input.h"

struct log_bench {
    struct sm_faults faults;
    struct sm_tables tables;
    struct sm_drive drive;
    struct sm_module module;
    struct sm_case c;
    struct sm_result result;
    struct sm_loadrun expected;
    struct sm_log log;
    struct sm_log_judgement judgement;
    struct arena arena, scratch, rows;
    struct log_model model;
};

/* Loads files, and a log; opens the model for any log of 1 to 100 Hz. */
void log_bench_open(struct log_bench *bench, const char *log);
void log_bench_close(struct log_bench *bench);

/* Judges bench->log as it is now, into bench->judgement.  The public call, and with the open model:
 * what many logs of one case take. */
void log_bench_judge(struct log_bench *bench, bool ntc_as_case);
void log_bench_judge_again(struct log_bench *bench);

/* A log without a file; rows and names are the caller's.  Nothing of it is to be released. */
struct sm_log log_made(struct sm_log_row *rows, size_t n);

/* Puts a value into a row, and its column into the header. */
void log_put(struct sm_log *log, size_t row, enum sm_log_column column, double si);

#endif
