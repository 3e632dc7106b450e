/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Lists that grow one by one, and copies of texts. */
#ifndef SM_BASE_GROW_H
#define SM_BASE_GROW_H

#include <stddef.h>

/* Room for one more element.
 * Given: the list (NULL when it has none), elements in use, *room for as many, bytes of one.
 * Returned: the list, moved and with twice the room where it was full; NULL when there is no
 * memory: then list and *room are as they were. */
void *list_grow(void *list, size_t count, size_t *room, size_t size);

/* n zeroed elements that the caller frees, one where n is 0; NULL when there is no memory. */
void *list_zeroed(size_t n, size_t size);

/* A copy that the caller frees, of a text and of its first bytes; NULL when there is no memory. */
char *text_copy(const char *text);
char *text_copy_part(const char *text, size_t length);

#endif
