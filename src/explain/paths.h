/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The names that can be asked for. */
#ifndef SM_EXPLAIN_PATHS_H
#define SM_EXPLAIN_PATHS_H

#include "explain/builder.h"

/* One that can be asked for. */
struct path {
    enum quantity q;
    struct where w;
    const char *name;
    bool result; /* stands in the JSON of a check */
};

/* All of them: results first, row by row.  On lack of memory b->arena->failed is set. */
struct path *paths_list(struct builder *b, size_t *n);

/* The one that `what` names, or NULL with a fault that names the nearest. */
const struct path *path_find(struct builder *b, const char *what, struct sm_faults *faults);

#endif
