/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

Test(text, grows_and_stays_terminated)
{
    struct sm_text text;
    sm_text_init(&text);
    for (int i = 0; i < 5000; i++) {
        sm_text_add(&text, "%04d,", i);
        cr_assert_eq(strlen(text.data), text.length);
    }
    cr_assert_eq(text.length, 25000);
    cr_assert_eq(memcmp(text.data + 24995, "4999,", 5), 0);
    cr_assert_not(text.out_of_memory);
    sm_text_release(&text);
    sm_text_release(&text);
    cr_assert_null(text.data);
}

Test(text, takes_bytes_as_they_are_and_empty_additions)
{
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add_bytes(&text, "", 0);
    cr_assert_str_eq(text.data, "");
    sm_text_add(&text, "%s", "");
    sm_text_add_bytes(&text, "a%s\0b", 5);
    cr_assert_eq(text.length, 5);
    cr_assert_eq(memcmp(text.data, "a%s\0b", 6), 0);
    sm_text_release(&text);
}

Test(text, every_length_around_its_capacity_is_added_whole)
{
    char long_text[1200];
    memset(long_text, 'x', sizeof long_text - 1);
    long_text[sizeof long_text - 1] = '\0';
    for (size_t n = 200; n < 1100; n++) {
        struct sm_text text;
        sm_text_init(&text);
        sm_text_add(&text, "%.*s", (int)n, long_text);
        sm_text_add(&text, "%.*s!", (int)n, long_text);
        cr_assert_eq(text.length, 2 * n + 1);
        cr_assert_eq(text.data[2 * n], '!');
        sm_text_release(&text);
    }
}

Test(text, says_when_it_cannot_hold_more_and_keeps_what_it_has)
{
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "kept");
    sm_text_add_bytes(&text, "x", (size_t)-1 / 2);
    cr_assert(text.out_of_memory);
    sm_text_add(&text, "not added");
    cr_assert_str_eq(text.data, "kept");
    sm_text_release(&text);
    cr_assert_not(text.out_of_memory);
}

Test(text, a_text_without_bytes_has_no_words)
{
    struct sm_text text;
    sm_text_init(&text);
    cr_expect_str_eq(text_words(&text), "");
    sm_text_add(&text, "some");
    cr_expect_str_eq(text_words(&text), "some");
    sm_text_release(&text);
}

/* A piece that is short makes the whole short, and one that is not leaves it as it was. */
Test(text, closing_a_text_hands_on_that_memory_ran_out)
{
    struct sm_text text;
    bool out_of_memory = false;
    sm_text_init(&text);
    sm_text_add(&text, "whole");
    text_close(&text, &out_of_memory);
    cr_expect_not(out_of_memory);
    cr_expect_null(text.data);
    sm_text_add_bytes(&text, "x", (size_t)-1 / 2);
    text_close(&text, &out_of_memory);
    cr_expect(out_of_memory);
    sm_text_add(&text, "whole");
    text_close(&text, &out_of_memory);
    cr_expect(out_of_memory);
}
