/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One run of the program in which one call goes wrong, and what came of it. */
#ifndef SM_TESTS_FAULTS_TRIAL_H
#define SM_TESTS_FAULTS_TRIAL_H

#include "faults/page.h"

#include <stddef.h>

/* Where trials are made.  Runs happen in the folder. */
struct bench {
    const char *program;
    char folder[PAGE_NAME]; /* removed by bench_close() */
    struct page *page;      /* shared with the program under trial */
    int page_fd;
    int out_fd, err_fd;
    unsigned findings;
    bool all; /* every single call, not a part of thousands */
};

struct trial {
    int code;        /* exit status; -1 when it did not exit */
    int signal;      /* that ended it, or 0 */
    char *out, *err; /* what it wrote, owned, closed by NUL */
    size_t out_n, err_n;
    double seconds;
};

/* Given: injector: the shared object; no run loads another. */
void bench_open(struct bench *bench, const char *program, const char *injector);
void bench_close(struct bench *bench);

/* Nothing is asked of the page any more. */
void bench_calm(struct bench *bench);

/* Runs the program with these words (the last is NULL) in the bench's folder, killed when it takes
 * ten seconds.  memory: bytes of address space it may have, 0 for any. */
void trial_run(struct bench *bench, const char *const *words, size_t memory, struct trial *trial);
void trial_release(struct trial *trial);

/* The same exit status and the same standard output. */
bool trial_same(const struct trial *a, const struct trial *b);

/* Tells that a run did what it must not. */
void finding(struct bench *bench, const char *const *words, const struct trial *trial,
             const char *what);

/* The words of a command as one line, for people. */
const char *words_line(const char *const *words);

/* The content of a file of the folder, owned by the caller; NULL when it is not there. */
char *file_content(const char *path);

/* Ends with the reason when something of the bench itself fails. */
void must(bool well, const char *what);

/* What there is to try; each returns when done, findings are counted by the bench. */
void try_memory(struct bench *bench, unsigned share, unsigned shares);
void try_calls(struct bench *bench, unsigned share, unsigned shares);
void try_kills(struct bench *bench, unsigned share, unsigned shares);
void try_hostile(struct bench *bench, unsigned share, unsigned shares);

#endif
