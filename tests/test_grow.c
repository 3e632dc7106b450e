/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected values follow from what the header promises. */
#include "base/grow.h"

#include <criterion/criterion.h>
#include <stdint.h>
#include <stdlib.h>

Test(grow, a_list_keeps_what_is_in_it_and_is_moved_a_few_times_only)
{
    int *list = NULL;
    size_t room = 0, moves = 0;
    for (int i = 0; i < 1000; i++) {
        const size_t before = room;
        int *grown = list_grow(list, (size_t)i, &room, sizeof *list);
        cr_assert_not_null(grown);
        cr_assert_gt(room, (size_t)i);
        moves += room != before ? 1u : 0u;
        list = grown;
        list[i] = i;
    }
    for (int i = 0; i < 1000; i++)
        cr_expect_eq(list[i], i);
    cr_expect_leq(moves, 10u); /* doubling from one element at the least: 2^10 > 1000 */
    free(list);
}

Test(grow, a_list_larger_than_memory_can_be_is_refused_and_stays)
{
    size_t room = SIZE_MAX / 4;
    char one = 'x';
    cr_expect_null(list_grow(&one, room, &room, 8));
    cr_expect_eq(room, SIZE_MAX / 4);
    cr_expect_eq(one, 'x');
}

Test(grow, a_new_list_is_zero_and_an_empty_one_has_room_for_one)
{
    double *list = list_zeroed(3, sizeof *list);
    cr_assert_not_null(list);
    for (int i = 0; i < 3; i++)
        cr_expect_eq(list[i], 0.0);
    free(list);
    int *empty = list_zeroed(0, sizeof *empty);
    cr_assert_not_null(empty);
    cr_expect_eq(empty[0], 0);
    free(empty);
}

Test(grow, a_copy_of_a_text_is_its_own)
{
    char text[] = "module.ini";
    char *copy = text_copy(text);
    cr_assert_not_null(copy);
    text[0] = 'M';
    cr_expect_str_eq(copy, "module.ini");
    free(copy);
    copy = text_copy_part(text, 6);
    cr_expect_str_eq(copy, "Module");
    free(copy);
    copy = text_copy("");
    cr_expect_str_eq(copy, "");
    free(copy);
}
