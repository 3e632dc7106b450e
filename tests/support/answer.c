/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/answer.h"

#include <criterion/criterion.h>

#include <string.h>

json_t *answer_json(const struct run *run)
{
    json_error_t error;
    json_t *root = json_loads(run->out, JSON_REJECT_DUPLICATES, &error);
    cr_assert_not_null(root, "line %d: %s\n%s", error.line, error.text, run->err);
    return root;
}

json_t *answer_to(struct run *run, const char *command)
{
    run_line(run, command);
    return answer_json(run);
}

double answer_number(json_t *object, const char *key)
{
    json_t *value = json_object_get(object, key);
    cr_assert(json_is_number(value), "%s is no number", key);
    return json_number_value(value);
}

const char *answer_words(json_t *object, const char *key)
{
    const char *words = json_string_value(json_object_get(object, key));
    return words ? words : "";
}

json_t *answer_row(json_t *list, const char *name)
{
    size_t i = 0;
    json_t *row = NULL;
    json_array_foreach(list, i, row)
    {
        if (strcmp(answer_words(row, "name"), name) == 0)
            return row;
    }
    cr_assert_fail("no row %s", name);
    return NULL;
}
