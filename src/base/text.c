/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FIRST_CAPACITY 256 /* bytes */

void sm_text_init(struct sm_text *text)
{
    *text = (struct sm_text){ 0 };
}

void sm_text_release(struct sm_text *text)
{
    free(text->data);
    sm_text_init(text);
}

/* Makes room for n more bytes and the closing NUL. */
static bool text_reserve(struct sm_text *text, size_t n)
{
    if (text->out_of_memory)
        return false;
    if (text->capacity - text->length > n)
        return true;
    if (n >= SIZE_MAX / 2 - text->length) {
        text->out_of_memory = true;
        return false;
    }
    size_t capacity = text->capacity ? text->capacity : FIRST_CAPACITY;
    while (capacity <= text->length + n)
        capacity *= 2;
    char *data = realloc(text->data, capacity);
    if (!data) {
        text->out_of_memory = true;
        return false;
    }
    text->data = data;
    text->capacity = capacity;
    return true;
}

void sm_text_add_bytes(struct sm_text *text, const char *bytes, size_t n)
{
    if (!text_reserve(text, n))
        return;
    if (n > 0)
        memcpy(text->data + text->length, bytes, n);
    text->length += n;
    text->data[text->length] = '\0';
}

void sm_text_add(struct sm_text *text, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    const size_t room = text->out_of_memory ? 0 : text->capacity - text->length;
    const int needed = vsnprintf(room ? text->data + text->length : NULL, room, format, args);
    va_end(args);
    if (needed < 0) {
        text->out_of_memory = true;
    } else if ((size_t)needed < room) {
        text->length += (size_t)needed;
    } else if (text_reserve(text, (size_t)needed)) {
        (void)vsnprintf(text->data + text->length, (size_t)needed + 1, format, again);
        text->length += (size_t)needed;
    } else if (room > 0) {
        text->data[text->length] = '\0'; /* take back what the first try wrote in part */
    }
    va_end(again);
}

const char *text_words(const struct sm_text *text)
{
    return text->data ? text->data : "";
}

void text_close(struct sm_text *text, bool *out_of_memory)
{
    *out_of_memory = *out_of_memory || text->out_of_memory;
    sm_text_release(text);
}

int text_order(const void *left, const void *right)
{
    return strcmp(*(const char *const *)left, *(const char *const *)right);
}
