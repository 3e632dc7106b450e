/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Memory that runs out meanwhile is tried by `make faults`. */
#include "report/json_read.h"

#include <criterion/criterion.h>
#include <string.h>

static enum sm_status read_text(const char *text, size_t flags, json_t **value)
{
    return json_read(text, strlen(text), flags, value);
}

/* What was written in, each kind of value once; 0.25 has no rounding. */
Test(json_read, gives_back_every_value)
{
    json_t *value = NULL;
    const char *text = "{\"text\": \"\xC3\xA4\\n\\u0041\", \"list\": [1, 0.25, null, true]}";
    cr_assert_eq(read_text(text, 0, &value), SM_OK);
    const json_t *list = json_object_get(value, "list");
    cr_expect_str_eq(json_string_value(json_object_get(value, "text")), "\xC3\xA4\nA");
    cr_assert_eq(json_array_size(list), 4);
    cr_expect_eq(json_integer_value(json_array_get(list, 0)), 1);
    cr_expect(json_real_value(json_array_get(list, 1)) <= 0.25);
    cr_expect(json_real_value(json_array_get(list, 1)) >= 0.25);
    cr_expect(json_is_null(json_array_get(list, 2)) && json_is_true(json_array_get(list, 3)));
    json_decref(value);
}

Test(json_read, a_long_text_comes_through_whole)
{
    static char text[200001];
    json_t *value = NULL;
    memset(text, 'x', sizeof text - 1);
    memcpy(text, "[\"", 2);
    memcpy(text + sizeof text - 3, "\"]", 2);
    cr_assert_eq(read_text(text, 0, &value), SM_OK);
    cr_expect_eq(json_string_length(json_array_get(value, 0)), sizeof text - 5);
    json_decref(value);
}

Test(json_read, what_is_no_json_is_told_apart_from_no_memory)
{
    static const char *const texts[] = { "", "{", "[\"open", "[1,]", "{} {}", "[\xFF]", "nothing" };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        json_t *value = NULL;
        cr_expect_eq(read_text(texts[i], 0, &value), SM_ERR_SYNTAX, "%s", texts[i]);
        cr_expect_null(value);
    }
}

Test(json_read, flags_are_passed_on)
{
    json_t *value = NULL;
    cr_expect_eq(read_text("{\"a\": 1, \"a\": 2}", JSON_REJECT_DUPLICATES, &value), SM_ERR_SYNTAX);
}
