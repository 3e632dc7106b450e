/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is asked of the allocator, by this program and by the libraries it uses (GNU C library). */
#ifndef SM_BENCH_SPEED_MEMORY_H
#define SM_BENCH_SPEED_MEMORY_H

#include <stddef.h>

struct memory_count {
    size_t calls; /* malloc, calloc and realloc */
    size_t bytes; /* asked for in all */
};

/* Since the program started. */
struct memory_count memory_counted(void);

#endif
