/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Loaded before the C library (LD_PRELOAD): counts the calls that the page asks for, and lets the
 * one it names go wrong.  Calls that the C library makes inside itself are not seen, but for
 * memory, where it calls what everyone calls. */
#define _GNU_SOURCE /* NOLINT(bugprone-reserved-identifier): dlsym()'s RTLD_NEXT */

#include "faults/page.h"

#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static struct page *page; /* NULL: nothing is asked */

static struct {
    int (*open)(const char *, int, ...);
    int (*fstat)(int, struct stat *);
    ssize_t (*read)(int, void *, size_t);
    int (*close)(int);
    int (*stat)(const char *, struct stat *);
    int (*access)(const char *, int);
    char *(*realpath)(const char *, char *);
    int (*mkstemp)(char *);
    int (*fchmod)(int, mode_t);
    ssize_t (*write)(int, const void *, size_t);
    int (*fsync)(int);
    int (*rename)(const char *, const char *);
    int (*unlink)(const char *);
    DIR *(*fdopendir)(int);
    struct dirent *(*readdir)(DIR *);
    int (*memfd_create)(const char *, unsigned);
} real;

/* Names of open files, by descriptor. */
enum { FILES = 64 };
static char opened[FILES][PAGE_NAME];

static const char *name_of(int fd)
{
    return fd == STDOUT_FILENO ? "standard output" : fd > 2 && fd < FILES ? opened[fd] : "";
}

static void name_keep(int fd, const char *path)
{
    if (fd > 2 && fd < FILES) {
        (void)snprintf(opened[fd], PAGE_NAME, "%s", path);
    }
}

static void find(void *function, const char *name)
{
    void *found = dlsym(RTLD_NEXT, name);
    memcpy(function, &found, sizeof found);
}

#define FIND(name) find(&real.name, #name)

static void give_up(const char *reason)
{
    (void)real.write(STDERR_FILENO, reason, strlen(reason));
    _exit(99);
}

static void address_space_limit(rlim_t most)
{
    struct rlimit limit;
    (void)getrlimit(RLIMIT_AS, &limit);
    limit.rlim_cur = most;
    if (setrlimit(RLIMIT_AS, &limit) != 0) {
        give_up("faults: memory cannot be limited\n");
    }
}

/* From here on, when all libraries are there, memory is limited. */
static void room_limit(void)
{
    char pages[32] = "";
    const int fd = real.open("/proc/self/statm", O_RDONLY);
    const bool told = fd >= 0 && real.read(fd, pages, sizeof pages - 1) > 0;
    const size_t has = strtoul(pages, NULL, 10) * (size_t)sysconf(_SC_PAGESIZE);
    (void)real.close(fd);
    if (!told) {
        give_up("faults: nothing is told of the memory in use\n");
    }
    address_space_limit(has + page->room);
}

static void __attribute__((constructor)) begin(void)
{
    FIND(open);
    FIND(fstat);
    FIND(read);
    FIND(close);
    FIND(stat);
    FIND(access);
    FIND(realpath);
    FIND(mkstemp);
    FIND(fchmod);
    FIND(write);
    FIND(fsync);
    FIND(rename);
    FIND(unlink);
    FIND(fdopendir);
    FIND(readdir);
    FIND(memfd_create);
    const char *number = getenv(PAGE_VARIABLE);
    const int fd = number ? (int)strtol(number, NULL, 10) : -1;
    void *shared =
        fd > 2 ? mmap(NULL, sizeof *page, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0) : MAP_FAILED;
    if (shared == MAP_FAILED) {
        give_up("faults: no page is shared\n");
    }
    (void)real.close(fd);
    page = shared;
    if (page->room > 0) {
        room_limit();
    }
}

int __cxa_atexit(void (*function)(void *), void *context, void *object);

static void calm(void *context)
{
    (void)context;
    if (page && page->room > 0) {
        address_space_limit(RLIM_INFINITY);
    }
    page = NULL;
}

/* What comes after main() is not the program's: counters of coverage are written there.  What
 * main() wants done at the end is done before this, and this before all that was there before. */
int __cxa_atexit(void (*function)(void *), void *context, void *object)
{
    int (*add)(void (*)(void *), void *, void *) = NULL;
    find(&add, "__cxa_atexit");
    (void)add(calm, NULL, NULL);
    return add(function, context, object);
}

/* Counts a call.  Returned: whether this is one that goes wrong. */
static bool turn(enum page_call call, const char *file)
{
    if (!page || (page->calls & (1u << call)) == 0) {
        return false;
    }
    const unsigned long n = atomic_fetch_add(&page->counted, 1) + 1;
    if (page->at == 0 || !(n == page->at || (page->lasting && n > page->at))) {
        return false;
    }
    if (!atomic_exchange(&page->hit, true)) {
        page->call = call;
        const size_t length = strnlen(file, PAGE_NAME - 1);
        memcpy(page->file, file, length);
        page->file[length] = '\0';
    }
    return true;
}

/* What is done before a call that goes wrong.  Returned: whether it fails, with errno set. */
static bool fails(void)
{
    if (page->action == ACT_KILL_BEFORE) {
        (void)raise(SIGKILL);
    }
    if (page->action == ACT_VANISH) {
        (void)real.unlink(page->victim);
    }
    if (page->action == ACT_FAIL) {
        errno = page->error;
    }
    return page->action == ACT_FAIL;
}

static void after(bool wrong)
{
    if (wrong && page->action == ACT_KILL_AFTER) {
        (void)raise(SIGKILL);
    }
}

/* ----------------------------------------------------------------- memory */

void *__libc_malloc(size_t size);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *old, size_t size);
void *__libc_memalign(size_t alignment, size_t size);

static bool none_left(void)
{
    return turn(CALL_MEMORY, "") && fails();
}

void *malloc(size_t size)
{
    return none_left() ? NULL : __libc_malloc(size);
}

/* Whether dictionary_new() of iniparser asks, which takes what it gets without a look: a limit of
 * the library.  The program tries so much memory just before, and that fails here as any other;
 * try_shortage(), with a real limit, shows that it is enough. */
static bool takes_unseen(void *caller)
{
    Dl_info info;
    return dladdr(caller, &info) != 0 && info.dli_sname &&
           strcmp(info.dli_sname, "dictionary_new") == 0;
}

void *calloc(size_t n, size_t size)
{
    const bool none = !takes_unseen(__builtin_return_address(0)) && none_left();
    return none ? NULL : __libc_calloc(n, size);
}

void *realloc(void *old, size_t size)
{
    return none_left() ? NULL : __libc_realloc(old, size);
}

void *aligned_alloc(size_t alignment, size_t size)
{
    return none_left() ? NULL : __libc_memalign(alignment, size);
}

int posix_memalign(void **memory, size_t alignment, size_t size)
{
    *memory = none_left() ? NULL : __libc_memalign(alignment, size);
    return *memory ? 0 : ENOMEM;
}

/* ------------------------------------------------------------------ files */

int open(const char *path, int flags, ...)
{
    va_list list;
    va_start(list, flags);
    const mode_t mode = (flags & O_CREAT) != 0 ? va_arg(list, mode_t) : 0;
    va_end(list);
    const bool wrong = turn((flags & O_DIRECTORY) != 0 ? CALL_FOLDER : CALL_OPEN, path);
    const int fd = wrong && fails() ? -1 : real.open(path, flags, mode);
    name_keep(fd, path);
    after(wrong);
    return fd;
}

int fstat(int fd, struct stat *info)
{
    return turn(CALL_FSTAT, name_of(fd)) && fails() ? -1 : real.fstat(fd, info);
}

ssize_t read(int fd, void *bytes, size_t n)
{
    const bool wrong = turn(CALL_READ, name_of(fd));
    if (wrong && fails()) {
        return -1;
    }
    return real.read(fd, bytes, wrong && page->action == ACT_SHORT && n > 1 ? n / 2 : n);
}

/* A close that fails has closed all the same. */
int close(int fd)
{
    const bool wrong = turn(CALL_CLOSE, name_of(fd));
    const bool failed = wrong && fails();
    const int error = errno, result = real.close(fd);
    name_keep(fd, "");
    after(wrong);
    if (failed) {
        errno = error;
        return -1;
    }
    return result;
}

int stat(const char *restrict path, struct stat *restrict info)
{
    return turn(CALL_STAT, path) && fails() ? -1 : real.stat(path, info);
}

int access(const char *path, int mode)
{
    return turn(CALL_ACCESS, path) && fails() ? -1 : real.access(path, mode);
}

char *realpath(const char *restrict path, char *restrict resolved)
{
    return turn(CALL_REALPATH, path) && fails() ? NULL : real.realpath(path, resolved);
}

int mkstemp(char *name)
{
    const bool wrong = turn(CALL_MKSTEMP, name);
    const int fd = wrong && fails() ? -1 : real.mkstemp(name);
    name_keep(fd, name);
    after(wrong);
    return fd;
}

int fchmod(int fd, mode_t mode)
{
    const bool wrong = turn(CALL_FCHMOD, name_of(fd));
    const int result = wrong && fails() ? -1 : real.fchmod(fd, mode);
    after(wrong);
    return result;
}

/* What goes to standard error is never disturbed: it tells. */
ssize_t write(int fd, const void *bytes, size_t n)
{
    const bool wrong = fd != STDERR_FILENO && turn(CALL_WRITE, name_of(fd));
    if (wrong && fails()) {
        return -1;
    }
    const bool half =
        wrong && n > 1 && (page->action == ACT_SHORT || page->action == ACT_KILL_HALF);
    const ssize_t written = real.write(fd, bytes, half ? n / 2 : n);
    if (wrong && page->action == ACT_KILL_HALF) {
        (void)raise(SIGKILL);
    }
    after(wrong);
    return written;
}

int fsync(int fd)
{
    const bool wrong = turn(CALL_FSYNC, name_of(fd));
    const int result = wrong && fails() ? -1 : real.fsync(fd);
    after(wrong);
    return result;
}

int rename(const char *from, const char *to)
{
    const bool wrong = turn(CALL_RENAME, to);
    const int result = wrong && fails() ? -1 : real.rename(from, to);
    after(wrong);
    return result;
}

int unlink(const char *path)
{
    return turn(CALL_UNLINK, path) && fails() ? -1 : real.unlink(path);
}

DIR *fdopendir(int fd)
{
    return turn(CALL_FOLDER, name_of(fd)) && fails() ? NULL : real.fdopendir(fd);
}

struct dirent *readdir(DIR *folder)
{
    return turn(CALL_FOLDER, name_of(dirfd(folder))) && fails() ? NULL : real.readdir(folder);
}

int memfd_create(const char *name, unsigned flags)
{
    const int fd = turn(CALL_OPEN, PAGE_IN_MEMORY) && fails() ? -1 : real.memfd_create(name, flags);
    name_keep(fd, PAGE_IN_MEMORY);
    return fd;
}
