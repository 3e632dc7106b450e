/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/input.h"

#include "input/key_table.h"
#include "support/files.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

struct answer {
    const char *line, *value;
};

static const struct answer drive_answers[] = {
    { "line_voltage", "400 V" },        { "output_current", "50 A" },
    { "output_voltage", "400 V" },      { "base_frequency", "50 Hz" },
    { "switching_frequency", "8 kHz" }, { "power_factor", "0.8" },
    { "ambient", "40 degC" },           { "rth_sa", "0.1 K/W" },
};

static const struct answer module_answers[] = {
    { "part", "x" },
    { "circuit", "six-pack" },
    { "vces", "1200 V" },
    { "ic_nominal", "100 A" },
    { "tvj_op_max", "150 degC" },
    { "current", "10 100 A" },
    { "vce_sat @ 25 degC", "1 2 V" },
    { "vf @ 25 degC", "1 2 V" },
    { "test_voltage", "600 V" },
    { "e_on @ 25 degC", "1 10 mJ" },
    { "e_off @ 25 degC", "1 10 mJ" },
    { "e_rr @ 25 degC", "1 10 mJ" },
    { "rth_jc", "0.2 K/W" },
    { "rth_cs", "0.04 K/W" },
};

static const char *answer_find(const struct answer *answers, size_t n, const char *line,
                               size_t length)
{
    for (size_t i = 0; i < n; i++) {
        if (strlen(answers[i].line) == length && strncmp(answers[i].line, line, length) == 0)
            return answers[i].value;
    }
    return NULL;
}

/* Fills in the open lines, "key =". */
static void fill(const char *text, const struct answer *answers, size_t n, struct sm_text *out)
{
    while (*text) {
        const size_t length = strcspn(text, "\n");
        sm_text_add_bytes(out, text, length);
        if (text[0] != ';' && length > 2 && strncmp(text + length - 2, " =", 2) == 0) {
            const char *value = answer_find(answers, n, text, length - 2);
            cr_assert(value != NULL, "open line without an answer: %.*s", (int)length, text);
            sm_text_add(out, " %s", value);
        }
        sm_text_add(out, "\n");
        text += length + (text[length] == '\n');
    }
}

Test(template, the_filled_drive_is_accepted)
{
    struct sm_text blank, filled;
    struct sm_faults faults;
    struct sm_drive drive;
    sm_text_init(&blank);
    sm_text_init(&filled);
    sm_faults_init(&faults);
    cr_assert_eq(sm_template(SM_TEMPLATE_DRIVE, &blank), SM_OK);
    fill(blank.data, drive_answers, sizeof drive_answers / sizeof drive_answers[0], &filled);
    (void)sm_drive_load(scratch(0, filled.data), NULL, NULL, &drive, &faults);
    expect_no_fault(&faults);
    sm_drive_release(&drive);
    sm_text_release(&blank);
    sm_text_release(&filled);
}

Test(template, the_filled_module_is_accepted)
{
    struct sm_text blank, filled;
    struct sm_faults faults;
    struct sm_module module;
    sm_text_init(&blank);
    sm_text_init(&filled);
    sm_faults_init(&faults);
    cr_assert_eq(sm_template(SM_TEMPLATE_MODULE, &blank), SM_OK);
    fill(blank.data, module_answers, sizeof module_answers / sizeof module_answers[0], &filled);
    (void)sm_module_load(scratch(0, filled.data), &module, &faults);
    expect_no_fault(&faults);
    sm_module_release(&module);
    sm_text_release(&blank);
    sm_text_release(&filled);
}

Test(template, the_joint_is_accepted_with_its_first_comment_mark_taken_away)
{
    struct sm_text blank;
    struct sm_faults faults;
    struct sm_tables tables;
    struct sm_drive drive;
    sm_text_init(&blank);
    sm_faults_init(&faults);
    cr_assert_eq(sm_tables_load(NULL, &tables, &faults), SM_OK);
    cr_assert_eq(sm_template(SM_TEMPLATE_JOINT, &blank), SM_OK);
    const char *joint = scratch(1, replaced(0, blank.data, ";compound =", "compound = mica"));
    (void)sm_drive_load(scratch(0, least_drive), joint, &tables, &drive, &faults);
    expect_no_fault(&faults);
    cr_assert_str_eq(drive.joint.compound, "mica");
    sm_drive_release(&drive);
    sm_tables_release(&tables);
    sm_text_release(&blank);
}

Test(template, every_key_is_in_it_with_its_meaning)
{
    static const struct key_table *const tables[] = { &drive_keys, &module_keys, &joint_keys };
    for (size_t t = 0; t < 3; t++) {
        struct sm_text blank;
        sm_text_init(&blank);
        cr_assert_eq(sm_template((enum sm_template_kind)t, &blank), SM_OK);
        for (size_t i = 0; i < tables[t]->n; i++) {
            char line[80];
            (void)snprintf(line, sizeof line, "\n%s%s", "", tables[t]->rows[i].key);
            const char *open = strstr(blank.data, line);
            (void)snprintf(line, sizeof line, "\n;%s", tables[t]->rows[i].key);
            cr_assert(open || strstr(blank.data, line), "%s", tables[t]->rows[i].key);
            cr_assert(strstr(blank.data, tables[t]->rows[i].meaning), "%s", tables[t]->rows[i].key);
        }
        sm_text_release(&blank);
    }
}

/* The blank as it comes has no other faults than values not filled in. */
Test(template, the_blank_itself_lacks_values_only)
{
    struct sm_text blank;
    struct sm_faults faults;
    struct sm_drive drive;
    sm_text_init(&blank);
    sm_faults_init(&faults);
    (void)sm_template(SM_TEMPLATE_DRIVE, &blank);
    cr_assert_eq(sm_drive_load(scratch(0, blank.data), NULL, NULL, &drive, &faults), SM_ERR_SYNTAX);
    cr_assert_eq(faults.count, sizeof drive_answers / sizeof drive_answers[0]);
    for (size_t i = 0; i < faults.count; i++)
        cr_assert(strstr(faults.list[i].message, "has an empty value"), "%s",
                  faults.list[i].message);
    sm_faults_release(&faults);
    sm_text_release(&blank);
}
