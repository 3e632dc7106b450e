/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every allocation fails, once, and from there on, and memory is limited: exit status 3 and a
 * sentence that says so, with nothing on standard output; or, where the caller can do without, the
 * whole right result. */
#include "faults/trial.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Without --all: the first and the last allocations are tried one by one, between them each at a
 * 32nd part more than the one before; every 8th of these once more with nothing left for good. */
enum { FIRST = 200, LAST = 60, PART = 32, LASTING = 8 };

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

static unsigned long next(const struct bench *bench, unsigned long at, unsigned long n)
{
    const unsigned long last = n > LAST ? n - LAST : 0;
    if (bench->all || at < FIRST || at >= last) {
        return at + 1;
    }
    return at + at / PART < last ? at + at / PART : last;
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
        at = next(bench, at, n);
    }
    (void)printf("memory  %5lu of %5lu  %s\n", tried, n, words_line(words));
    trial_release(&right);
}

/* ------------------------------------------------------------- a real limit */

/* Bytes from one limit to the next, the most that is tried, and how many enough in a row are the
 * end. */
enum { STEP = 4096, MOST = 64 * 1024 * 1024, ENOUGH = 40 };

/* No call is made to fail: memory is limited, a little more each time until it is enough.  Here
 * what iniparser takes unseen may fail too. */
static void shortage_try(struct bench *bench, const char *const *words)
{
    struct trial right, trial;
    unsigned tried = 0, enough = 0;
    bench_calm(bench);
    must(setenv("MALLOC_TOP_PAD_", "0", 1) == 0, "setenv"); /* page by page */
    trial_run(bench, words, 0, &right);
    for (bench->page->room = STEP; enough < ENOUGH; bench->page->room += STEP, tried++) {
        trial_run(bench, words, 0, &trial);
        const bool same = trial_same(&trial, &right);
        enough = same ? enough + 1 : 0;
        if (!same && (trial.code != 3 || trial.out_n > 0 || !says_memory(&trial))) {
            finding(bench, words, &trial, "within little memory neither the right result nor 3");
        }
        trial_release(&trial);
        must(bench->page->room < MOST, "no memory is enough");
    }
    must(unsetenv("MALLOC_TOP_PAD_") == 0, "unsetenv");
    (void)printf("limited %5u limits  %s\n", tried, words_line(words));
    trial_release(&right);
}

static void try_shortage(struct bench *bench, unsigned share, unsigned shares)
{
    static const char *const limited[][16] = {
        { "check", CASE, "--format", "json" },
        { "compare", "examples/drive.ini", "examples", "--format", "csv" },
        { "loadrun", CASE, LOG, "--format", "html" },
    };
    for (unsigned i = share; i < sizeof limited / sizeof limited[0]; i += shares) {
        shortage_try(bench, limited[i]);
    }
}

void try_memory(struct bench *bench, unsigned share, unsigned shares)
{
    for (unsigned i = share; i < COMMANDS; i += shares) {
        command_try(bench, commands[i]);
    }
    try_shortage(bench, share, shares);
}
