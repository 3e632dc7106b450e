/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where the time of a comparison goes, on one processor: reading the bytes (the floor of reading),
 * reading and checking them, computing, writing the rows.
 *
 *     compare_shares DRIVE MODULES_DIR */
#include "cmd/compare_run.h"
#include "swapmargin/engine.h"
#include "swapmargin/input.h"

#include <gsl/gsl_errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

static double now(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static size_t bytes_read(const char *file)
{
    char piece[16384];
    size_t n = 0, got = 0;
    FILE *stream = fopen(file, "r");
    if (!stream)
        return 0;
    while ((got = fread(piece, 1, sizeof piece, stream)) > 0)
        n += got;
    (void)fclose(stream);
    return n;
}

struct share {
    const char *name;
    double seconds;
};

static void print(const struct share *shares, size_t n, size_t files)
{
    double all = 0.0;
    for (size_t i = 1; i < n; i++) /* the floor is part of reading */
        all += shares[i].seconds;
    for (size_t i = 0; i < n; i++)
        (void)printf("  %-36s %8.1f us a file  %5.1f %%\n", shares[i].name,
                     1e6 * shares[i].seconds / (double)files, 100.0 * shares[i].seconds / all);
    (void)printf("  %-36s %8.1f us a file, %.0f files a second on one processor\n", "together",
                 1e6 * all / (double)files, (double)files / all);
}

static void measure(const struct sm_drive *drive, const struct file_list *files)
{
    struct share shares[] = { { "bytes only (the floor of reading)", 0.0 },
                              { "reading and checking", 0.0 },
                              { "computing", 0.0 },
                              { "the row", 0.0 } };
    size_t bytes = 0;
    struct sm_faults faults;
    sm_faults_init(&faults);
    for (size_t i = 0; i < files->n; i++) {
        struct sm_module module;
        struct sm_result result;
        struct candidate candidate;
        struct sm_case c;
        struct json_writer writer = { .status = SM_OK };
        sm_result_init(&result);
        candidate_init(&candidate);
        const double t0 = now();
        bytes += bytes_read(files->path[i]);
        const double t1 = now();
        const enum sm_status read = sm_module_load(files->path[i], &module, &faults);
        const double t2 = now();
        if (read != SM_OK || sm_case_assemble(drive, &module, NULL, &c, &faults) != SM_OK ||
            sm_run(&c, &result, &faults) != SM_OK)
            abort();
        const double t3 = now();
        candidate_of(&candidate, &c, &result);
        json_t *row = candidate_json(&writer, &candidate);
        char *line = json_dumps(row, JSON_COMPACT);
        const double t4 = now();
        shares[0].seconds += t1 - t0;
        shares[1].seconds += t2 - t1;
        shares[2].seconds += t3 - t2;
        shares[3].seconds += t4 - t3;
        free(line);
        json_decref(row);
        candidate_release(&candidate);
        sm_result_release(&result);
        sm_module_release(&module);
    }
    (void)printf("compare: %zu module files, %.1f MB\n", files->n, 1e-6 * (double)bytes);
    print(shares, sizeof shares / sizeof shares[0], files->n);
    sm_faults_release(&faults);
}

int main(int argc, char **argv)
{
    struct sm_tables tables;
    struct sm_drive drive;
    struct sm_faults faults;
    struct file_list files;
    (void)gsl_set_error_handler_off();
    sm_faults_init(&faults);
    sm_tables_init(&tables);
    sm_drive_init(&drive);
    file_list_init(&files);
    const bool ok = argc == 3 && sm_tables_load(NULL, &tables, &faults) == SM_OK &&
                    sm_drive_load(argv[1], NULL, &tables, &drive, &faults) == SM_OK &&
                    file_list_add(&files, (const char *const *)&argv[2], 1, &faults) == SM_OK &&
                    files.n > 0;
    if (ok)
        measure(&drive, &files);
    file_list_release(&files);
    sm_drive_release(&drive);
    sm_tables_release(&tables);
    sm_faults_release(&faults);
    return ok ? 0 : 1;
}
