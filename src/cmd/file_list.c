/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _DEFAULT_SOURCE /* NOLINT(bugprone-reserved-identifier): fts.h is from there */

#include "cmd/file_list.h"

#include "base/grow.h"
#include "cmd/options.h"

#include <errno.h>
#include <fts.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define ENDING ".ini"

void file_list_init(struct file_list *list)
{
    *list = (struct file_list){ .path = NULL };
}

void file_list_release(struct file_list *list)
{
    for (size_t i = 0; i < list->n; i++) {
        free(list->path[i]);
    }
    free(list->path);
    file_list_init(list);
}

static bool path_add(struct file_list *list, const char *path)
{
    char **more = list_grow(list->path, list->n, &list->capacity, sizeof *more);
    if (!more) {
        return false;
    }
    list->path = more;
    more[list->n] = text_copy(path);
    if (!more[list->n]) {
        return false;
    }
    list->n++;
    return true;
}

const char *file_list_keep(struct file_list *list, const char *name)
{
    return path_add(list, name) ? list->path[list->n - 1] : NULL;
}

static bool has_ending(const char *name)
{
    const size_t length = strlen(name), ending = strlen(ENDING);
    return length > ending && strcasecmp(name + length - ending, ENDING) == 0;
}

static enum sm_status walk_fault(struct sm_faults *faults, const char *folder, int error)
{
    const struct sm_place place = { .file = folder };
    return error == ENOMEM ? memory_fault(faults)
                           : sm_fault_add(faults, SM_ERR_FILE, &place, "cannot be searched: %s",
                                          strerror(error));
}

/* What one entry of the walk adds.  An operand that is no folder is added whatever it is called. */
static bool entry_add(struct file_list *list, FTS *walk, FTSENT *entry)
{
    const bool operand = entry->fts_level == FTS_ROOTLEVEL;
    switch (entry->fts_info) {
    case FTS_D:
        if (!operand && entry->fts_name[0] == '.') {
            (void)fts_set(walk, entry, FTS_SKIP);
        }
        return true;
    case FTS_DP:
    case FTS_DC:
        return true;
    case FTS_DNR: /* a folder that cannot be read: its row will say so */
        return path_add(list, entry->fts_path);
    default:
        return !(operand || (entry->fts_name[0] != '.' && has_ending(entry->fts_name))) ||
               path_add(list, entry->fts_path);
    }
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static void sort_each_once(struct file_list *list)
{
    if (list->n == 0) {
        return;
    }
    qsort(list->path, list->n, sizeof *list->path, by_name);
    size_t kept = 1;
    for (size_t i = 1; i < list->n; i++) {
        if (strcmp(list->path[i], list->path[kept - 1]) == 0) {
            free(list->path[i]);
        } else {
            list->path[kept++] = list->path[i];
        }
    }
    list->n = kept;
}

enum sm_status file_list_add(struct file_list *list, const char *const *operands, size_t n,
                             struct sm_faults *faults)
{
    enum sm_status status = SM_OK;
    for (size_t i = 0; status == SM_OK && i < n; i++) {
        /* fts_open() takes names without const but does not change them */
        char *name[2] = { NULL, NULL };
        memcpy(&name[0], &operands[i], sizeof name[0]);
        FTS *walk = fts_open(name, FTS_LOGICAL | FTS_NOCHDIR, NULL);
        if (!walk) {
            return walk_fault(faults, operands[i], errno);
        }
        FTSENT *entry = NULL;
        while (status == SM_OK && (entry = fts_read(walk)) != NULL) {
            if (entry->fts_info == FTS_ERR) {
                status = walk_fault(faults, entry->fts_path, entry->fts_errno);
            } else if (!entry_add(list, walk, entry)) {
                status = memory_fault(faults);
            }
        }
        if (!entry && errno != 0) { /* 0 is the walk's end */
            status = walk_fault(faults, operands[i], errno);
        }
        (void)fts_close(walk);
    }
    sort_each_once(list);
    return status;
}
