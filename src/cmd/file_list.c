/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* NOLINT(bugprone-reserved-identifier): realpath() is from there */

#include "cmd/file_list.h"

#include "base/grow.h"
#include "cmd/folder_walk.h"
#include "cmd/options.h"
#include "cmd/output.h"

#include <errno.h>
#include <stdio.h>
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

/* ---------------------------------------------------------- each file once */

/* A file under the name that was given, and where it really is. */
struct named {
    char *path, *real;
};

static int by_place(const void *left, const void *right)
{
    const struct named *a = left, *b = right;
    const int order = strcmp(a->real, b->real);
    return order != 0 ? order : strcmp(a->path, b->path);
}

static int by_name(const void *a, const void *b)
{
    return strcmp(((const struct named *)a)->path, ((const struct named *)b)->path);
}

/* Of a file that is not there, or that nothing can be found out about, its name is all that is
 * known: reading it will tell.  Returned: owned, NULL without memory. */
static char *real_path(const char *path)
{
    char *real = realpath(path, NULL);
    return real || errno == ENOMEM ? real : text_copy(path);
}

static void names_release(struct named *names, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        free(names[i].real);
    }
    free(names);
}

/* Names of files that were left out, since the file has another one. */
struct left_out {
    const char *kept, *path; /* of the first */
    size_t n;
};

static void left_out_tell(const struct left_out *left)
{
    char more[96] = "";
    struct sm_faults notes;
    if (left->n == 0) {
        return;
    }
    if (left->n > 1) {
        (void)snprintf(more, sizeof more, ", the first of %zu such names", left->n);
    }
    sm_faults_init(&notes);
    const struct sm_place place = { .file = left->path };
    if (strcmp(left->kept, left->path) == 0) {
        (void)sm_fault_add(&notes, SM_ERR_VALUE, &place, "note: named twice%s; read once", more);
    } else {
        (void)sm_fault_add(&notes, SM_ERR_VALUE, &place, "note: the same file as '%s'%s; read once",
                           left->kept, more);
    }
    output_faults(&notes);
    sm_faults_release(&notes);
}

/* Keeps the first name of each file.  Given: names by place, one at least.  Returned: how many are
 * kept, in front of the others. */
static size_t each_keep(struct named *names, size_t n)
{
    struct left_out left = { .n = 0 };
    size_t kept = 1;
    for (size_t i = 1; i < n; i++) {
        struct named *before = &names[kept - 1];
        if (strcmp(names[i].real, before->real) != 0) {
            const struct named other = names[kept];
            names[kept++] = names[i];
            names[i] = other;
        } else if (left.n++ == 0) {
            left.kept = before->path;
            left.path = names[i].path;
        }
    }
    left_out_tell(&left);
    return kept;
}

/* The list as names with their places.  Returned: owned; NULL without memory. */
static struct named *places_find(const struct file_list *list)
{
    struct named *names = list_zeroed(list->n, sizeof *names);
    bool found = names != NULL;
    for (size_t i = 0; found && i < list->n; i++) {
        names[i] = (struct named){ list->path[i], real_path(list->path[i]) };
        found = names[i].real != NULL;
    }
    if (names && !found) {
        names_release(names, list->n);
        return NULL;
    }
    return names;
}

static enum sm_status sort_each_once(struct file_list *list, struct sm_faults *faults)
{
    if (list->n == 0) {
        return SM_OK;
    }
    struct named *names = places_find(list);
    if (!names) {
        return memory_fault(faults);
    }
    const size_t n = list->n;
    qsort(names, n, sizeof *names, by_place);
    list->n = each_keep(names, n);
    qsort(names, list->n, sizeof *names, by_name);
    for (size_t i = 0; i < n; i++) {
        list->path[i] = names[i].path;
    }
    for (size_t i = list->n; i < n; i++) {
        free(list->path[i]);
    }
    names_release(names, n);
    return SM_OK;
}

/* Adds what an operand names; a folder that holds nothing was named by a slip. */
static enum sm_status operand_add(struct file_list *list, const char *operand,
                                  struct sm_faults *faults)
{
    const size_t before = list->n;
    const enum sm_status status = folder_walk(operand, path_found, list, faults);
    if (status != SM_OK || list->n > before) {
        return status;
    }
    return sm_fault_add(faults, SM_ERR_FILE, &(struct sm_place){ .file = operand },
                        "holds no file that ends in .ini; expected one at least");
}

enum sm_status file_list_add(struct file_list *list, const char *const *operands, size_t n,
                             struct sm_faults *faults)
{
    enum sm_status status = SM_OK;
    for (size_t i = 0; i < n && status != SM_ERR_MEMORY; i++) {
        const enum sm_status added = operand_add(list, operands[i], faults);
        status = status == SM_OK || added == SM_ERR_MEMORY ? added : status;
    }
    return status == SM_OK ? sort_each_once(list, faults) : status;
}
