/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The INI files that a command's operands name: files as they are, folders searched to the bottom.
 */
#ifndef SWAPMARGIN_CMD_FILE_LIST_H
#define SWAPMARGIN_CMD_FILE_LIST_H

#include "swapmargin/error.h"

#include <stddef.h>

/* Sorted by name, each file once. */
struct file_list {
    char **path;
    size_t n, capacity;
};

void file_list_init(struct file_list *list);
void file_list_release(struct file_list *list);

/* Adds the operands.  A folder gives what folder_walk() finds in it; what is no folder is taken as
 * it is, there or not: reading it will tell.  A file that has several names, by links or by the
 * way it is written, keeps the first of them; a note on standard error tells.
 * Errors: SM_ERR_FILE (a folder without any), SM_ERR_MEMORY, those of folder_walk(). */
enum sm_status file_list_add(struct file_list *list, const char *const *operands, size_t n,
                             struct sm_faults *faults);

/* Adds one name as it is, unsorted; returns the list's copy, NULL without memory. */
const char *file_list_keep(struct file_list *list, const char *name);

#endif
