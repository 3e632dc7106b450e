/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/file_list.h"

#include "base/grow.h"
#include "cmd/folder_walk.h"

#include <stdlib.h>
#include <string.h>

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

static bool path_found(void *context, const char *path)
{
    return path_add(context, path);
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
        status = folder_walk(operands[i], path_found, list, faults);
    }
    sort_each_once(list);
    return status;
}
