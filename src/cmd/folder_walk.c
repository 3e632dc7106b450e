/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Of our own, as fts_open() of the GNU C library crashes when memory runs out, and ends a folder
 * early, without a word, when it cannot be read on. */
#include "cmd/folder_walk.h"

#include "base/grow.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <unistd.h>

#define ENDING ".ini"

struct walk {
    folder_found *found;
    void *context;
    struct sm_faults *faults;
};

/* A folder that is being searched, and the one that it is in. */
struct level {
    dev_t device;
    ino_t number;
    const struct level *above;
};

/* Paths of one folder's entries. */
struct entries {
    char **path;
    size_t n, capacity;
};

static enum sm_status walk_fault(const struct walk *walk, const char *path, int error)
{
    const struct sm_place place = { .file = path };
    return error == ENOMEM ? sm_fault_add(walk->faults, SM_ERR_MEMORY, &place, "out of memory")
                           : sm_fault_add(walk->faults, SM_ERR_FILE, &place,
                                          "cannot be searched: %s", strerror(error));
}

static enum sm_status path_found(const struct walk *walk, const char *path)
{
    return walk->found(walk->context, path) ? SM_OK : walk_fault(walk, path, ENOMEM);
}

static bool has_ending(const char *name)
{
    const size_t length = strlen(name), ending = strlen(ENDING);
    return length > ending && strcasecmp(name + length - ending, ENDING) == 0;
}

/* "folder/name", owned by the caller; NULL without memory. */
static char *path_join(const char *folder, const char *name)
{
    const size_t length = strlen(folder), size = length + strlen(name) + 2;
    const char *slash = length > 0 && folder[length - 1] == '/' ? "" : "/";
    char *path = malloc(size);
    if (path) {
        (void)snprintf(path, size, "%s%s%s", folder, slash, name);
    }
    return path;
}

/* Returned: 0 or an errno. */
static int entry_add(struct entries *entries, const char *folder, const char *name)
{
    char **more = list_grow(entries->path, entries->n, &entries->capacity, sizeof *more);
    if (!more) {
        return ENOMEM;
    }
    entries->path = more;
    more[entries->n] = path_join(folder, name);
    return more[entries->n++] ? 0 : ENOMEM;
}

static void entries_release(struct entries *entries)
{
    for (size_t i = 0; i < entries->n; i++) {
        free(entries->path[i]);
    }
    free(entries->path);
}

/* All that is not hidden.  Closes fd.  Returned: 0 or an errno. */
static int entries_read(int fd, const char *folder, struct entries *entries)
{
    DIR *stream = fdopendir(fd);
    if (!stream) {
        const int error = errno;
        (void)close(fd);
        return error;
    }
    int error = 0;
    const struct dirent *entry = NULL;
    do {
        errno = 0;
        entry = readdir(stream);
        error = entry ? 0 : errno;
        if (entry && entry->d_name[0] != '.') {
            error = entry_add(entries, folder, entry->d_name);
        }
    } while (entry && error == 0);
    (void)closedir(stream);
    return error;
}

static bool is_circle(const struct level *level)
{
    for (const struct level *above = level->above; above; above = above->above) {
        if (above->device == level->device && above->number == level->number) {
            return true;
        }
    }
    return false;
}

static bool is_folder(const char *path)
{
    struct stat info;
    return stat(path, &info) == 0 && S_ISDIR(info.st_mode);
}

/* What is no folder, or may not be entered.  wanted: a file of that name is one of ours. */
static enum sm_status other_walk(const struct walk *walk, const char *path, bool wanted, int error)
{
    switch (error) {
    case ENOTDIR:
    case ENOENT: /* a link to nowhere, or in a circle */
    case ELOOP:
        return wanted ? path_found(walk, path) : SM_OK;
    case EACCES:
        return wanted || is_folder(path) ? path_found(walk, path) : SM_OK;
    case ENAMETOOLONG: /* no way to find out what it is */
        return path_found(walk, path);
    default:
        return walk_fault(walk, path, error);
    }
}

/* The depth is bounded: a path that is too long for the system is not entered. */
static enum sm_status path_walk(const struct walk *walk, const char *path, bool wanted,
                                const struct level *above)
{
    const int fd = open(path, O_RDONLY | O_DIRECTORY | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0) {
        return other_walk(walk, path, wanted, errno);
    }
    struct stat info;
    struct entries entries = { .path = NULL };
    int error = fstat(fd, &info) == 0 ? 0 : errno;
    const struct level level = { info.st_dev, info.st_ino, above };
    if (error != 0 || is_circle(&level)) {
        (void)close(fd);
        return error != 0 ? walk_fault(walk, path, error) : SM_OK;
    }
    error = entries_read(fd, path, &entries);
    enum sm_status status = error != 0 ? walk_fault(walk, path, error) : SM_OK;
    for (size_t i = 0; status == SM_OK && i < entries.n; i++) {
        status = path_walk(walk, entries.path[i], has_ending(entries.path[i]), &level);
    }
    entries_release(&entries);
    return status;
}

enum sm_status folder_walk(const char *path, folder_found *found, void *context,
                           struct sm_faults *faults)
{
    const struct walk walk = { found, context, faults };
    return path[0] != '\0' ? path_walk(&walk, path, true, NULL) : walk_fault(&walk, path, ENOENT);
}
