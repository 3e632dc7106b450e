/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* NOLINT(bugprone-reserved-identifier): memfd_create() */

#include "faults/trial.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/* Seconds: a run takes a hundredth of one. */
enum { LONGEST_RUN = 10 };

/* Lines about findings of one bench; more would hide the first. */
enum { MOST_TOLD = 25 };

void must(bool well, const char *what)
{
    if (!well) {
        (void)fprintf(stderr, "faults: %s: %s\n", what, strerror(errno));
        exit(2);
    }
}

static void variable(const char *name, const char *value)
{
    must(setenv(name, value, 1) == 0, name);
}

void bench_open(struct bench *bench, const char *program, const char *injector)
{
    char number[16];
    *bench = (struct bench){ .program = program };
    (void)snprintf(bench->folder, sizeof bench->folder, "/tmp/swapmargin-faults-XXXXXX");
    must(mkdtemp(bench->folder) != NULL, bench->folder);
    must(chdir(bench->folder) == 0, bench->folder);
    bench->page_fd = memfd_create("page", 0);
    bench->out_fd = memfd_create("out", MFD_CLOEXEC);
    bench->err_fd = memfd_create("err", MFD_CLOEXEC);
    must(bench->page_fd > 2 && bench->out_fd > 2 && bench->err_fd > 2, "memfd_create");
    must(ftruncate(bench->page_fd, (off_t)sizeof *bench->page) == 0, "page");
    void *page =
        mmap(NULL, sizeof *bench->page, PROT_READ | PROT_WRITE, MAP_SHARED, bench->page_fd, 0);
    must(page != MAP_FAILED, "page");
    bench->page = page;
    (void)snprintf(number, sizeof number, "%d", bench->page_fd);
    variable(PAGE_VARIABLE, number);
    variable("SM_FAULTS_PRELOAD", injector);
    variable("LC_ALL", "C.UTF-8");
    variable("OMP_NUM_THREADS", "1");
    /* memory given out and memory given back hold rubbish, so that using either shows */
    variable("MALLOC_PERTURB_", "165");
}

void bench_close(struct bench *bench)
{
    char command[PAGE_NAME + 16];
    (void)snprintf(command, sizeof command, "rm -rf '%s'", bench->folder);
    must(chdir("/") == 0, "/");
    must(system(command) == 0, command); /* NOLINT(cert-env33-c): a fixed command */
    (void)munmap(bench->page, sizeof *bench->page);
    (void)close(bench->page_fd);
    (void)close(bench->out_fd);
    (void)close(bench->err_fd);
}

void bench_calm(struct bench *bench)
{
    memset(bench->page, 0, sizeof *bench->page);
}

static void limit(int resource, rlim_t most)
{
    must(setrlimit(resource, &(struct rlimit){ most, most }) == 0, "setrlimit");
}

static void child(const struct bench *bench, const char *const *words, size_t memory)
{
    char *list[24] = { NULL };
    memcpy(&list[0], &bench->program, sizeof list[0]);
    for (size_t i = 0; words[i] && i + 2 < sizeof list / sizeof list[0]; i++) {
        memcpy(&list[i + 1], &words[i], sizeof list[0]);
    }
    must(dup2(bench->out_fd, STDOUT_FILENO) >= 0, "standard output");
    must(dup2(bench->err_fd, STDERR_FILENO) >= 0, "standard error");
    limit(RLIMIT_CORE, 0);
    if (memory > 0) {
        limit(RLIMIT_AS, memory);
    }
    (void)alarm(LONGEST_RUN);
    variable("LD_PRELOAD", getenv("SM_FAULTS_PRELOAD"));
    (void)execv(bench->program, list);
    _exit(98);
}

static char *descriptor_take(int fd, size_t *n)
{
    struct stat info;
    must(fstat(fd, &info) == 0, "fstat");
    char *text = calloc((size_t)info.st_size + 1, 1);
    must(text != NULL, "memory");
    must(pread(fd, text, (size_t)info.st_size, 0) == info.st_size, "pread");
    must(ftruncate(fd, 0) == 0 && lseek(fd, 0, SEEK_SET) == 0, "ftruncate");
    *n = (size_t)info.st_size;
    return text;
}

static double seconds_now(void)
{
    struct timespec now;
    (void)clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

void trial_run(struct bench *bench, const char *const *words, size_t memory, struct trial *trial)
{
    int status = 0;
    atomic_store(&bench->page->counted, 0);
    atomic_store(&bench->page->hit, false);
    bench->page->file[0] = '\0';
    const double start = seconds_now();
    const pid_t pid = fork();
    must(pid >= 0, "fork");
    if (pid == 0) {
        child(bench, words, memory);
    }
    must(waitpid(pid, &status, 0) == pid, "waitpid");
    trial->seconds = seconds_now() - start;
    trial->code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    trial->signal = WIFSIGNALED(status) ? WTERMSIG(status) : 0;
    trial->out = descriptor_take(bench->out_fd, &trial->out_n);
    trial->err = descriptor_take(bench->err_fd, &trial->err_n);
}

void trial_release(struct trial *trial)
{
    free(trial->out);
    free(trial->err);
    *trial = (struct trial){ .code = -1 };
}

bool trial_same(const struct trial *a, const struct trial *b)
{
    return a->code == b->code && a->out_n == b->out_n && memcmp(a->out, b->out, a->out_n) == 0;
}

const char *words_line(const char *const *words)
{
    static char line[512];
    size_t n = 0;
    line[0] = '\0';
    for (; *words && n < sizeof line; words++) {
        n += (size_t)snprintf(line + n, sizeof line - n, "%s%s", n > 0 ? " " : "", *words);
    }
    return line;
}

void finding(struct bench *bench, const char *const *words, const struct trial *trial,
             const char *what)
{
    bench->findings++;
    if (bench->findings > MOST_TOLD) {
        return;
    }
    (void)printf("FOUND  %s: %s\n       call %lu (kind %d, \"%s\"): exit %d, signal %d, %zu bytes "
                 "out, said: %.300s\n",
                 words_line(words), what, bench->page->at, (int)bench->page->call,
                 bench->page->file, trial->code, trial->signal, trial->out_n,
                 trial->err_n > 0 ? trial->err : "nothing");
    (void)fflush(stdout);
}

char *file_content(const char *path)
{
    const int fd = open(path, O_RDONLY);
    struct stat info;
    if (fd < 0) {
        return NULL;
    }
    must(fstat(fd, &info) == 0, path);
    char *text = calloc((size_t)info.st_size + 1, 1);
    must(text && read(fd, text, (size_t)info.st_size) == info.st_size, path);
    (void)close(fd);
    return text;
}
