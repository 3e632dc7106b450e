/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "input/ini_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define FILE_LIMIT (1024u * 1024u) /* bytes */

/* A file that grows while it is read, or tells no size, is read until one byte past the limit. */
#define READ_LIMIT (FILE_LIMIT + 1u)

static enum sm_status file_fault(struct sm_faults *faults, const char *file, const char *found)
{
    const struct sm_place place = { .file = file };
    return sm_fault_add(faults, SM_ERR_FILE, &place, "%s; expected a text file of at most 1 MiB",
                        found);
}

static enum sm_status open_fault(struct sm_faults *faults, const char *file, int error)
{
    const struct sm_place place = { .file = file };
    char why[128];
    if (strerror_r(error, why, sizeof why) != 0)
        memcpy(why, "error", sizeof "error");
    return sm_fault_add(faults, SM_ERR_FILE, &place, "cannot be read: %s; expected a text file",
                        why);
}

static const char *kind_complaint(const struct stat *info)
{
    if (S_ISDIR(info->st_mode))
        return "is a folder";
    if (S_ISFIFO(info->st_mode))
        return "is a pipe";
    if (S_ISSOCK(info->st_mode))
        return "is a socket";
    if (!S_ISREG(info->st_mode))
        return "is a device";
    if (info->st_size > (off_t)FILE_LIMIT)
        return "is larger than 1 MiB";
    return NULL;
}

static enum sm_status descriptor_read(int fd, const char *file, char **bytes, size_t *n,
                                      struct sm_faults *faults)
{
    struct stat info;
    if (fstat(fd, &info) != 0)
        return open_fault(faults, file, errno);
    const char *complaint = kind_complaint(&info);
    if (complaint)
        return file_fault(faults, file, complaint);

    /* one byte more than the size shows the end in one go; a file without a size gets the limit */
    const size_t room = info.st_size > 0 ? (size_t)info.st_size + 1u : (size_t)READ_LIMIT;
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
    complaint = got == 0           ? "is empty"
                : got > FILE_LIMIT ? "is larger than 1 MiB"
                : got == room      ? "grew while it was read"
                                   : NULL;
    if (complaint) {
        free(data);
        return file_fault(faults, file, complaint);
    }
    data[got] = '\0';
    *bytes = data;
    *n = got;
    return SM_OK;
}

enum sm_status ini_file_read(const char *file, char **bytes, size_t *n, struct sm_faults *faults)
{
    /* O_NONBLOCK: opening a pipe without a writer would wait for ever */
    const int fd = open(file, O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);
    if (fd < 0)
        return open_fault(faults, file, errno);
    const enum sm_status status = descriptor_read(fd, file, bytes, n, faults);
    (void)close(fd);
    return status;
}
