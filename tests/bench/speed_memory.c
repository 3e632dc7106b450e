/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "speed_memory.h"

/* The C library's own allocator under the names it keeps for replacements like these. */
extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t n, size_t size);
extern void *__libc_realloc(void *old, size_t size);

void *malloc(size_t size);
void *calloc(size_t n, size_t size);
void *realloc(void *old, size_t size);

static struct memory_count counted;

struct memory_count memory_counted(void)
{
    return counted;
}

static void count(size_t bytes)
{
    counted.calls++;
    counted.bytes += bytes;
}

void *malloc(size_t size)
{
    count(size);
    return __libc_malloc(size);
}

void *calloc(size_t n, size_t size)
{
    count(n * size);
    return __libc_calloc(n, size);
}

void *realloc(void *old, size_t size)
{
    count(size);
    return __libc_realloc(old, size);
}
