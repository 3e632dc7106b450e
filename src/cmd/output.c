/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* NOLINT(bugprone-reserved-identifier): realpath() is from there */

#include "cmd/output.h"

#include "base/grow.h"
#include "cmd/options.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define TEMPORARY "/.swapmargin-XXXXXX"

/* Mode of a new file before the user's mask. */
#define MODE_NEW 0666u

static enum sm_status file_fault(struct sm_faults *faults, const char *path, const char *problem)
{
    const struct sm_place place = { .file = path };
    return sm_fault_add(faults, SM_ERR_FILE, &place, "cannot be written: %s", problem);
}

static enum sm_status memory_lacks(struct sm_faults *faults, const char *path)
{
    return sm_fault_add(faults, SM_ERR_MEMORY, &(struct sm_place){ .file = path }, "out of memory");
}

/* Writes everything.  Returned: 0, or the errno of the failure. */
static int write_all(int fd, const char *data, size_t length)
{
    while (length > 0) {
        const ssize_t n = write(fd, data, length);
        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n <= 0) {
            return n < 0 ? errno : EIO;
        }
        data += n;
        length -= (size_t)n;
    }
    return 0;
}

/* What is being written, and what its source says when it fails. */
struct writing {
    const struct output_body *body;
    struct sm_faults *faults;
    enum sm_status source; /* SM_OK, or of a source that failed and told so */
};

/* Writes the text and every piece after it.  Returned: 0 or an errno; ECANCELED when the source
 * failed. */
static int body_write(int fd, struct writing *writing)
{
    const struct output_body *body = writing->body;
    int error = write_all(fd, body->text->data, body->text->length);
    struct sm_text piece;
    sm_text_init(&piece);
    while (error == 0 && body->rest.next) {
        writing->source = body->rest.next(body->rest.context, &piece, writing->faults);
        if (writing->source != SM_OK || piece.length == 0) {
            break;
        }
        error = write_all(fd, piece.data, piece.length);
    }
    sm_text_release(&piece);
    return writing->source == SM_OK ? error : ECANCELED;
}

/* Places that can't sync (some network and memory file systems) say EINVAL: nothing is lost. */
static int sync_file(int fd)
{
    return fsync(fd) == 0 || errno == EINVAL || errno == ENOTSUP ? 0 : errno;
}

static unsigned mask_now(void)
{
    const mode_t mask = umask(0);
    (void)umask(mask);
    return (unsigned)mask;
}

/* ------------------------------------------------------------------ place */

/* Where the result goes: the real path behind a link, its folder, and the mode it gets. */
struct place {
    char *path;
    char *folder;
    mode_t mode;
};

static void place_release(struct place *place)
{
    free(place->path);
    free(place->folder);
}

/* Takes the real path and its folder.  Returned: 0 or an errno. */
static int place_resolve(const char *path, struct place *place)
{
    place->path = realpath(path, NULL);
    if (!place->path && errno != ENOENT) {
        return errno != 0 ? errno : EIO;
    }
    if (!place->path) {
        place->path = text_copy(path);
    }
    if (!place->path) {
        return ENOMEM;
    }
    const char *slash = strrchr(place->path, '/');
    const size_t length = slash ? (size_t)(slash - place->path) : 0;
    place->folder = !slash        ? text_copy(".")
                    : length == 0 ? text_copy("/")
                                  : text_copy_part(place->path, length);
    return place->folder ? 0 : ENOMEM;
}

/* What forbids writing over an existing file, or NULL.  An input that nothing can be found out
 * about might be that very file. */
static const char *existing_problem(const struct stat *old, const char *path,
                                    const char *const *inputs, size_t n_inputs)
{
    if (!S_ISREG(old->st_mode)) {
        return S_ISDIR(old->st_mode) ? "it is a folder" : "it is not an ordinary file";
    }
    for (size_t i = 0; i < n_inputs; i++) {
        struct stat input;
        if (stat(inputs[i], &input) != 0) {
            if (errno != ENOENT) {
                return strerror(errno);
            }
        } else if (old->st_dev == input.st_dev && old->st_ino == input.st_ino) {
            return "it is one of the files read";
        }
    }
    return access(path, W_OK) == 0 ? NULL : strerror(errno);
}

/* ------------------------------------------------------------------- file */

/* Fills an open temporary file and closes it.  Returned: 0 or an errno. */
static int temporary_fill(int fd, struct writing *writing, mode_t mode)
{
    int error = fchmod(fd, mode) == 0 ? 0 : errno;
    if (error == 0) {
        error = body_write(fd, writing);
    }
    if (error == 0) {
        error = sync_file(fd);
    }
    if (close(fd) != 0 && error == 0) {
        error = errno;
    }
    return error;
}

/* Puts the new name on the disk too.  The file itself is already whole and in its place, so that a
 * folder that can't be synced is no failure. */
static void folder_sync(const char *folder)
{
    const int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd >= 0) {
        (void)sync_file(fd);
        (void)close(fd);
    }
}

static int place_write(const struct place *place, struct writing *writing)
{
    const size_t size = strlen(place->folder) + sizeof TEMPORARY;
    char *name = malloc(size);
    if (!name) {
        return ENOMEM;
    }
    (void)snprintf(name, size, "%s%s", place->folder, TEMPORARY);
    const int fd = mkstemp(name);
    int error = fd >= 0 ? temporary_fill(fd, writing, place->mode) : errno;
    if (error == 0 && rename(name, place->path) != 0) {
        error = errno;
    }
    if (error != 0 && fd >= 0) {
        (void)unlink(name);
    }
    if (error == 0) {
        folder_sync(place->folder);
    }
    free(name);
    return error;
}

enum sm_status output_file(const char *path, const struct output_body *body,
                           const char *const *inputs, size_t n_inputs, struct sm_faults *faults)
{
    struct writing writing = { body, faults, SM_OK };
    struct place place = { .mode = (mode_t)(MODE_NEW & ~mask_now()) };
    struct stat old;
    const char *problem = NULL;
    const size_t length = strlen(path);
    if (stat(path, &old) == 0) {
        problem = existing_problem(&old, path, inputs, n_inputs);
        place.mode = old.st_mode & 0777u;
    } else if (errno != ENOENT) {
        problem = strerror(errno);
    } else if (length > 0 && path[length - 1] == '/') {
        problem = "it names a folder";
    }
    int error = problem ? 0 : place_resolve(path, &place);
    if (error == 0 && place.folder) {
        error = place_write(&place, &writing);
    }
    place_release(&place);
    if (writing.source != SM_OK) {
        return writing.source;
    }
    if (error == ENOMEM) {
        return memory_lacks(faults, path);
    }
    if (problem || error != 0) {
        return file_fault(faults, path, problem ? problem : strerror(error));
    }
    return SM_OK;
}

/* ---------------------------------------------------------------- streams */

enum sm_status output_standard(const struct output_body *body, struct sm_faults *faults)
{
    struct writing writing = { body, faults, SM_OK };
    int error = body_write(STDOUT_FILENO, &writing);
    if (close(STDOUT_FILENO) != 0 && error == 0) {
        error = errno;
    }
    if (writing.source != SM_OK) {
        return writing.source;
    }
    return error == 0 ? SM_OK : file_fault(faults, "standard output", strerror(error));
}

void output_error(const struct sm_text *text)
{
    /* where standard error itself fails there is nobody left to tell */
    (void)write_all(STDERR_FILENO, text->data, text->length);
}

/* Says what needs no memory: that there was none. */
static void shortage_tell(const char *sentence)
{
    (void)write_all(STDERR_FILENO, sentence, strlen(sentence));
}

void output_faults(const struct sm_faults *faults)
{
    struct sm_text text;
    sm_text_init(&text);
    for (size_t i = 0; i < faults->count; i++) {
        sm_report_fault(&faults->list[i], &text);
    }
    output_error(&text);
    if (faults->out_of_memory || text.out_of_memory) {
        shortage_tell(PROGRAM_NAME ": out of memory: not all faults could be kept\n");
    }
    sm_text_release(&text);
}

void output_warnings(const struct sm_warnings *warnings)
{
    struct sm_text text;
    sm_text_init(&text);
    for (size_t i = 0; i < warnings->count; i++) {
        sm_report_warning(&warnings->list[i], &text);
    }
    output_error(&text);
    if (text.out_of_memory) {
        shortage_tell(PROGRAM_NAME ": out of memory: not all warnings could be written\n");
    }
    sm_text_release(&text);
}

void output_guard(void)
{
    for (int fd = STDIN_FILENO; fd <= STDERR_FILENO; fd++) {
        if (fcntl(fd, F_GETFD) == -1 && errno == EBADF) {
            /* the lowest free number is this one; read-only, so that writing to it still fails */
            (void)open("/dev/null", O_RDONLY);
        }
    }
}
