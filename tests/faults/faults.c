/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tries what happens when something goes wrong that no test file can bring about.
 * Use: faults PROGRAM INJECTOR EXAMPLES TABLES JOBS [--all] [memory|calls|kills|hostile]
 * Exit status: 0 nothing found, 1 findings, 2 the trial itself failed. */
#define _GNU_SOURCE /* NOLINT(bugprone-reserved-identifier): as the other files here */

#include "faults/trial.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

static const struct part {
    const char *name;
    void (*run)(struct bench *, unsigned, unsigned);
} parts[] = {
    { "hostile", try_hostile },
    { "calls", try_calls },
    { "kills", try_kills },
    { "memory", try_memory },
};

enum { PARTS = sizeof parts / sizeof parts[0], MOST_JOBS = 64 };

struct asked {
    const char *program, *injector, *examples, *tables;
    unsigned jobs;
    bool all;
    const char *only; /* a part's name, or NULL */
};

/* Files that commands here read: copies, as some are made to vanish. */
static void files_make(const struct asked *asked)
{
    char line[8 * PAGE_NAME];
    (void)snprintf(line, sizeof line,
                   "cp -R '%s' examples && cp -R '%s' tables && mkdir drives && "
                   "cp examples/drive*.ini drives && "
                   "'%s' compare examples/drive.ini examples --format jsonl >rows.jsonl",
                   asked->examples, asked->tables, asked->program);
    must(system(line) == 0, line); /* NOLINT(cert-env33-c): a fixed command */
}

/* One process's share of everything. */
static int share_run(const struct asked *asked, unsigned share)
{
    struct bench bench;
    bench_open(&bench, asked->program, asked->injector);
    bench.all = asked->all;
    files_make(asked);
    for (size_t i = 0; i < PARTS; i++) {
        if (!asked->only || strcmp(asked->only, parts[i].name) == 0) {
            parts[i].run(&bench, share, asked->jobs);
        }
    }
    (void)fflush(stdout);
    bench_close(&bench);
    return bench.findings > 0 ? 1 : 0;
}

static int all_run(const struct asked *asked)
{
    int worst = 0;
    for (unsigned share = 0; share < asked->jobs; share++) {
        const pid_t pid = fork();
        must(pid >= 0, "fork");
        if (pid == 0) {
            exit(share_run(asked, share));
        }
    }
    for (int status = 0; wait(&status) > 0;) {
        const int code = WIFEXITED(status) ? WEXITSTATUS(status) : 2;
        worst = code > worst ? code : worst;
    }
    return worst;
}

int main(int argc, char **argv)
{
    if (argc < 6) {
        (void)fputs("use: faults PROGRAM INJECTOR EXAMPLES TABLES JOBS [--all] [PART]\n", stderr);
        return 2;
    }
    struct asked asked = { argv[1], argv[2], argv[3], argv[4], 1, false, NULL };
    const unsigned long jobs = strtoul(argv[5], NULL, 10);
    asked.jobs = jobs >= 1 && jobs <= MOST_JOBS ? (unsigned)jobs : 1;
    for (int i = 6; i < argc; i++) {
        if (strcmp(argv[i], "--all") == 0) {
            asked.all = true;
        } else {
            asked.only = argv[i];
        }
    }
    const int code = all_run(&asked);
    (void)printf("faults: %s\n", code == 0 ? "nothing found" : "FINDINGS, or a trial that failed");
    return code;
}
