/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/arena.h"

#include <criterion/criterion.h>
#include <stdint.h>

Test(arena, gives_zeroed_memory_that_does_not_overlap)
{
    struct arena arena;
    arena_init(&arena);
    double *first = arena_doubles(&arena, 100);
    double *second = arena_doubles(&arena, 20000); /* more than one block */
    double *third = arena_doubles(&arena, 3);
    cr_assert(first && second && third && !arena.failed);
    for (size_t i = 0; i < 100; i++)
        first[i] = 1.0;
    for (size_t i = 0; i < 20000; i++) {
        cr_assert(second[i] >= 0.0 && second[i] <= 0.0);
        second[i] = 2.0;
    }
    for (size_t i = 0; i < 100; i++)
        cr_assert(first[i] > 0.5 && first[i] < 1.5);
    arena_release(&arena);
}

Test(arena, refuses_sizes_that_do_not_fit_in_memory_and_remembers_it)
{
    struct arena arena;
    arena_init(&arena);
    cr_assert_null(arena_doubles(&arena, SIZE_MAX / 4));
    cr_assert(arena.failed);
    arena_clear(&arena);
    cr_assert_not(arena.failed);
    cr_assert_not_null(arena_doubles(&arena, 4));
    arena_release(&arena);
    arena_release(&arena); /* safe twice */
}
