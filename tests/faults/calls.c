/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every call that reads or writes goes wrong once.  What cannot be read is exit status 2, or the
 * row of that file in a comparison, with its name and the reason; what cannot be written is 3 on
 * standard output, 2 at the place of --output, where the old file then stands.  What the program
 * needs for itself, a file in memory, is no fault of what it was given: 3. */
#include "faults/trial.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define CALL(id) (1u << CALL_##id)
#define READING (CALL(OPEN) | CALL(FSTAT) | CALL(READ) | CALL(CLOSE) | CALL(FOLDER))
#define PLACING                                                                                    \
    (CALL(STAT) | CALL(ACCESS) | CALL(REALPATH) | CALL(MKSTEMP) | CALL(FCHMOD) | CALL(FSYNC) |     \
     CALL(RENAME) | CALL(UNLINK))
#define WRITING (CALL(WRITE) | CALL(CLOSE))

#define DRIVE "examples/drive.ini"
#define MODULE "examples/module-good.ini"
#define MODULES "examples"
#define PLACE "place/sheet"
#define OLD_TEXT "the sheet of yesterday\n"

static const int errors[] = { EIO, ENOSPC, EPIPE, EINTR, EACCES, EMFILE };

enum { ERRORS = sizeof errors / sizeof errors[0] };

static const char *const readers[][12] = {
    { "check", DRIVE, MODULE, "--original", "examples/module-original.ini", "--joint",
      "examples/joint-thick.ini", "--format", "csv" },
    { "check", DRIVE, MODULE, "--tables", "tables", "--format", "csv" },
    { "loadrun", "examples/drive-complete.ini", MODULE, "--log", "examples/log-good.csv" },
    { "compare", DRIVE, "examples", "--format", "jsonl" },
    { "compare", "--drives", "drives", MODULE, "--format", "jsonl" },
    { "compare", "--merge", "rows.jsonl", "--format", "jsonl" },
    { "explain", DRIVE, MODULE, "margin_k" },
    { "sweep", DRIVE, MODULE, "--over", "load", "--from", "50 %", "--to", "1", "--steps", "2" },
    { "template", "drive" },
};

static const char *const writers[][12] = {
    { "check", DRIVE, MODULE, "--output", PLACE, "--format", "html" },
    { "compare", DRIVE, "examples", "--output", PLACE, "--format", "csv" },
    { "template", "log", "--output", PLACE },
};

enum { READERS = sizeof readers / sizeof readers[0], WRITERS = sizeof writers / sizeof writers[0] };

static bool hit(const struct bench *bench)
{
    return atomic_load(&bench->page->hit);
}

static bool is_one(const char *text, const char *part)
{
    return strstr(text, part) != NULL;
}

/* --------------------------------------------------------------- the input */

static bool is_output(const struct page *page)
{
    return strcmp(page->file, "standard output") == 0;
}

static bool is_in_memory(const struct page *page)
{
    return page->action == ACT_FAIL && strcmp(page->file, PAGE_IN_MEMORY) == 0;
}

/* Whether the program may do without this call, or try it again. */
static bool may_pass(const struct page *page)
{
    return page->action != ACT_FAIL || (page->call == CALL_CLOSE && !is_output(page)) ||
           (page->error == EINTR && (page->call == CALL_READ || page->call == CALL_WRITE)) ||
           strcmp(page->file, "/dev/urandom") == 0 || /* the JSON library finds another seed */
           (page->call == CALL_FOLDER && page->error == EACCES); /* it is no folder, but a file */
}

/* Whether a file went before its folder was looked at: then it is in no row. */
static bool never_seen(const struct page *page, const struct trial *trial)
{
    const bool before = page->call == CALL_FOLDER || strcmp(page->file, MODULES) == 0;
    return page->action == ACT_VANISH && before && trial->code <= 1 &&
           !is_one(trial->out, page->victim);
}

/* Whether the reason is told.  What may not be opened as a folder is tried as a file. */
static bool says_why(const struct page *page, const char *said)
{
    const bool folder = page->call == CALL_FOLDER && page->error == EACCES;
    return is_one(said, strerror(page->action == ACT_VANISH ? ENOENT : page->error)) ||
           (folder && is_one(said, "is a folder"));
}

static void reading_judge(struct bench *bench, const char *const *words, const struct trial *right)
{
    const struct page *page = bench->page;
    struct trial trial;
    trial_run(bench, words, 0, &trial);
    const bool ours = is_output(page) || is_in_memory(page);
    const char *said = trial.code == 0 || trial.code == 1 ? trial.out : trial.err;
    const char *file = page->action == ACT_VANISH ? page->victim : page->file;
    if (!hit(bench) || (trial_same(&trial, right) && may_pass(page)) || never_seen(page, &trial)) {
        /* as it should be */
    } else if (trial_same(&trial, right)) {
        finding(bench, words, &trial, "a failing call goes unnoticed");
    } else if (trial.code < 0 || (ours ? trial.code != 3 : trial.code == 3)) {
        finding(bench, words, &trial, "a failing call has the wrong exit status");
    } else if (trial.code == 2 && trial.out_n > 0) {
        finding(bench, words, &trial, "wrong input, and something on standard output");
    } else if (!says_why(page, said) || !(is_one(said, file) || is_in_memory(page))) {
        finding(bench, words, &trial, "a failing call without name or reason");
    }
    trial_release(&trial);
}

/* Every call of these kinds, as the page says, each alone.  Returned: how many there were. */
static unsigned long
each_call(struct bench *bench, const char *const *words, unsigned calls, const struct trial *right,
          void (*judge)(struct bench *, const char *const *, const struct trial *))
{
    unsigned long n = 0;
    bench->page->calls = calls;
    do {
        bench->page->at = ++n;
        judge(bench, words, right);
    } while (hit(bench));
    return n - 1;
}

static void shell(const char *line)
{
    must(system(line) == 0, line); /* NOLINT(cert-env33-c): a fixed command */
}

static void vanishing_judge(struct bench *bench, const char *const *words,
                            const struct trial *right)
{
    reading_judge(bench, words, right);
    shell("cp kept " MODULE);
}

static void reader_try(struct bench *bench, const char *const *words)
{
    struct trial right;
    unsigned long n = 0;
    bench_calm(bench);
    trial_run(bench, words, 0, &right);
    for (size_t i = 0; i < ERRORS; i++) {
        bench->page->action = ACT_FAIL;
        bench->page->error = errors[i];
        n += each_call(bench, words, READING | CALL(WRITE), &right, reading_judge);
    }
    bench->page->action = ACT_SHORT;
    n += each_call(bench, words, CALL(READ) | CALL(WRITE), &right, reading_judge);
    bench->page->lasting = true;
    n += each_call(bench, words, CALL(READ) | CALL(WRITE), &right, reading_judge);
    bench->page->lasting = false;
    bench->page->action = ACT_VANISH;
    (void)snprintf(bench->page->victim, PAGE_NAME, "%s", MODULE);
    shell("cp " MODULE " kept");
    n += each_call(bench, words, READING, &right, vanishing_judge);
    (void)printf("calls   %14lu  %s\n", n, words_line(words));
    trial_release(&right);
}

/* -------------------------------------------------------------- the output */

static void place_reset(bool old)
{
    shell("rm -rf place && mkdir place");
    if (old) {
        shell("printf '%s' '" OLD_TEXT "' >" PLACE);
    }
}

static size_t leftovers(bool *reasonable)
{
    DIR *folder = opendir("place");
    must(folder != NULL, "place");
    size_t n = 0;
    *reasonable = true;
    for (const struct dirent *entry = NULL; (entry = readdir(folder)) != NULL;) {
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0 &&
            strcmp(entry->d_name, "sheet") != 0) {
            n++;
            *reasonable = *reasonable && strncmp(entry->d_name, ".swapmargin-", 12) == 0;
        }
    }
    (void)closedir(folder);
    return n;
}

/* What stands in the place. */
enum standing { STANDS_NONE, STANDS_OLD, STANDS_NEW, STANDS_BROKEN };

static enum standing place_standing(const char *new_text)
{
    char *text = file_content(PLACE);
    const enum standing standing = !text                         ? STANDS_NONE
                                   : strcmp(text, OLD_TEXT) == 0 ? STANDS_OLD
                                   : strcmp(text, new_text) == 0 ? STANDS_NEW
                                                                 : STANDS_BROKEN;
    free(text);
    return standing;
}

/* right->err is borrowed for the text that the place gets. */
static void writing_judge(struct bench *bench, const char *const *words, const struct trial *right)
{
    const struct page *page = bench->page;
    const bool old = place_standing("") == STANDS_OLD;
    struct trial trial;
    bool reasonable = true;
    trial_run(bench, words, 0, &trial);
    const enum standing standing = place_standing(right->err);
    const size_t left = leftovers(&reasonable);
    const char *reason = strerror(page->error);
    const bool ours = is_in_memory(page);
    if (trial.code == right->code ? standing != STANDS_NEW
                                  : standing != (old ? STANDS_OLD : STANDS_NONE)) {
        finding(bench, words, &trial, "the place holds what it must not");
    } else if (trial.code != right->code && trial.code != (ours ? 3 : 2)) {
        finding(bench, words, &trial, "a place that fails has the wrong exit status");
    } else if (trial.code > 1 && !(is_one(trial.err, reason) && (ours || is_one(trial.err, PLACE) ||
                                                                 is_one(trial.err, page->file)))) {
        finding(bench, words, &trial, "a place that fails without name or reason");
    } else if (left > 0 && page->call != CALL_UNLINK) {
        finding(bench, words, &trial, "a temporary file is left");
    } else if (trial.out_n > 0) {
        finding(bench, words, &trial, "something on standard output beside --output");
    }
    trial_release(&trial);
    place_reset(old);
}

/* The run without faults, whose text in the place becomes right->err. */
static void right_make(struct bench *bench, const char *const *words, struct trial *right)
{
    bench_calm(bench);
    place_reset(false);
    trial_run(bench, words, 0, right);
    free(right->err);
    right->err = file_content(PLACE);
    must(right->err && right->code <= 1 && strlen(right->err) > 0, "the place without faults");
}

static void writer_try(struct bench *bench, const char *const *words, bool old)
{
    struct trial right;
    unsigned long n = 0;
    right_make(bench, words, &right);
    place_reset(old);
    for (size_t i = 0; i < ERRORS; i++) {
        bench->page->action = ACT_FAIL;
        bench->page->error = errors[i];
        n += each_call(bench, words, PLACING | WRITING, &right, writing_judge);
    }
    bench->page->action = ACT_SHORT;
    bench->page->lasting = true;
    n += each_call(bench, words, CALL(WRITE), &right, writing_judge);
    (void)printf("place   %14lu  %s, %s\n", n, words_line(words), old ? "old file" : "no file");
    trial_release(&right);
}

/* A place that is one of the files read stays what it is, whatever cannot be found out about it. */
static void input_judge(struct bench *bench, const char *const *words, const struct trial *right)
{
    struct trial trial;
    trial_run(bench, words, 0, &trial);
    char *text = file_content(MODULE);
    if (!text || strcmp(text, right->err) != 0 ||
        !(trial.code == 2 || (trial.code == 3 && is_in_memory(bench->page)))) {
        finding(bench, words, &trial, "a file that was read is written over");
        shell("cp kept " MODULE);
    }
    free(text);
    trial_release(&trial);
}

static void input_try(struct bench *bench)
{
    static const char *const words[] = { "check", DRIVE, MODULE, "--output", MODULE, NULL };
    const struct trial right = { .err = file_content(MODULE) };
    unsigned long n = 0;
    shell("cp " MODULE " kept");
    bench_calm(bench);
    bench->page->action = ACT_FAIL;
    for (size_t i = 0; i < ERRORS; i++) {
        bench->page->error = errors[i];
        n += each_call(bench, words, PLACING | WRITING, &right, input_judge);
    }
    (void)printf("place   %14lu  %s\n", n, words_line(words));
    free(right.err);
}

void try_calls(struct bench *bench, unsigned share, unsigned shares)
{
    for (unsigned i = 0; i < READERS + 2 * WRITERS + 1; i++) {
        if (i % shares != share) {
            continue;
        }
        if (i < READERS) {
            reader_try(bench, readers[i]);
        } else if (i < READERS + 2 * WRITERS) {
            writer_try(bench, writers[(i - READERS) / 2], (i - READERS) % 2 == 0);
        } else {
            input_try(bench);
        }
    }
}

/* --------------------------------------------------------------- the kills */

static void kill_judge(struct bench *bench, const char *const *words, const struct trial *right)
{
    const bool old = place_standing("") == STANDS_OLD;
    struct trial trial;
    bool reasonable = true;
    trial_run(bench, words, 0, &trial);
    const bool killed = hit(bench);
    const enum standing standing = place_standing(right->err);
    const size_t left = leftovers(&reasonable);
    if (standing != STANDS_NEW && standing != (old ? STANDS_OLD : STANDS_NONE)) {
        finding(bench, words, &trial, "killed, and the place holds neither the old nor the new");
    } else if (left > 1 || !reasonable) {
        finding(bench, words, &trial, "killed, and more is left than one hidden temporary file");
    }
    trial_release(&trial);
    if (killed) { /* what is left must not be in the way of the next run */
        const unsigned long at = bench->page->at;
        bench->page->at = 0;
        trial_run(bench, words, 0, &trial);
        if (!trial_same(&trial, right) || place_standing(right->err) != STANDS_NEW ||
            leftovers(&reasonable) != left) {
            finding(bench, words, &trial, "the run after one that was killed fails");
        }
        trial_release(&trial);
        bench->page->at = at;
        atomic_store(&bench->page->hit, true);
    }
    place_reset(old);
}

void try_kills(struct bench *bench, unsigned share, unsigned shares)
{
    static const enum page_action moments[] = { ACT_KILL_BEFORE, ACT_KILL_HALF, ACT_KILL_AFTER };
    for (unsigned i = share; i < 2 * WRITERS; i += shares) {
        const char *const *words = writers[i / 2];
        struct trial right;
        unsigned long n = 0;
        right_make(bench, words, &right);
        place_reset(i % 2 == 0);
        for (size_t m = 0; m < sizeof moments / sizeof moments[0]; m++) {
            bench->page->action = moments[m];
            n += each_call(bench, words,
                           moments[m] == ACT_KILL_HALF
                               ? CALL(WRITE)
                               : PLACING | WRITING | CALL(OPEN) | CALL(FOLDER),
                           &right, kill_judge);
        }
        (void)printf("killed  %14lu  %s, %s\n", n, words_line(words),
                     i % 2 == 0 ? "old file" : "no file");
        trial_release(&right);
    }
}
