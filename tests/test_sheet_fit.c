/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The fit on the sheet, and what is left to settle.  Expected texts follow from the numbers of
 * support/sample.c and the rules of the sheet. */
#include <criterion/criterion.h>

#include "support/sample.h"

#include <string.h>

Test(sheet_fit, what_was_checked_has_its_numbers_and_its_reason_below)
{
    struct sample s;
    sample_make(&s);
    struct sm_text text = sample_sheet(&s, false);
    /* 712.4 V / 1200 V = 59.37 % */
    text_contains(&text, "bus voltage against blocking voltage  pass    712.4 V   <= 780 V\n"
                         "      the highest bus is 59.37 % of V_CES 1200 V; ");
    text_contains(&text, "dead time                             warn       3 us  >= 2.5 us\n"
                         "      dead time: 3 us against the 2.5 us needed, ");
    sm_text_release(&text);
}

/* The broken end of a range is told with the side on which it lies. */
Test(sheet_fit, a_value_below_its_range_is_told_as_such)
{
    struct sample s;
    sample_make(&s);
    struct sm_check *torque = &s.result.checks[SM_CHECK_SCREW_TORQUE];
    *torque = (struct sm_check){ .id = SM_CHECK_SCREW_TORQUE,
                                 .result = SM_CHECK_FAIL,
                                 .value = { true, 2.5 },
                                 .limit = { true, 3.0 },
                                 .why = { .id = SM_NOTE_SCREW_TORQUE_FAIL } };
    struct sm_text text = sample_sheet(&s, false);
    text_contains(&text, "fail    2.5 N.m   >= 3 N.m\n");
    sm_text_release(&text);
    torque->value.value = 5.5;
    torque->limit.value = 5.0;
    text = sample_sheet(&s, false);
    text_contains(&text, "fail    5.5 N.m   <= 5 N.m\n");
    sm_text_release(&text);
    *torque = (struct sm_check){ .id = SM_CHECK_SCREW_TORQUE,
                                 .result = SM_CHECK_CONFIRMED,
                                 .value = { true, 2.5 },
                                 .limit = { true, 3.0 },
                                 .why = { .id = SM_NOTE_CONFIRMED_AGAINST } };
    text = sample_sheet(&s, false);
    text_contains(&text, "confirmed  2.5 N.m   >= 3 N.m\n");
    sm_text_release(&text);
}

Test(sheet_fit, what_was_not_checked_names_the_key_that_is_missing)
{
    struct sample s;
    sample_make(&s);
    struct sm_text text = sample_sheet(&s, false);
    text_contains(&text, "Not checked: the files do not give what it takes");
    text_contains(&text,
                  "\n  [ ] isolation test voltage: module file [module] isolation_voltage\n");
    sm_text_release(&text);
}

Test(sheet_fit, what_asks_for_the_part_in_hand_stands_apart_with_what_to_look_at)
{
    struct sample s;
    sample_make(&s);
    s.conditions[1] = (struct sm_note){ .id = SM_NOTE_HAND_OUTLINE };
    struct sm_text text = sample_sheet(&s, false);
    const char *story = strstr(text.data, "[ ] bus voltage while braking");
    const char *head = strstr(text.data, "With the part in hand.");
    const char *outline = strstr(text.data, "[ ] outline and holes: does it bolt on?");
    const char *missing = strstr(text.data, "Not checked:");
    cr_assert(story && head && outline && missing, "%s", text.data);
    cr_expect(story < head && head < outline && outline < missing);
    sm_text_release(&text);
}

Test(sheet_fit, a_confirmed_row_is_told_as_the_signers)
{
    struct sample s;
    sample_make(&s);
    s.result.checks[SM_CHECK_OUTLINE] = (struct sm_check){ .id = SM_CHECK_OUTLINE,
                                                           .result = SM_CHECK_CONFIRMED,
                                                           .why = { .id = SM_NOTE_CONFIRMED } };
    struct sm_text text = sample_sheet(&s, false);
    text_contains(&text, "outline and holes                     confirmed ");
    text_contains(&text, "\n      confirmed by the person who signs\n");
    sm_text_release(&text);
}

/* ------------------------------------------------------- what is left out */

static void text_lacks(const struct sm_text *text, const char *piece)
{
    cr_expect_null(strstr(text->data, piece), "'%s' is in:\n%s", piece, text->data);
}

Test(sheet_fit, a_result_of_which_nothing_was_checked_has_no_table_of_checks)
{
    struct sample s;
    sample_make(&s);
    struct sm_text text = sample_sheet(&s, false);
    text_contains(&text, "Electrical and mechanical fit");
    sm_text_release(&text);
    for (size_t i = 0; i < SM_CHECK_COUNT; i++)
        s.result.checks[i].result = SM_CHECK_NOT_CHECKED;
    text = sample_sheet(&s, false);
    text_lacks(&text, "Electrical and mechanical fit");
    sm_text_release(&text);
}

/* An overload without a hold, a hold without an overload, and neither. */
Test(sheet_fit, overload_and_zero_speed_have_a_table_when_there_is_one_of_them)
{
    struct sample s;
    sample_make(&s);
    struct sm_text text = sample_sheet(&s, false);
    text_lacks(&text, "Overload and zero speed");
    sm_text_release(&text);
    s.overload[0] = (struct sm_overload){
        .output_hz = 30.0, .margin = -2.5, .tvj_max = 425.65, .t_sink = 353.15, .worst = SM_IGBT
    };
    s.result.overload = s.overload;
    s.result.n_overload = 1;
    text = sample_sheet(&s, false);
    text_contains(&text, "Overload and zero speed");
    text_contains(&text, "not known"); /* too hot, and nobody knows for how long it may last */
    text_lacks(&text, "zero-speed hold,");
    sm_text_release(&text);
}

/* 150.0002 degC fails against 150 degC: to four digits they would be alike. */
Test(sheet_fit, a_check_that_fails_by_little_does_not_print_its_value_as_its_limit)
{
    struct sample s;
    sample_make(&s);
    struct sm_check *check = &s.result.checks[SM_CHECK_OVERLOAD];
    check->result = SM_CHECK_FAIL;
    check->value = sm_given(423.1502);
    check->limit = sm_given(423.15);
    struct sm_text text = sample_sheet(&s, false);
    text_contains(&text, " 150.0002 degC  <= 150 degC\n");
    sm_text_release(&text);
}

Test(sheet_fit, a_limit_behind_which_there_is_no_equilibrium_says_so)
{
    struct sample s;
    sample_make(&s);
    struct sm_limit *limits = s.result.limits;
    limits[SM_LIMIT_AMBIENT] = (struct sm_limit){ .state = SM_LIMIT_FOUND,
                                                  .value = 321.155, /* told below it */
                                                  .set_by_hz = 60.0,
                                                  .set_by = SM_DIODE,
                                                  .runaway_beyond = true };
    limits[SM_LIMIT_LOWEST_OUTPUT] = (struct sm_limit){
        .state = SM_LIMIT_FOUND, .value = 4.4998, .set_by_hz = 4.4998, .set_by = SM_IGBT
    };
    struct sm_text text = sample_sheet(&s, false);
    text_contains(&text, "48 degC  60 Hz, diode, runaway beyond\n");
    text_contains(&text, "4.5 Hz  IGBT\n");    /* at itself: no frequency beside the chip */
    text_lacks(&text, "largest load current"); /* not searched for */
    sm_text_release(&text);
}
