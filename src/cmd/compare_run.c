/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/compare_run.h"

#include "base/lack.h"
#include "base/text.h"
#include "cmd/options.h"
#include "swapmargin/engine.h"
#include "swapmargin/input.h"

#include <stdlib.h>
#include <string.h>

/* Files that are computed before their rows are written: enough to keep all processors busy, few
 * enough not to be felt in memory. */
enum { BATCH = 256 };

/* Files that a thread takes at a time. */
#define SHARE 4

/* A fault as one line, without its end. */
static void fault_words(const struct sm_fault *fault, struct sm_text *out)
{
    sm_report_fault(fault, out);
    if (out->length > 0 && out->data[out->length - 1] == '\n') {
        out->data[--out->length] = '\0';
    }
}

/* What the machine lacked says nothing about the candidate: it ends the comparison. */
static void made_lacking(enum sm_status status, const struct sm_faults *faults,
                         struct compare_made *made)
{
    made->status = status;
    for (size_t i = 0; made->why.length == 0 && i < faults->count; i++) {
        if (faults->list[i].status == status) {
            fault_words(&faults->list[i], &made->why);
        }
    }
}

/* Writes the row as a line.  Lack of memory at any step is the row's status. */
static void made_write(struct compare_made *made, const struct candidate *candidate)
{
    const struct sm_candidate *numbers = &candidate->numbers;
    made->cell = (struct matrix_cell){ numbers->standing, numbers->margin, numbers->price_set };
    struct json_writer writer = { .status = SM_OK };
    json_t *row = candidate_json(&writer, candidate);
    struct sm_text text;
    sm_text_init(&text);
    json_add(&text, row, JSON_COMPACT);
    json_decref(row);
    made->line = text.data;
    made->status = text.out_of_memory || candidate->out_of_memory ? SM_ERR_MEMORY : writer.status;
}

/* What cannot be computed is a row too: unreadable, with its first fault. */
static void made_unreadable(const struct compare_job *job, size_t module, size_t drive,
                            const struct sm_faults *faults, struct compare_made *made)
{
    const char *file = job->modules->path[module];
    struct candidate candidate;
    struct sm_text words;
    candidate_init(&candidate);
    sm_text_init(&words);
    if (faults->count > 0) {
        fault_words(&faults->list[0], &words);
    }
    candidate_unreadable(&candidate, &job->drives[drive], file, text_words(&words));
    text_close(&words, &candidate.out_of_memory);
    made->key = row_key_of(&candidate.numbers, file, drive);
    made_write(made, &candidate);
    candidate_release(&candidate);
}

static void made_solve(const struct compare_job *job, size_t module, size_t drive,
                       const struct sm_module *part, struct compare_made *made)
{
    struct sm_faults faults;
    struct sm_result result;
    struct sm_case c;
    sm_faults_init(&faults);
    sm_result_init(&result);
    enum sm_status status = sm_case_assemble(&job->drives[drive], part, NULL, &c, &faults);
    if (status == SM_OK) {
        status = sm_run(&c, &result, &faults);
    }
    if (status == SM_OK) {
        struct candidate candidate;
        candidate_init(&candidate);
        candidate_of(&candidate, &c, &result);
        made->key = row_key_of(&candidate.numbers, job->modules->path[module], drive);
        made_write(made, &candidate);
        candidate_release(&candidate);
    } else if (is_lack(status)) {
        made_lacking(status, &faults, made);
    } else {
        made_unreadable(job, module, drive, &faults, made);
    }
    sm_result_release(&result);
    sm_faults_release(&faults);
}

void compare_module(const struct compare_job *job, size_t module, struct compare_made *made,
                    char **part)
{
    struct sm_faults faults;
    struct sm_module read;
    sm_faults_init(&faults);
    sm_module_init(&read);
    const enum sm_status status = sm_module_load(job->modules->path[module], &read, &faults);
    for (size_t d = 0; d < job->n_drives; d++) {
        made[d] = (struct compare_made){ .status = status };
        if (status == SM_OK) {
            made_solve(job, module, d, &read, &made[d]);
        } else if (is_lack(status)) {
            made_lacking(status, &faults, &made[d]);
        } else {
            made_unreadable(job, module, d, &faults, &made[d]);
        }
    }
    if (part) {
        const char *name = status == SM_OK ? read.part : "";
        const size_t size = strlen(name) + 1;
        *part = malloc(size);
        if (*part) {
            memcpy(*part, name, size);
        }
        for (size_t d = 0; !*part && d < job->n_drives; d++) {
            made[d].status = SM_ERR_MEMORY;
        }
    }
    sm_module_release(&read);
    sm_faults_release(&faults);
}

static enum sm_status row_add(const struct compare_made *row, struct compare_rows *rows,
                              struct sm_faults *faults)
{
    if (row->status == SM_OK && row->line) {
        return compare_rows_add(rows, &row->key, row->line, strlen(row->line), faults);
    }
    const enum sm_status broken = row->status != SM_OK ? row->status : SM_ERR_MEMORY;
    return row->why.length > 0
               ? sm_fault_add(faults, broken, NULL, "%s", row->why.data)
               : sm_fault_add(faults, broken, NULL, PROGRAM_NAME ": %s", sm_status_text(broken));
}

/* The rows of one batch go out in the order of the files. */
static enum sm_status batch_add(const struct compare_job *job, size_t first, size_t n,
                                struct compare_made *made, struct compare_rows *rows,
                                struct sm_faults *faults)
{
    enum sm_status status = SM_OK;
    for (size_t i = 0; i < n * job->n_drives; i++) {
        struct compare_made *row = &made[i];
        if (status == SM_OK) {
            status = row_add(row, rows, faults);
        }
        if (job->cells) {
            job->cells[first * job->n_drives + i] = row->cell;
        }
        free(row->line);
        sm_text_release(&row->why);
    }
    return status;
}

enum sm_status compare_run(const struct compare_job *job, struct compare_rows *rows,
                           struct sm_faults *faults)
{
    struct compare_made *made = calloc(BATCH * job->n_drives, sizeof *made);
    enum sm_status status = made ? SM_OK : SM_ERR_MEMORY;
    if (!made) {
        return memory_fault(faults);
    }
    for (size_t first = 0; status == SM_OK && first < job->modules->n; first += BATCH) {
        const size_t left = job->modules->n - first;
        const size_t n = left < BATCH ? left : BATCH;
        /* each turn writes to its own places only */
#ifdef _OPENMP
#pragma omp parallel for schedule(dynamic, SHARE)
#endif
        for (size_t i = 0; i < n; i++) {
            compare_module(job, first + i, &made[i * job->n_drives],
                           job->parts ? &job->parts[first + i] : NULL);
        }
        status = batch_add(job, first, n, made, rows, faults);
        if (job->progress) {
            job->progress(first + n, job->modules->n);
        }
    }
    free(made);
    return status;
}
