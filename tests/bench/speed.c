/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How fast the library call is, how exact, and what plainer ways cost.
 *
 *   speed PROGRAM PYTHON SCRIPT DRIVE MODULE...   the tables
 *   speed run COUNT DRIVE MODULE                  COUNT calls and nothing else, for a profiler
 *
 * Speed is measured here and asserted nowhere. */
#include "speed_child.h"
#include "speed_grid.h"
#include "speed_memory.h"
#include "swapmargin/engine.h"
#include "swapmargin/input.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define KELVIN 273.15     /* K at 0 degC */
#define BATCH 0.03        /* s  of calls between two looks at the clock */
#define MEGABYTE 1048576. /* byte */

enum { MOST_MODULES = 8, MOST_POINTS = 16, BATCHES = 9, FINEST = 36000, CHILD_RUNS = 200 };

struct bench {
    struct sm_tables tables;
    struct sm_drive drive, plain; /* plain: the same without an overload */
    struct sm_module module[MOST_MODULES];
    struct sm_result result[MOST_MODULES];
    struct grid_point exact[MOST_MODULES][MOST_POINTS];
    int n_modules;
    struct sm_faults faults;
};

static void stop(const char *why)
{
    (void)fprintf(stderr, "speed: %s\n", why);
    exit(EXIT_FAILURE);
}

/* s of this process on a processor. */
static double cpu(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* ------------------------------------------------------------- reading */

static void bench_load(struct bench *b, const char *drive, char *const *modules, int n)
{
    sm_faults_init(&b->faults);
    sm_tables_init(&b->tables);
    sm_drive_init(&b->drive);
    if (sm_tables_load(NULL, &b->tables, &b->faults) != SM_OK ||
        sm_drive_load(drive, NULL, &b->tables, &b->drive, &b->faults) != SM_OK)
        stop("the drive cannot be read");
    if (n > MOST_MODULES || b->drive.test.frequencies.n > MOST_POINTS)
        stop("too many modules or frequencies");
    for (b->n_modules = 0; b->n_modules < n; b->n_modules++) {
        struct sm_module *module = &b->module[b->n_modules];
        sm_module_init(module);
        if (sm_module_load(modules[b->n_modules], module, &b->faults) != SM_OK)
            stop("a module cannot be read");
    }
    b->plain = b->drive;
    b->plain.rating.overload_current.given = false;
}

static void bench_release(struct bench *b)
{
    for (int i = 0; i < b->n_modules; i++)
        sm_module_release(&b->module[i]);
    sm_drive_release(&b->drive);
    sm_tables_release(&b->tables);
    sm_faults_release(&b->faults);
}

/* -------------------------------------------------------------- engine */

static struct sm_case case_of(struct bench *b, const struct sm_drive *drive, int i)
{
    struct sm_case c;
    if (sm_case_assemble(drive, &b->module[i], NULL, &c, &b->faults) != SM_OK)
        stop("a module does not go with the drive");
    return c;
}

static void call(struct bench *b, const struct sm_case *c, struct sm_result *result)
{
    sm_result_init(result);
    if (sm_run(c, result, &b->faults) != SM_OK)
        stop("a case does not settle");
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* s of one call; the median of several batches. */
static double call_seconds(struct bench *b, const struct sm_case *c)
{
    double seconds[BATCHES];
    for (int k = 0; k < BATCHES; k++) {
        const double start = cpu();
        int calls = 0;
        for (; cpu() - start < BATCH; calls++) {
            struct sm_result result;
            call(b, c, &result);
            sm_result_release(&result);
        }
        seconds[k] = (cpu() - start) / calls;
    }
    qsort(seconds, BATCHES, sizeof seconds[0], by_size);
    return seconds[BATCHES / 2];
}

/* --------------------------------------------------------- other ways */

static double worse(double error, double got, double exact)
{
    return fmax(error, fabs(got - exact));
}

/* s for one candidate on a grid of n points; its error against the finest one, which it sets. */
static double grid_seconds(struct bench *b, int i, size_t n, double *error)
{
    const struct sm_case c = case_of(b, &b->plain, i);
    const double start = cpu();
    for (size_t p = 0; p < b->result[i].n_points; p++) {
        struct grid_point got;
        if (!grid_solve(&c, &b->result[i], &b->result[i].points[p], n, &got))
            stop("a case that the grid does not cover");
        if (n == FINEST)
            b->exact[i][p] = got;
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            *error = worse(*error, got.tvj_max[k], b->exact[i][p].tvj_max[k]);
    }
    return cpu() - start;
}

static double numpy_seconds(struct bench *b, int i, char *const *args, double *error)
{
    char command[2048];
    double seconds = 0.0;
    (void)snprintf(command, sizeof command, "'%s' -B '%s' '%s' '%s'", args[1], args[2], args[3],
                   args[4 + i]);
    FILE *from = popen(command, "r");
    if (!from || fscanf(from, "%lf", &seconds) != 1)
        stop("the Python script does not run");
    for (size_t p = 0; p < b->result[i].n_points; p++)
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            double celsius = 0.0;
            if (fscanf(from, "%lf", &celsius) != 1)
                stop("the Python script tells too little");
            *error = worse(*error, celsius + KELVIN, b->exact[i][p].tvj_max[k]);
        }
    if (pclose(from) != 0)
        stop("the Python script failed");
    return seconds;
}

/* -------------------------------------------------------------- tables */

static void row(const char *name, double seconds, double error)
{
    (void)printf("  %-44s %12.4f %12.1f %9.5f\n", name, 1e3 * seconds, 1.0 / seconds, error);
}

static void tell_grids(struct bench *b)
{
    static const size_t sizes[] = { FINEST, 3600, 1200, 360, 120 };
    for (size_t s = 0; s < sizeof sizes / sizeof sizes[0]; s++) {
        char name[64];
        double error = 0.0, seconds = 0.0;
        for (int i = 0; i < b->n_modules; i++)
            seconds += grid_seconds(b, i, sizes[s], &error) / b->n_modules;
        (void)snprintf(name, sizeof name, "uniform grid in C, %zu points a cycle", sizes[s]);
        row(name, seconds, error);
    }
}

static void tell_numpy(struct bench *b, char *const *args)
{
    double error = 0.0, seconds = 0.0;
    for (int i = 0; i < b->n_modules; i++)
        seconds += numpy_seconds(b, i, args, &error) / b->n_modules;
    row("NumPy, frequency domain, 36000 points", seconds, error);
}

static void tell_engine(struct bench *b, const char *name, const struct sm_drive *drive)
{
    double error = 0.0, seconds = 0.0;
    for (int i = 0; i < b->n_modules; i++) {
        const struct sm_case c = case_of(b, drive, i);
        seconds += call_seconds(b, &c) / b->n_modules;
        for (size_t p = 0; p < b->result[i].n_points; p++)
            for (int k = 0; k < SM_CHIP_COUNT; k++)
                error =
                    worse(error, b->result[i].points[p].chip[k].tvj_max, b->exact[i][p].tvj_max[k]);
    }
    row(name, seconds, error);
}

static void tell_memory(struct bench *b)
{
    const struct sm_case c = case_of(b, &b->drive, 0);
    struct sm_result result;
    const struct memory_count before = memory_counted();
    call(b, &c, &result);
    const struct memory_count after = memory_counted();
    sm_result_release(&result);
    (void)printf("\nOne sm_run(): %zu allocations, %.1f kB asked for.\n",
                 after.calls - before.calls, (double)(after.bytes - before.bytes) / 1e3);
}

static void tell_process(char *const *args)
{
    char *const argv[] = { args[0], (char[]){ "check" }, args[3], args[4], NULL };
    struct child_runs runs;
    if (!child_measure(argv, CHILD_RUNS, &runs))
        stop("the program does not run");
    (void)printf(
        "The program, `check DRIVE MODULE`, %d runs: %.2f ms at the least, %.2f ms median,\n"
        "%.1f MB resident at the most.\n",
        CHILD_RUNS, 1e3 * runs.shortest, 1e3 * runs.median, runs.peak / MEGABYTE);
}

static int tell_all(struct bench *b, char *const *args)
{
    for (int i = 0; i < b->n_modules; i++) {
        const struct sm_case c = case_of(b, &b->drive, i);
        call(b, &c, &b->result[i]);
        if (b->result[i].runaway)
            stop("a module without equilibrium has no error to tell");
    }
    tell_process(args); /* first: a child's peak starts at what this process has */
    (void)printf(
        "\nOne candidate at the drive's %zu test frequencies, %d modules, one core.  Error: "
        "of any\nhighest junction temperature, against the finest grid.\n\n",
        b->drive.test.frequencies.n, b->n_modules);
    (void)printf("  %-44s %12s %12s %9s\n", "", "ms", "a second", "error K");
    tell_grids(b);
    tell_numpy(b, args);
    tell_engine(b, "sm_run()", &b->drive);
    tell_engine(b, "sm_run(), drive without an overload", &b->plain);
    tell_memory(b);
    for (int i = 0; i < b->n_modules; i++)
        sm_result_release(&b->result[i]);
    return EXIT_SUCCESS;
}

static int run_only(struct bench *b, long count)
{
    const struct sm_case c = case_of(b, &b->drive, 0);
    for (long k = 0; k < count; k++) {
        struct sm_result result;
        call(b, &c, &result);
        sm_result_release(&result);
    }
    return EXIT_SUCCESS;
}

int main(int argc, char **argv)
{
    static struct bench bench;
    const bool only = argc == 5 && strcmp(argv[1], "run") == 0;
    if (!only && argc < 6)
        stop("usage: speed PROGRAM PYTHON SCRIPT DRIVE MODULE... | speed run COUNT DRIVE MODULE");
    char *const *files = only ? argv + 3 : argv + 4;
    bench_load(&bench, files[0], files + 1, (int)(argc - (files + 1 - argv)));
    const int status =
        only ? run_only(&bench, strtol(argv[2], NULL, 10)) : tell_all(&bench, argv + 1);
    bench_release(&bench);
    return status;
}
