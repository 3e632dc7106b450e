/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected: the rules of json_value.h; conversions by hand. */
#include "report/json_value.h"

#include "base/text.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static void number_is(double si, const char *unit, const char *expected)
{
    struct json_writer writer = { SM_OK };
    struct sm_text out;
    json_t *array = json_array();
    sm_text_init(&out);
    json_append(&writer, array, json_quantity(&writer, si, unit));
    cr_expect_eq(json_deliver(&writer, array, json_text, &out, NULL), SM_OK);
    cr_expect_str_eq(text_words(&out), expected);
    sm_text_release(&out);
}

Test(json_value, numbers_are_converted_and_whole_ones_have_no_fraction)
{
    number_is(0.25, "", "[\n  0.25\n]\n");
    number_is(300.0, "", "[\n  300\n]\n");
    number_is(298.15, "degC", "[\n  25\n]\n");
    number_is(1e4, "kW", "[\n  10\n]\n");
    number_is(1e9, "", "[\n  1000000000.0\n]\n"); /* from 1e9 on as a real: 1e9 is the bound */
}

/* Delivering ends with the fault, and nothing is written. */
static void refused(double si, const char *unit)
{
    struct json_writer writer = { SM_OK };
    struct sm_faults faults;
    struct sm_text out;
    sm_faults_init(&faults);
    sm_text_init(&out);
    json_t *array = json_array();
    json_append(&writer, array, json_quantity(&writer, si, unit));
    json_append(&writer, array, json_number(&writer, 1.0));
    cr_expect_eq(json_deliver(&writer, array, json_text, &out, &faults), SM_ERR_DOMAIN);
    cr_expect_str_eq(text_words(&out), "");
    cr_assert_eq(faults.count, 1);
    cr_expect_str_eq(faults.list[0].message, "a number of the result is not finite");
    sm_faults_release(&faults);
}

Test(json_value, what_is_not_finite_or_has_no_such_unit_is_never_written)
{
    refused((double)NAN, "");
    refused((double)INFINITY, "W");
    refused(-(double)INFINITY, "degC");
    refused(1.0, "furlong");
}

Test(json_value, a_value_that_there_is_no_memory_for_is_told)
{
    struct json_writer writer = { SM_OK };
    struct sm_faults faults;
    struct sm_text out;
    sm_faults_init(&faults);
    sm_text_init(&out);
    json_t *object = json_object();
    json_put(&writer, object, "gone", NULL);
    json_put(&writer, object, "nan", json_number(&writer, (double)NAN)); /* the first stays */
    cr_expect_eq(json_deliver(&writer, object, json_text, &out, &faults), SM_ERR_MEMORY);
    cr_expect_str_eq(faults.list[0].message, "out of memory");
    sm_faults_release(&faults);
}
