/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * An arena: many small arrays that live and die together, for one run of the engine.  Nothing is
 * freed alone; running out of memory is remembered and checked once, at the end of building. */
#ifndef SM_BASE_ARENA_H
#define SM_BASE_ARENA_H

#include <stdbool.h>
#include <stddef.h>

struct arena_block;

struct arena {
    struct arena_block *head; /* newest block */
    size_t used;              /* bytes of it */
    size_t bytes;             /* bytes asked for in all */
    bool failed;              /* an allocation failed */
};

void arena_init(struct arena *arena);

/* n zeroed doubles, aligned for vector loads; NULL and arena->failed when there is no memory. */
double *arena_doubles(struct arena *arena, size_t n);

/* n zeroed bytes with the same promise. */
void *arena_bytes(struct arena *arena, size_t n);

/* Everything is forgotten, the newest block is kept for the next use. */
void arena_clear(struct arena *arena);

void arena_release(struct arena *arena);

#endif
