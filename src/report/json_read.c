/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json_read.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

/* jansson 2.14 does not look whether it got memory for the token that it is reading: it goes on
 * without the character, and then past the end of a text without its closing quote.  So it gets
 * every piece that it asks for, from a reserve where there is no other memory, and no more bytes to
 * read from then on. */

/* Bytes of the reserve beside the token's: what jansson asks for in closing. */
#define CLOSING 4096u

struct reading {
    const char *text;
    size_t left;
    unsigned char *reserve;
    size_t size, used;
    bool lacking; /* the reserve was needed: what is read is of no use */
};

/* jansson hands its allocator nothing of the caller's. */
static struct reading *reading_now;

static void *piece_get(size_t n)
{
    struct reading *r = reading_now;
    void *piece = r->lacking ? NULL : malloc(n);
    if (piece) {
        return piece;
    }
    r->lacking = true;
    const size_t aligned =
        (n + sizeof(max_align_t) - 1) / sizeof(max_align_t) * sizeof(max_align_t);
    if (aligned > r->size - r->used) {
        return NULL;
    }
    piece = r->reserve + r->used;
    r->used += aligned;
    return piece;
}

static void piece_free(void *piece)
{
    const struct reading *r = reading_now;
    const uintptr_t at = (uintptr_t)piece, first = (uintptr_t)r->reserve;
    if (at < first || at >= first + r->size) {
        free(piece);
    }
}

/* One byte at a time: the first after memory ran out is the last. */
static size_t byte_give(void *buffer, size_t room, void *context)
{
    struct reading *r = context;
    if (r->lacking || r->left == 0 || room == 0) {
        return 0;
    }
    *(char *)buffer = *r->text++;
    r->left--;
    return 1;
}

static json_t *reading_run(struct reading *r, size_t flags)
{
    json_malloc_t get = NULL;
    json_free_t give_back = NULL;
    json_get_alloc_funcs(&get, &give_back);
    reading_now = r;
    json_set_alloc_funcs(piece_get, piece_free);
    json_t *value = json_load_callback(byte_give, r, flags, NULL);
    if (r->lacking) {
        json_decref(value);
        value = NULL;
    }
    json_set_alloc_funcs(get, give_back);
    reading_now = NULL;
    return value;
}

enum sm_status json_read(const char *text, size_t n, size_t flags, json_t **value)
{
    /* a token that grows asks for twice what it has */
    struct reading r = { .text = text, .left = n, .size = 2 * n + CLOSING };
    *value = NULL;
    r.reserve = malloc(r.size);
    if (!r.reserve) {
        return SM_ERR_MEMORY;
    }
    *value = reading_run(&r, flags);
    free(r.reserve);
    return r.lacking ? SM_ERR_MEMORY : *value ? SM_OK : SM_ERR_SYNTAX;
}
