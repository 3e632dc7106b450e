/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Ranking candidates from a program of your own: the library's calls in a loop.
 *
 *     rank DRIVE MODULE...
 *
 * With the library installed:  cc rank.c $(pkg-config --cflags --libs swapmargin) -o rank */
#include <swapmargin/compare.h>
#include <swapmargin/engine.h>
#include <swapmargin/input.h>
#include <swapmargin/report.h>

#include <stdio.h>
#include <stdlib.h>

struct row {
    const char *file;
    struct sm_candidate candidate;
};

static int by_order(const void *a, const void *b)
{
    return sm_candidate_order(&((const struct row *)a)->candidate,
                              &((const struct row *)b)->candidate);
}

/* A module that cannot be read or run stays in the list, at its end. */
static void run(const struct sm_drive *drive, const char *file, struct row *row,
                struct sm_faults *faults)
{
    struct sm_module module;
    struct sm_result result;
    struct sm_case c;
    sm_module_init(&module);
    sm_result_init(&result);
    row->file = file;
    sm_candidate_unreadable(&row->candidate);
    if (sm_module_load(file, &module, faults) == SM_OK &&
        sm_case_assemble(drive, &module, NULL, &c, faults) == SM_OK &&
        sm_run(&c, &result, faults) == SM_OK)
        sm_candidate_of(&c, &result, &row->candidate);
    sm_result_release(&result);
    sm_module_release(&module);
}

static void print(const struct row *row)
{
    static const char *const words[SM_STANDING_COUNT] = { "approve", "conditional", "reject",
                                                          "unreadable" };
    printf("%-12s", words[row->candidate.standing]);
    if (row->candidate.margin.given)
        printf("%8.3f K  ", row->candidate.margin.value);
    else
        printf("%8s    ", "-");
    printf("%s\n", row->file);
}

static void rank(const struct sm_drive *drive, char **files, size_t n, struct sm_faults *faults)
{
    struct row *rows = calloc(n, sizeof *rows);
    for (size_t i = 0; rows && i < n; i++)
        run(drive, files[i], &rows[i], faults);
    if (rows)
        qsort(rows, n, sizeof *rows, by_order);
    for (size_t i = 0; rows && i < n; i++)
        print(&rows[i]);
    free(rows);
}

int main(int argc, char **argv)
{
    struct sm_faults faults;
    struct sm_tables tables;
    struct sm_drive drive;
    sm_faults_init(&faults);
    sm_tables_init(&tables);
    sm_drive_init(&drive);
    if (argc > 2 && sm_tables_load(NULL, &tables, &faults) == SM_OK &&
        sm_drive_load(argv[1], NULL, &tables, &drive, &faults) == SM_OK)
        rank(&drive, argv + 2, (size_t)argc - 2, &faults);
    for (size_t i = 0; i < faults.count; i++) {
        struct sm_text line;
        sm_text_init(&line);
        sm_report_fault(&faults.list[i], &line);
        fprintf(stderr, "%s", line.data ? line.data : "");
        sm_text_release(&line);
    }
    const int status = argc > 2 && faults.count == 0 ? 0 : 2;
    sm_drive_release(&drive);
    sm_tables_release(&tables);
    sm_faults_release(&faults);
    return status;
}
