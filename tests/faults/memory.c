/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every allocation fails, once, and from there on: exit status 3 and a sentence that says so, with
 * nothing on standard output; or, where the caller can do without, the whole right result. */
#include "faults/trial.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

/* Allocations that are tried one by one; behind them every 32nd part more, and each once more with
 * nothing left for good at every 8th of those. */
enum { ONE_BY_ONE = 300, PART = 32, LASTING = 8 };

#define CASE "examples/drive-complete.ini", "examples/module-good.ini"
#define OVER "--over", "load", "--from", "50 %", "--to", "100 %", "--steps", "3"
#define LOG "--log", "examples/log-good.csv"

static const char *const commands[][16] = {
    { "check", CASE },
    { "check", CASE, "--format", "json" },
    { "check", CASE, "--format", "csv" },
    { "check", CASE, "--format", "html" },
    { "check", CASE, "--original", "examples/module-original.ini" },
    { "check", CASE, "--original", "examples/module-original.ini", "--format", "html" },
    { "check", CASE, "--joint", "examples/joint-thick.ini", "--output", "sheet.txt" },
    { "compare", "examples/drive.ini", "examples" },
    { "compare", "examples/drive.ini", "examples", "--format", "json" },
    { "compare", "examples/drive.ini", "examples", "--format", "jsonl" },
    { "compare", "examples/drive.ini", "examples", "--format", "csv" },
    { "compare", "examples/drive.ini", "examples", "--format", "html" },
    { "compare", "--drives", "drives", "examples" },
    { "compare", "--merge", "rows.jsonl" },
    { "joint", CASE },
    { "joint", CASE, "--format", "html" },
    { "sweep", CASE, OVER },
    { "sweep", CASE, OVER, "--format", "html" },
    { "explain", CASE },
    { "explain", CASE, "margin_k" },
    { "explain", CASE, "margin_k", "--format", "json" },
    { "template", "drive" },
    { "loadrun", CASE },
    { "loadrun", CASE, LOG },
    { "loadrun", CASE, LOG, "--format", "json" },
    { "loadrun", CASE, LOG, "--format", "html" },
    { "check", "examples/none.ini", "examples/drive.ini" },
    { "--help" },
};

enum { COMMANDS = sizeof commands / sizeof commands[0] };

static bool says_memory(const struct trial *trial)
{
    return strstr(trial->err, "out of memory") != NULL;
}

/* A long comparison is written while it is made: what stands there must be its right beginning. */
static bool begins(const struct trial *trial, const struct trial *right, bool streams)
{
    return trial->out_n == 0 || (streams && trial->out_n <= right->out_n &&
                                 memcmp(trial->out, right->out, trial->out_n) == 0);
}

static void judge(struct bench *bench, const char *const *words, const struct trial *right)
{
    struct trial trial;
    trial_run(bench, words, 0, &trial);
    const bool streams = strcmp(words[0], "compare") == 0;
    if (atomic_load(&bench->page->hit) && !trial_same(&trial, right)) {
        if (trial.code != 3) {
            finding(bench, words, &trial, "no memory, and no exit status 3");
        } else if (!begins(&trial, right, streams)) {
            finding(bench, words, &trial, "no memory, and a wrong result");
        } else if (!says_memory(&trial)) {
            finding(bench, words, &trial, "no memory, and no word of it");
        }
    }
    trial_release(&trial);
}

static void command_try(struct bench *bench, const char *const *words)
{
    struct trial right;
    bench_calm(bench);
    bench->page->calls = 1u << CALL_MEMORY;
    trial_run(bench, words, 0, &right);
    const unsigned long n = atomic_load(&bench->page->counted);
    must(right.code >= 0 && n > 0, "a run without faults fails");
    bench->page->action = ACT_FAIL;
    bench->page->error = ENOMEM;
    unsigned long tried = 0;
    for (unsigned long at = 1; at <= n; tried++) {
        bench->page->at = at;
        bench->page->lasting = false;
        judge(bench, words, &right);
        if (bench->all || tried % LASTING == 0) {
            bench->page->lasting = true;
            judge(bench, words, &right);
        }
        at += bench->all || at < ONE_BY_ONE ? 1 : at / PART;
    }
    (void)printf("memory  %5lu of %5lu  %s\n", tried, n, words_line(words));
    trial_release(&right);
}

void try_memory(struct bench *bench, unsigned share, unsigned shares)
{
    for (unsigned i = share; i < COMMANDS; i += shares) {
        command_try(bench, commands[i]);
    }
}
