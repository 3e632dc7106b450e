/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/arena.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum {
    /* so small that the C library keeps what a run gives back: blocks that went back to the
     * system would cost a page fault for every 4 kB of the next run */
    BLOCK_BYTES = 16 * 1024,
    ALIGNMENT = 32 /* bytes of the widest vector that compilers use by default */
};

struct arena_block {
    struct arena_block *older;
    size_t size;
    unsigned char *data; /* aligned, inside `raw` */
    unsigned char raw[];
};

void arena_init(struct arena *arena)
{
    *arena = (struct arena){ .head = NULL };
}

static struct arena_block *block_new(size_t size)
{
    if (size > SIZE_MAX - sizeof(struct arena_block) - ALIGNMENT)
        return NULL;
    struct arena_block *block = malloc(sizeof *block + size + ALIGNMENT);
    if (!block)
        return NULL;
    const uintptr_t start = (uintptr_t)block->raw;
    block->data = block->raw + (ALIGNMENT - start % ALIGNMENT) % ALIGNMENT;
    block->size = size;
    block->older = NULL;
    return block;
}

void *arena_bytes(struct arena *arena, size_t n)
{
    if (n > SIZE_MAX - ALIGNMENT) {
        arena->failed = true;
        return NULL;
    }
    const size_t need = (n + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
    if (!arena->head || arena->head->size - arena->used < need) {
        struct arena_block *block = block_new(need > BLOCK_BYTES ? need : BLOCK_BYTES);
        if (!block) {
            arena->failed = true;
            return NULL;
        }
        block->older = arena->head;
        arena->head = block;
        arena->used = 0;
    }
    void *bytes = arena->head->data + arena->used;
    arena->used += need;
    arena->bytes += need;
    return memset(bytes, 0, n);
}

double *arena_doubles(struct arena *arena, size_t n)
{
    if (n > SIZE_MAX / sizeof(double)) {
        arena->failed = true;
        return NULL;
    }
    return arena_bytes(arena, n * sizeof(double));
}

static void blocks_free(struct arena_block *block)
{
    while (block) {
        struct arena_block *older = block->older;
        free(block);
        block = older;
    }
}

void arena_clear(struct arena *arena)
{
    if (arena->head) {
        blocks_free(arena->head->older);
        arena->head->older = NULL;
    }
    arena->used = 0;
    arena->bytes = 0;
    arena->failed = false;
}

void arena_release(struct arena *arena)
{
    blocks_free(arena->head);
    arena_init(arena);
}
