/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/grow.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Elements: most lists end with fewer. */
#define FIRST_ROOM 16

void *list_grow(void *list, size_t count, size_t *room, size_t size)
{
    if (list && count < *room)
        return list;
    const size_t more = *room ? *room : FIRST_ROOM / 2;
    if (more > SIZE_MAX / 2 / size)
        return NULL;
    void *grown = realloc(list, 2 * more * size);
    if (grown)
        *room = 2 * more;
    return grown;
}

void *list_zeroed(size_t n, size_t size)
{
    return calloc(n > 0 ? n : 1, size);
}

char *text_copy_part(const char *text, size_t length)
{
    char *copy = malloc(length + 1);
    if (copy) {
        memcpy(copy, text, length);
        copy[length] = '\0';
    }
    return copy;
}

char *text_copy(const char *text)
{
    return text_copy_part(text, strlen(text));
}
