/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected spellings follow the rules in phrase.h and the SI brochure (a blank between a number and
 * its unit). */
#include <criterion/criterion.h>

#include "report/phrase.h"
#include "swapmargin/quantity.h"

#include <string.h>

static void phrase_is(const char *sentence, const struct sm_note *note, bool utf8,
                      const char *expected)
{
    struct sm_text text;
    sm_text_init(&text);
    phrase_template(&text, sentence, note, utf8);
    cr_expect_str_eq(text.data ? text.data : "", expected);
    sm_text_release(&text);
}

Test(phrase, a_number_is_followed_by_its_unit)
{
    const struct sm_note note = { .value = { 12.5, 60.0 } };
    phrase_is("margin {0:K} at {1:Hz}.", &note, true, "margin 12.5 K at 60 Hz.");
}

Test(phrase, an_absolute_temperature_is_converted_and_a_difference_is_not)
{
    const struct sm_note note = { .value = { 400.15, 25.0 } };
    /* 400.15 K - 273.15 K = 127 degC (SI brochure) */
    phrase_is("{0:degC} and {1:K}", &note, true, "127 \u00b0C and 25 K");
    phrase_is("{0:degC} and {1:K}", &note, false, "127 degC and 25 K");
}

Test(phrase, units_have_their_printed_spelling_in_utf8_only)
{
    const struct sm_note note = { .value = { 1e-4, 0.0047, 1.2, 0.85 } };
    phrase_is("{0:um}, {1:mohm}, {2:W/(m.K)}, {3:%}", &note, true,
              "100 \u00b5m, 4.7 m\u03a9, 1.2 W/(m\u00b7K), 85 %");
    phrase_is("{0:um}, {1:mohm}, {2:W/(m.K)}, {3:%}", &note, false,
              "100 um, 4.7 mohm, 1.2 W/(m.K), 85 %");
}

Test(phrase, a_bare_number_has_no_unit)
{
    const struct sm_note note = { .value = { 2.0 } };
    phrase_is("{0:} modules", &note, true, "2 modules");
}

Test(phrase, numbers_have_four_significant_digits)
{
    const struct sm_note note = { .value = { 648.2499, 0.02771234 } };
    phrase_is("{0:V} {1:K/W}", &note, true, "648.2 V 0.02771 K/W");
}

/* Never beyond the limit, with a tenth of the last digit to spare, for the search leaves so much
 * open.  By hand. */
Test(phrase, a_limit_is_rounded_to_the_side_that_keeps_it)
{
    static const struct {
        double value;
        const char *at_most, *at_least;
    } rows[] = {
        { 70.5368, "70.53 A", "70.54 A" },    { 70.5312, "70.53 A", "70.54 A" },
        { 70.53, "70.52 A", "70.54 A" },      { 70.5308, "70.52 A", "70.54 A" },
        { 70.5394, "70.53 A", "70.55 A" },    { 0.0448412, "0.04484 A", "0.04485 A" },
        { 1000.05, "999 A", "1001 A" },       { 9999.5, "9999 A", "10000 A" },
        { -12.3456, "-12.35 A", "-12.34 A" }, { 0.0, "0 A", "0 A" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct sm_text text;
        sm_text_init(&text);
        phrase_bound(&text, rows[i].value, "A", PHRASE_AT_MOST, false);
        cr_expect_str_eq(text.data, rows[i].at_most, "%g: %s", rows[i].value, text.data);
        sm_text_release(&text);
        sm_text_init(&text);
        phrase_bound(&text, rows[i].value, "A", PHRASE_AT_LEAST, false);
        cr_expect_str_eq(text.data, rows[i].at_least, "%g: %s", rows[i].value, text.data);
        sm_text_release(&text);
    }
}

/* To four digits 14.9996 is 15 (by hand): the digits grow until the two differ, for values of one
 * unit only, and not for what rounding leaves of equal ones. */
Test(phrase, values_of_one_unit_that_differ_never_print_alike)
{
    static const struct {
        double value[3];
        const char *told;
    } rows[] = {
        { { 14.9996, 60.0, 15.0 }, "14.9996 K at 60 Hz, 15 K" },
        { { 15.0, 60.0, 15.0 }, "15 K at 60 Hz, 15 K" },
        { { 15.0 * (1.0 + 1e-13), 60.0, 15.0 }, "15 K at 60 Hz, 15 K" },
        { { 15.00001, 15.0, 20.0 }, "15 K at 15 Hz, 20 K" },
        { { -0.00001, 60.0, 0.0 }, "-1e-05 K at 60 Hz, 0 K" },
        { { 49.2377, 60.0, 15.0 }, "49.24 K at 60 Hz, 15 K" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct sm_note note = { .text = NULL };
        memcpy(note.value, rows[i].value, sizeof rows[i].value);
        phrase_is("{0:K} at {1:Hz}, {2:K}", &note, true, rows[i].told);
    }
    const struct sm_note hot = { .value = { 423.15021, 423.15 } };
    phrase_is("{0:degC}, above {1:degC}", &hot, false, "150.0002 degC, above 150 degC");
}

Test(phrase, the_text_stands_in_its_place_and_is_spelled_for_the_terminal)
{
    const struct sm_note note = { .text = "W\u00e4rme" };
    phrase_is("{text} fails", &note, true, "W\u00e4rme fails");
    phrase_is("{text} fails", &note, false, "Waerme fails");
}

Test(phrase, a_missing_text_is_empty_and_braces_that_mean_nothing_stay)
{
    const struct sm_note note = { .value = { 1.0 } };
    phrase_is("<{text}> {9:K} {x} {0 {", &note, true, "<> {9:K} {x} {0 {");
}

Test(phrase, keys_are_told_once_a_file_and_section)
{
    static const struct sm_key_name on = { "drive", "gate", "vge_on" },
                                    off = { "drive", "gate", "vge_off" },
                                    trip = { "drive", "drive", "overvoltage_trip" },
                                    most = { "module", "gate", "td_off_max" },
                                    typical = { "module", "gate", "td_off" };
    const struct sm_note note = { .text = "dead time",
                                  .other = "b",
                                  .key = { &on, &off, &trip, &most, &typical },
                                  .alternative = 1u << 4 };
    phrase_is("{text} {other}: {keys}.", &note, true,
              "dead time b: drive file [gate] vge_on, vge_off, [drive] overvoltage_trip; module "
              "file [gate] td_off_max or td_off.");
    const struct sm_note none = { .text = "a" };
    phrase_is("{text}{other}: {keys}.", &none, true, "a: .");
}

Test(phrase, a_number_that_is_not_finite_cannot_pass_unseen)
{
    const struct sm_note note = { .value = { 1e308 * 10.0 } };
    phrase_is("{0:K}", &note, true, "(not a number)");
}

/* Every row of the table: whatever stands in braces must be a placeholder that can be written. */
Test(phrase, every_note_can_be_written_out)
{
    for (int id = 0; id < SM_NOTE_COUNT; id++) {
        const struct sm_note note = { .id = (enum sm_note_id)id, .text = "name" };
        struct sm_text text;
        sm_text_init(&text);
        phrase_note(&text, &note, true);
        cr_expect_not_null(text.data, "note %d is empty", id);
        cr_expect_null(strpbrk(text.data ? text.data : "{", "{}"), "note %d: %s", id, text.data);
        sm_text_release(&text);
    }
}

Test(phrase, every_unit_of_the_notes_is_in_the_unit_table)
{
    for (int id = 0; id < SM_NOTE_COUNT; id++) {
        for (const char *p = sm_note_template((enum sm_note_id)id); (p = strchr(p, '{')); p++) {
            char unit[24] = "";
            if (p[1] < '0' || p[1] > '9') {
                continue;
            }
            const size_t length = strcspn(p + 3, "}");
            cr_assert_lt(length, sizeof unit);
            memcpy(unit, p + 3, length);
            double shown = 0.0;
            cr_expect(unit[0] == '\0' || sm_quantity_to_unit(1.0, unit, &shown),
                      "note %d has the unit '%s'", id, unit);
        }
    }
}
