/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/quantity.h"

#include "support/files.h"
#include "support/near.h"

#include <criterion/criterion.h>
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct sm_place here = { "a.ini", 7, "drive", "x" };

static void reads(const char *text, enum sm_dimension dimension, double si)
{
    struct sm_faults faults;
    double got = 0.0;
    sm_faults_init(&faults);
    cr_assert_eq(sm_quantity_parse(text, dimension, &here, &got, &faults), SM_OK, "%s: %s", text,
                 faults.count ? faults.list[0].message : "");
    NEAR(got, si, 1e-13 * (1.0 + fabs(si))); /* one multiplication and one addition of doubles */
    sm_faults_release(&faults);
}

static void refuses(const char *text, enum sm_dimension dimension, const char *message)
{
    struct sm_faults faults;
    double got = -1.0;
    sm_faults_init(&faults);
    cr_assert_eq(sm_quantity_parse(text, dimension, &here, &got, &faults), SM_ERR_VALUE, "%s",
                 text);
    expect_fault(&faults, "7: [drive] x", message);
    cr_assert(fabs(got + 1.0) <= 0.0, "%s: written on a fault", text);
    sm_faults_release(&faults);
}

Test(quantity, reads_numbers_as_people_write_them)
{
    reads("480 V", SM_DIM_VOLTAGE, 480.0);
    reads("480V", SM_DIM_VOLTAGE, 480.0);
    reads("  +4.8e2   V ", SM_DIM_VOLTAGE, 480.0);
    reads(".48 kV", SM_DIM_VOLTAGE, 480.0);
    reads("48E1 V", SM_DIM_VOLTAGE, 480.0);
    reads("1e3kW", SM_DIM_POWER, 1e6);
    reads("-10 \xC2\xB0"
          "C",
          SM_DIM_TEMPERATURE, 263.15);
    reads("\xE2\x88\x92"
          "10\xC2\xA0"
          "degC",
          SM_DIM_TEMPERATURE, 263.15);
    reads("5 m\xCE\xA9", SM_DIM_RESISTANCE, 5e-3);
    reads("2 \xC2\xB5s", SM_DIM_TIME, 2e-6);
    reads("0.05 K / W", SM_DIM_RTH, 0.05);
    reads("0.8 W/(m\xC2\xB7K)", SM_DIM_CONDUCTIVITY, 0.8);
    reads("0.8 W/m K", SM_DIM_CONDUCTIVITY, 0.8);
    reads("4 N\xC2\xB7m", SM_DIM_TORQUE, 4.0);
    reads("0.003 1/K", SM_DIM_PER_KELVIN, 0.003);
    reads("3e-3/K", SM_DIM_PER_KELVIN, 0.003);
}

/* What documents set in place of a space and of a minus sign, where it can mean nothing else. */
Test(quantity, blanks_and_dashes_of_documents_are_read_where_the_meaning_is_certain)
{
    static const char *const blanks[] = { "\xC2\xA0",     "\xE2\x80\xAF", "\xE2\x80\x89",
                                          "\xE2\x80\x87", "\xE2\x80\x82", "\xE2\x81\x9F",
                                          "\xE3\x80\x80" };
    static const char *const minus[] = {
        "-", "\xE2\x88\x92", "\xE2\x80\x90", "\xE2\x80\x91", "\xE2\x80\x92", "\xE2\x80\x93"
    };
    char text[64];
    for (size_t i = 0; i < sizeof blanks / sizeof blanks[0]; i++) {
        (void)snprintf(text, sizeof text, "480%sV", blanks[i]);
        reads(text, SM_DIM_VOLTAGE, 480.0);
    }
    for (size_t i = 0; i < sizeof minus / sizeof minus[0]; i++) {
        (void)snprintf(text, sizeof text, "%s40 degC", minus[i]);
        reads(text, SM_DIM_TEMPERATURE, 233.15);
    }
    refuses("\xE2\x80\x94"
            "40 degC",
            SM_DIM_TEMPERATURE, "is not a number (U+2014 in it)");
    refuses("\xE2\x80\x93 40 degC", SM_DIM_TEMPERATURE, "is not a number (U+2013 in it)");
    refuses("0\xC2\xB7"
            "05 K/W",
            SM_DIM_RTH, "05 K/W' (U+00B7 in it)");
}

/* The same signs between numbers mean a range; a blank before a minus sign alone does not. */
Test(quantity, a_range_or_a_tolerance_is_no_value)
{
    static const char *const ranges[] = { "460-480 V",
                                          "460 - 480 V",
                                          "460\xE2\x80\x93"
                                          "480 V",
                                          "460 \xE2\x80\x93 480 V",
                                          "460..480 V",
                                          "460 ... 480 V",
                                          "460\xE2\x80\xA6"
                                          "480 V",
                                          "460~480 V",
                                          "460 to 480 V",
                                          "460 - +480 V" };
    struct sm_list list = { NULL, 0 };
    for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++)
        refuses(ranges[i], SM_DIM_VOLTAGE, "is a range; expected one number");
    refuses("480 V \xC2\xB1 10 %", SM_DIM_VOLTAGE, "has a tolerance; expected the value alone");
    refuses("480 +/-10 V", SM_DIM_VOLTAGE, "has a tolerance");
    refuses("230/400 V", SM_DIM_VOLTAGE, "has a stroke between numbers");
    cr_assert_eq(sm_quantity_parse_list("10 -20 V", SM_DIM_VOLTAGE, &here, &list, NULL), SM_OK);
    cr_assert(list.n == 2 && list.v[1] < -19.0);
    free(list.v);
}

Test(quantity, a_letter_of_another_alphabet_is_named_by_its_code)
{
    refuses("77 \xD0\x90", SM_DIM_CURRENT, "(U+0410 in it); expected A, mA or kA");
    refuses("480\xE2\x80\x8B V", SM_DIM_VOLTAGE, "(U+200B in it)");
    refuses("480 V\xF0\x9F\x94\xA5", SM_DIM_VOLTAGE, "(U+1F525 in it)");
}

Test(quantity, a_pure_number_may_be_in_percent)
{
    reads("0.85", SM_DIM_NONE, 0.85);
    reads("85 %", SM_DIM_NONE, 0.85);
    reads("85%", SM_DIM_NONE, 0.85);
}

Test(quantity, refuses_what_is_no_number)
{
    refuses("", SM_DIM_NONE, "is not a number");
    refuses("abc", SM_DIM_NONE, "'abc' is not a number; expected a number as such or in %");
    refuses("nan", SM_DIM_NONE, "is not a number");
    refuses("inf", SM_DIM_NONE, "is not a number");
    refuses("1e999", SM_DIM_NONE, "is too large");
    refuses("1e308 kV", SM_DIM_VOLTAGE, "is too large; expected a finite value");
    refuses("0x1p3", SM_DIM_NONE, "is not a decimal number");
    refuses("0X1F V", SM_DIM_VOLTAGE, "is not a decimal number");
    refuses("1.2.3", SM_DIM_NONE, "is not a number");
    refuses("1_000", SM_DIM_NONE, "is not a number");
    refuses("1 2", SM_DIM_NONE, "is a list; expected one value");
    refuses("3,14", SM_DIM_NONE, "expected a decimal point");
    refuses("3,14 V", SM_DIM_VOLTAGE, "expected a decimal point");
}

Test(quantity, says_which_units_are_accepted)
{
    refuses("5", SM_DIM_CURRENT, "'5' has no unit; expected A, mA or kA");
    refuses("5 V", SM_DIM_CURRENT, "V is a voltage; expected A, mA or kA");
    refuses("5 S", SM_DIM_TIME, "S is a conductance; expected s, ms, us");
    refuses("5 nm", SM_DIM_TORQUE, "nm is a length; expected N.m, Nm");
    refuses("5 foo", SM_DIM_CURRENT, "has the unknown unit 'foo'");
    refuses("5 a-unit-with-more-than-the-forty-letters-of-any", SM_DIM_CURRENT,
            "has an unknown unit; expected A, mA or kA");
    refuses("5 K  /  W  ", SM_DIM_CURRENT, "K/W is a thermal resistance");
    refuses("15 degC", SM_DIM_DIFFERENCE, "a temperature difference takes K only");
    refuses("15 degF", SM_DIM_DIFFERENCE, "a temperature difference takes K only");
    refuses("1 C", SM_DIM_CHARGE, "C is a temperature; expected uC or nC");
    refuses("1 V", SM_DIM_NONE, "V is a voltage; expected a number as such or in %");
    refuses("0.05 degC", SM_DIM_RTH, "degC is a temperature");
    refuses("88 EUR", SM_DIM_PLAIN, "unknown unit 'EUR'; expected a number without a unit");
    refuses("88 %", SM_DIM_PLAIN, "'88 %' is in %; expected a number without a unit");
    refuses("88 V", SM_DIM_PLAIN, "V is a voltage; expected a number without a unit");
    reads("88", SM_DIM_PLAIN, 88.0);
}

/* Signs that are folded to find the unit stand in the fault as they were typed. */
Test(quantity, an_unknown_unit_is_quoted_as_typed)
{
    refuses("5 \xCE\xA9\xC2\xB2/\xC2\xB5", SM_DIM_RTH,
            "has the unknown unit '\xCE\xA9\xC2\xB2/\xC2\xB5'"); /* "5 ohm2/u" */
    refuses("\xE2\x88\x92"
            "5\xC2\xA0m\xC2\xB3",
            SM_DIM_RTH, "unknown unit 'm\xC2\xB3'");
}

Test(quantity, a_power_of_ten_is_told_as_what_it_is)
{
    static const char *const texts[] = {
        "5.5x10\xE2\x81\xBB\xC2\xB2 K/W",
        "5.5 x 10^-2 K/W",
        "5.5 \xC3\x97 10-2 K/W",
        "5.5*10^-2 K/W",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        char message[160];
        (void)snprintf(message, sizeof message,
                       "'%s' has a power of ten; expected digits with a decimal point, as 0.25 or "
                       "2.5e-1",
                       texts[i]);
        refuses(texts[i], SM_DIM_RTH, message);
    }
}

Test(quantity, reads_lists)
{
    static const char *const texts[] = { "10 20 50 A", "10, 20, 50 A", "10 , 20 50A",
                                         "\t10   20 \xC2\xA0 50 A" };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct sm_list list = { NULL, 0 };
        cr_assert_eq(sm_quantity_parse_list(texts[i], SM_DIM_CURRENT, &here, &list, NULL), SM_OK,
                     "%s", texts[i]);
        cr_assert_eq(list.n, 3);
        NEAR(list.v[0], 10.0, 0.0);
        NEAR(list.v[1], 20.0, 0.0);
        NEAR(list.v[2], 50.0, 0.0);
        free(list.v);
    }
}

Test(quantity, refuses_bad_lists)
{
    static const struct {
        const char *text, *message;
    } rows[] = {
        { "10,20 30 A", "has a comma between digits" },
        { "10, 20, A", "ends a list with a comma" },
        { "10, 20,", "ends a list with a comma" },
        { "10 ,A", "has a comma without a blank after it" },
        { "10 A 20 A", "goes on after the unit" },
        { "10 20", "has no unit" },
        { "10;20 A", "unknown unit" },
        { ", 10 A", "is not a number" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct sm_faults faults;
        struct sm_list list = { NULL, 0 };
        sm_faults_init(&faults);
        cr_assert_eq(sm_quantity_parse_list(rows[i].text, SM_DIM_CURRENT, &here, &list, &faults),
                     SM_ERR_VALUE);
        expect_fault(&faults, "7: [drive] x", rows[i].message);
        cr_assert_null(list.v);
        sm_faults_release(&faults);
    }
}

Test(quantity, a_line_full_of_digits_and_more_is_refused_or_read_whole)
{
    char text[4000];
    struct sm_list list = { NULL, 0 };
    size_t n = 0;
    while (n < 990) {
        text[n++] = '1';
        text[n++] = ' ';
    }
    (void)snprintf(text + n, sizeof text - n, "A");
    cr_assert_eq(sm_quantity_parse_list(text, SM_DIM_CURRENT, &here, &list, NULL), SM_OK);
    cr_assert_eq(list.n, 495);
    free(list.v);
    memset(text, '1', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    cr_assert_eq(sm_quantity_parse_list(text, SM_DIM_NONE, &here, &list, NULL), SM_ERR_VALUE);
}

Test(quantity, converts_back_to_shown_units)
{
    double out = 0.0;
    cr_assert(sm_quantity_to_unit(313.15, "degC", &out));
    NEAR(out, 40.0, 1e-12);
    cr_assert(sm_quantity_to_unit(0.85, "%", &out));
    NEAR(out, 85.0, 1e-12);
    cr_assert(sm_quantity_to_unit(0.85, "", &out));
    NEAR(out, 0.85, 0.0);
    cr_assert(sm_quantity_to_unit(1e-4, "\xC2\xB5m", &out));
    NEAR(out, 100.0, 1e-12);
    cr_assert_not(sm_quantity_to_unit(1.0, "furlong", &out));
    cr_assert_not(sm_quantity_to_unit(1.0, "mHz", &out));
}

/* Expected texts: rounding by hand, half away is not met. */
Test(quantity, a_unit_that_no_table_has_converts_nothing)
{
    static const char *const units[] = { "furlong", "hp",
                                         "a-unit-with-more-than-the-forty-letters-of-any" };
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        double out = 7.0;
        cr_expect_not(sm_quantity_to_unit(1.0, units[i], &out), "%s", units[i]);
        NEAR(out, 7.0, 0.0);
    }
}

Test(quantity, writes_numbers_with_significant_digits)
{
    static const struct {
        double number;
        int digits;
        const char *text;
    } rows[] = {
        { 0.0, 6, "0" },
        { -0.0, 3, "0" },
        { 480.0, 6, "480" },
        { 12345.678, 3, "12300" },
        { 0.00012345, 3, "0.000123" },
        { 1e-7, 3, "1e-07" },
        { 123456789.0, 9, "123456789" },
        { 1.5e12, 3, "1.5e+12" },
        { 0.30000000000000004, 10, "0.3" },
        { 999.96, 4, "1000" },
        { -2.5, 2, "-2.5" },
        { -0.0004, 1, "-0.0004" },
        { 100.0, 1, "100" },
        { 96.5, 17, "96.5" },
    };
    char text[32];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        sm_number_format(text, sizeof text, rows[i].number, rows[i].digits);
        cr_assert_str_eq(text, rows[i].text);
    }
}

Test(quantity, what_is_written_is_read_back)
{
    for (int k = -12; k <= 12; k++) {
        char text[40];
        double back = 0.0;
        const double number = 1.2345678901 * pow(10.0, k);
        sm_number_format(text, 32, number, 17);
        cr_assert_eq(sm_quantity_parse(text, SM_DIM_NONE, NULL, &back, NULL), SM_OK, "%s", text);
        NEAR_REL(back, number, 1e-15);
    }
}

Test(quantity, keeps_the_point_in_a_locale_with_a_comma)
{
    static const char *const names[] = { "de_DE.UTF-8", "fr_FR.UTF-8", "de_DE" };
    const char *set = NULL;
    for (size_t i = 0; !set && i < sizeof names / sizeof names[0]; i++)
        set = setlocale(LC_ALL, names[i]);
    if (!set)
        cr_skip_test("no locale with a decimal comma is installed");
    char text[32];
    reads("0.25 V", SM_DIM_VOLTAGE, 0.25);
    sm_number_format(text, sizeof text, 1234.5, 6);
    cr_assert_str_eq(text, "1234.5");
}
