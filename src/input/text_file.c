/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "input/text_file.h"

#include "base/utf8.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define MIB (1024u * 1024u) /* bytes */

static enum sm_status file_fault(struct sm_faults *faults, const char *file, unsigned limit,
                                 const char *found)
{
    const struct sm_place place = { .file = file };
    return sm_fault_add(faults, SM_ERR_FILE, &place, "%s; expected a text file of at most %u MiB",
                        found, limit);
}

enum sm_status text_file_fault(struct sm_faults *faults, enum sm_status status, const char *file,
                               int error, const char *found, const char *expected)
{
    const struct sm_place place = { .file = file };
    char why[128];
    if (error == ENOMEM)
        return sm_fault_add(faults, SM_ERR_MEMORY, &place, "out of memory");
    if (strerror_r(error, why, sizeof why) != 0)
        memcpy(why, "error", sizeof "error");
    return sm_fault_add(faults, status, &place, "%s: %s; expected %s", found, why, expected);
}

static enum sm_status open_fault(struct sm_faults *faults, const char *file, int error)
{
    return text_file_fault(faults, SM_ERR_FILE, file, error, "cannot be read", "a text file");
}

static const char *kind_complaint(const struct stat *info, unsigned limit)
{
    if (S_ISDIR(info->st_mode))
        return "is a folder";
    if (S_ISFIFO(info->st_mode))
        return "is a pipe";
    if (!S_ISREG(info->st_mode))
        return "is a device";
    if (info->st_size > (off_t)limit * (off_t)MIB)
        return "is too large";
    return NULL;
}

/* A file that grows while it is read, or tells no size, is read until one byte past the limit. */
static enum sm_status descriptor_read(int fd, const char *file, unsigned limit, char **bytes,
                                      size_t *n, struct sm_faults *faults)
{
    struct stat info;
    if (fstat(fd, &info) != 0)
        return open_fault(faults, file, errno);
    const char *complaint = kind_complaint(&info, limit);
    if (complaint)
        return file_fault(faults, file, limit, complaint);

    /* one byte more than the size shows the end in one go; a file without a size gets the limit */
    const size_t most = (size_t)limit * MIB;
    const size_t room = info.st_size > 0 ? (size_t)info.st_size + 1u : most + 1u;
    char *data = malloc(room + 1u);
    if (!data)
        return sm_fault_add(faults, SM_ERR_MEMORY, &(struct sm_place){ .file = file },
                            "out of memory");
    size_t got = 0;
    while (got < room) {
        const ssize_t k = read(fd, data + got, room - got);
        if (k < 0 && errno == EINTR)
            continue;
        if (k < 0) {
            const int error = errno;
            free(data);
            return open_fault(faults, file, error);
        }
        if (k == 0)
            break;
        got += (size_t)k;
    }
    complaint = got == 0      ? "is empty"
                : got > most  ? "is too large"
                : got == room ? "grew while it was read"
                              : NULL;
    if (complaint) {
        free(data);
        return file_fault(faults, file, limit, complaint);
    }
    data[got] = '\0';
    *bytes = data;
    *n = got;
    return SM_OK;
}

enum sm_status text_file_read(const char *file, unsigned limit, char **bytes, size_t *n,
                              struct sm_faults *faults)
{
    /* O_NONBLOCK: opening a pipe without a writer would wait for ever */
    const int fd = open(file, O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);
    if (fd < 0)
        return open_fault(faults, file, errno);
    const enum sm_status status = descriptor_read(fd, file, limit, bytes, n, faults);
    (void)close(fd);
    return status;
}

/* With its mark, or nearly every second byte is NUL: a few characters are beyond the first 256. */
static bool is_utf16(const char *bytes, size_t n)
{
    size_t first = 0, second = 0; /* pairs of which only this byte is NUL */
    for (size_t i = 0; i + 1 < n; i += 2) {
        first += bytes[i] == '\0' && bytes[i + 1] != '\0' ? 1 : 0;
        second += bytes[i] != '\0' && bytes[i + 1] == '\0' ? 1 : 0;
    }
    const size_t enough = n / 2 - n / 20;
    return n >= 2 && (memcmp(bytes, "\xFF\xFE", 2) == 0 || memcmp(bytes, "\xFE\xFF", 2) == 0 ||
                      first >= enough || second >= enough);
}

/* 1  One in so many bytes is NUL in no text, be it damaged in a place or two. */
#define NUL_SHARE 10

/* NULs at the end do not count: there a text was being written when the power failed, and its line
 * is told. */
static bool is_binary(const char *bytes, size_t n)
{
    size_t nuls = 0;
    while (n > 0 && bytes[n - 1] == '\0')
        n--;
    for (size_t i = 0; i < n; i++)
        nuls += bytes[i] == '\0' ? 1 : 0;
    return nuls > n / NUL_SHARE;
}

const char *text_is_no_text(const char *bytes, size_t n)
{
    return is_utf16(bytes, n)    ? "is UTF-16, not UTF-8; expected text in UTF-8"
           : is_binary(bytes, n) ? "is not text; expected text in UTF-8"
                                 : NULL;
}

size_t text_mark(const char *bytes, size_t n)
{
    return n >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
}

const char *text_complaint(const char *bytes, size_t n, const char *allowed)
{
    for (size_t i = 0; i < n;) {
        const size_t length = utf8_length(bytes + i);
        if (length == 0)
            return "is not UTF-8";
        if (bytes[i] == '\0')
            return "has a NUL byte in it";
        if (utf8_is_control(bytes + i) && !strchr(allowed, bytes[i]))
            return "has a control byte in it";
        i += length;
    }
    return NULL;
}
