/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The work of a comparison under plain threads: every thread computes every module file at the same
 * time as the others, all against one drive that they share.  Built with the thread sanitizer
 * (make threads), which does not understand OpenMP's own barriers, so that the loop is made here
 * of POSIX threads; what runs inside it is the same.  Ends with 1 when two threads differ.
 *
 *     compare_threads DRIVE MODULE... */
#include "cmd/compare_run.h"
#include "swapmargin/input.h"

#include <gsl/gsl_errno.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { THREADS = 4 };

struct work {
    const struct compare_job *job;
    struct compare_made *made; /* [module] */
    size_t first;              /* each thread begins elsewhere */
};

static void *work_run(void *context)
{
    struct work *work = context;
    const size_t n = work->job->modules->n;
    for (size_t i = 0; i < n; i++) {
        const size_t module = (work->first + i) % n;
        compare_module(work->job, module, &work->made[module], NULL);
    }
    return NULL;
}

static int threads_run(const struct compare_job *job)
{
    const size_t n = job->modules->n;
    struct work work[THREADS];
    pthread_t thread[THREADS];
    struct compare_made *made = calloc(THREADS * n, sizeof *made);
    int bad = made ? 0 : 1;
    for (size_t t = 0; made && t < THREADS; t++) {
        work[t] = (struct work){ job, &made[t * n], t * n / THREADS };
        if (pthread_create(&thread[t], NULL, work_run, &work[t]) != 0)
            abort();
    }
    for (size_t t = 0; made && t < THREADS; t++)
        (void)pthread_join(thread[t], NULL);
    for (size_t i = 0; made && i < THREADS * n; i++) {
        bad = bad || !made[i].line || strcmp(made[i].line, made[i % n].line) != 0;
    }
    for (size_t i = 0; made && i < THREADS * n; i++)
        free(made[i].line);
    free(made);
    return bad;
}

int main(int argc, char **argv)
{
    struct sm_tables tables;
    struct sm_drive drive;
    struct sm_faults faults;
    struct file_list modules;
    int bad = argc > 2 ? 0 : 1;
    (void)gsl_set_error_handler_off();
    sm_faults_init(&faults);
    sm_tables_init(&tables);
    sm_drive_init(&drive);
    file_list_init(&modules);
    if (!bad && sm_tables_load(NULL, &tables, &faults) == SM_OK &&
        sm_drive_load(argv[1], NULL, &tables, &drive, &faults) == SM_OK &&
        file_list_add(&modules, (const char *const *)&argv[2], (size_t)argc - 2, &faults) ==
            SM_OK) {
        const struct compare_job job = { .drives = &drive, .n_drives = 1, .modules = &modules };
        bad = threads_run(&job);
        (void)printf("%d threads, %zu modules: %s\n", THREADS, modules.n,
                     bad ? "DIFFERENT" : "the same rows");
    } else {
        bad = 1;
    }
    file_list_release(&modules);
    sm_drive_release(&drive);
    sm_tables_release(&tables);
    sm_faults_release(&faults);
    return bad;
}
