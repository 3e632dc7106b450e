/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/error.h"

#include <criterion/criterion.h>
#include <string.h>

Test(error, every_status_has_a_text_of_its_own)
{
    for (int i = 0; i < SM_STATUS_COUNT; i++) {
        const char *text = sm_status_text((enum sm_status)i);
        cr_assert(text && text[0]);
        for (int k = 0; k < i; k++)
            cr_assert_str_neq(text, sm_status_text((enum sm_status)k));
    }
    cr_assert_str_eq(sm_status_text(SM_STATUS_COUNT), "unknown status");
}

Test(error, keeps_faults_in_the_order_found_and_returns_the_status)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    for (int i = 0; i < 100; i++) {
        const struct sm_place place = { "a.ini", i, "drive", "name" };
        cr_assert_eq(sm_fault_add(&faults, SM_ERR_RANGE, &place, "fault %d", i), SM_ERR_RANGE);
    }
    cr_assert_eq(faults.count, 100);
    cr_assert_not(faults.out_of_memory);
    cr_assert_str_eq(faults.list[99].message, "fault 99");
    cr_assert_str_eq(faults.list[99].file, "a.ini");
    cr_assert_str_eq(faults.list[7].section, "drive");
    cr_assert_eq(faults.list[7].line, 7);
    sm_faults_release(&faults);
    sm_faults_release(&faults);
    cr_assert_eq(faults.count, 0);
}

Test(error, works_without_a_list_and_without_a_place)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    cr_assert_eq(sm_fault_add(NULL, SM_ERR_FILE, NULL, "x"), SM_ERR_FILE);
    cr_assert_eq(sm_fault_add(&faults, SM_ERR_FILE, NULL, "x"), SM_ERR_FILE);
    cr_assert_str_eq(faults.list[0].file, "");
    cr_assert_str_eq(faults.list[0].key, "");
    sm_faults_release(&faults);
}

Test(error, makes_control_bytes_and_bad_utf8_harmless)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    const struct sm_place place = { "a.ini", 1, "s\x1b[31m", "k\xff\xc2\x9b" };
    (void)sm_fault_add(&faults, SM_ERR_VALUE, &place, "%s", "a\nb\xc2\x9b \xc2\xb5 \xe2\x82");
    cr_assert_str_eq(faults.list[0].section, "s?[31m");
    cr_assert_str_eq(faults.list[0].key, "k???");
    cr_assert_str_eq(faults.list[0].message, "a?b?? \xc2\xb5 ??");
    sm_faults_release(&faults);
}

Test(error, cuts_long_texts_at_a_whole_character)
{
    char text[5000];
    struct sm_faults faults;
    sm_faults_init(&faults);
    for (size_t i = 0; i + 2 < sizeof text; i += 2)
        memcpy(text + i, "\xc2\xb5", 2);
    text[sizeof text - 2] = '\0';
    const struct sm_place place = { "a.ini", 1, text, text + 2 };
    (void)sm_fault_add(&faults, SM_ERR_VALUE, &place, "x%s", text);
    const char *const cut[] = { faults.list[0].section, faults.list[0].key,
                                faults.list[0].message };
    for (size_t i = 0; i < 3; i++) {
        cr_assert_not(strchr(cut[i], '?'), "%s", cut[i]);
        cr_assert_str_eq(cut[i] + strlen(cut[i]) - 3, "...");
    }
    sm_faults_release(&faults);
}
