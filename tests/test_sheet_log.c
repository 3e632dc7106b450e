/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the sheet says of a judged log.  The judgement is filled by hand, so that each sentence can
 * be asked for; expected texts follow from its numbers, to three digits. */
#include "report/report_log.h"

#include "base/text.h"
#include "report/report_text.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

struct bench {
    struct sm_log log;
    struct sm_log_judgement j;
    struct sm_log_aside asides[20];
    char file[8], names[2][8], *ignored[2];
    struct sm_text text;
};

/* A joint that is told, and nothing else. */
static void bench_make(struct bench *b)
{
    *b = (struct bench){ .file = "run.csv", .names = { "note", "door" } };
    for (int i = 0; i < 2; i++)
        b->ignored[i] = b->names[i];
    b->log = (struct sm_log){ .file = b->file };
    b->j = (struct sm_log_judgement){ .samples = 12, .used = 11, .loaded = 8, .cold = 3 };
    b->j.joint = (struct sm_log_joint){
        .is = { .result = SM_LOG_IS_AS_EXPECTED, .why = SM_LOG_TOLD },
        .rth = { .value = 0.05125,
                 .low = 0.049,
                 .high = 0.053,
                 .low_with_model = 0.048,
                 .high_with_model = 0.054 },
        .expected = 0.0525,
        .offset_from = SM_LOG_OFFSET_COLD,
        .offset = -0.2345,
        .cold = 3,
        .per_kelvin = { true, 0.0813 },
    };
    b->j.sink.is.why = SM_LOG_WHY_NO_CURRENTS;
    b->j.balance.is.why = b->j.bus.is.why = SM_LOG_WHY_NO_CURRENTS;
    b->j.ripple.is.why = b->j.ntc.why = SM_LOG_WHY_NO_CURRENTS;
}

/* Line ends and runs of blanks are one blank: where a line is broken is not looked at. */
static void one_line(struct sm_text *text)
{
    size_t n = 0;
    for (size_t i = 0; i < text->length; i++) {
        const char c = text->data[i] == '\n' ? ' ' : text->data[i];
        if (c != ' ' || (n > 0 && text->data[n - 1] != ' '))
            text->data[n++] = c;
    }
    text->data[n] = '\0';
}

static void bench_write(struct bench *b)
{
    struct sheet sheet;
    const struct log_page page = { &b->log, &b->j };
    sheet_init(&sheet);
    sheet_log(&sheet, &page);
    cr_assert_not(sheet.not_finite || sheet.out_of_memory);
    sm_text_release(&b->text);
    report_text(&b->text, &sheet, &(struct sm_style){ .utf8 = false, .width = 80 });
    sheet_release(&sheet);
    one_line(&b->text);
}

static void says(const struct bench *b, const char *piece)
{
    cr_expect(strstr(b->text.data, piece), "no '%s' in\n%s", piece, b->text.data);
}

Test(sheet_log, the_offset_between_the_sensors_says_where_it_comes_from)
{
    struct bench b;
    bench_make(&b);
    bench_write(&b);
    says(&b, "joint 0.0512 0.049 to 0.053 0.048 to 0.054 0.0525 as expected");
    says(&b, "Offset -0.234 K between the sensors, from 3 rows without load ");
    b.j.joint.cold = 1;
    bench_write(&b);
    says(&b, "from 1 row without load ");
    b.j.joint.offset_from = SM_LOG_OFFSET_FITTED;
    b.j.joint.offset = 1.4142;
    bench_write(&b);
    says(&b, "Offset 1.41 K between the sensors, fitted together with the joint ");
    b.j.joint.offset_from = SM_LOG_OFFSET_NONE;
    bench_write(&b);
    says(&b, "Offset the sensors are taken to agree: no row without load, and the heat does not "
             "span 2 to 1; each kelvin between them is 8.13 % of what is expected");
    sm_text_release(&b.text);
}

Test(sheet_log, a_joint_that_drifts_or_rests_on_the_thermistor_says_so)
{
    struct bench b;
    bench_make(&b);
    bench_write(&b);
    cr_expect_null(strstr(b.text.data, "Drift"));
    cr_expect_null(strstr(b.text.data, "thermistor stands"));
    b.j.joint.drift = (struct sm_optional){ true, -0.0456 };
    b.j.joint.from_ntc = true;
    b.j.joint.thickness = (struct sm_optional){ true, 123.4e-6 };
    bench_write(&b);
    says(&b, "Layer as if 123 um thick ");
    says(&b, "Drift the joint changes by -4.56 % of itself during the log");
    says(&b, "Case the thermistor stands for it: what lies between it and the case under the chips "
             "is counted with the joint");
    sm_text_release(&b.text);
}

Test(sheet_log, rows_and_strange_columns_are_counted)
{
    struct bench b;
    bench_make(&b);
    bench_write(&b);
    says(&b, "12 rows, 11 of them in use; 8 under load, 3 without. ");
    cr_expect_null(strstr(b.text.data, "Columns not known"));
    b.j.samples = b.j.used = b.j.loaded = 1;
    b.j.cold = 0;
    b.log.ignored = b.ignored;
    b.log.n_ignored = 2;
    bench_write(&b);
    says(&b, "1 row, 1 of them in use; 1 under load, 0 without. Columns not known: note, door. ");
    sm_text_release(&b.text);
}

Test(sheet_log, a_bus_without_load_is_told_how_far_it_may_go)
{
    struct bench b;
    bench_make(&b);
    b.j.bus = (struct sm_log_bus){
        .is = { .result = SM_LOG_IS_PASS }, .median = 680.0, .expected = 648.0, .highest = 648.0
    };
    bench_write(&b);
    says(&b, "Bus pass: 680 V, expected 648 V within 5 % ");
    b.j.bus.highest = 678.8;
    bench_write(&b);
    says(&b, "Bus pass: 680 V, expected 648 V, without load up to 679 V, within 5 % ");
    sm_text_release(&b.text);
}

/* Nine stretches, of which eight are named; the largest distance of them is told. */
Test(sheet_log, rows_put_aside_are_named_by_stretches)
{
    struct bench b;
    bench_make(&b);
    b.j.asides = b.asides;
    for (int i = 0; i < 9; i++)
        b.asides[b.j.n_asides++] = (struct sm_log_aside){ .line = 10 * i + 10,
                                                          .why = SM_LOG_ASIDE_JOINT_OFF,
                                                          .off = i == 4 ? -7.654 : 2.0 };
    bench_write(&b);
    says(&b, "- 9 rows (lines 10, 20, 30, 40, 50, 60, 70, 80 and others): case over sink is "
             "-7.65 K off at most");
    b.j.n_asides = 0;
    for (int i = 0; i < 3; i++)
        b.asides[b.j.n_asides++] =
            (struct sm_log_aside){ .line = 20 + i, .why = SM_LOG_ASIDE_GAP, .column = SM_LOG_BUS };
    b.asides[b.j.n_asides++] =
        (struct sm_log_aside){ .line = 30, .why = SM_LOG_ASIDE_GAP, .column = SM_LOG_BUS };
    b.asides[b.j.n_asides++] =
        (struct sm_log_aside){ .line = 31, .why = SM_LOG_ASIDE_GAP, .column = SM_LOG_CASE };
    b.asides[b.j.n_asides++] =
        (struct sm_log_aside){ .line = 32, .why = SM_LOG_ASIDE_SINK_OFF, .off = 3.5 };
    bench_write(&b);
    says(&b, "- 4 rows (lines 20-22, 30): no value in bus_v ");
    says(&b, "- 1 row (line 31): no value in case_c ");
    says(&b, "- 1 row (line 32): sink_c is 3.5 K off");
    sm_text_release(&b.text);
}

Test(sheet_log, the_headline_names_what_is_bad_or_that_nothing_is_decided)
{
    struct bench b;
    struct sheet sheet;
    bench_make(&b);
    sheet_init(&sheet);
    cr_expect_str_eq(sheet_log_headline(&sheet, &b.j), "NOT DECIDED"); /* no heatsink */
    b.j.sink.is = (struct sm_log_finding){ .result = SM_LOG_IS_AS_EXPECTED, .why = SM_LOG_TOLD };
    cr_expect_str_eq(sheet_log_headline(&sheet, &b.j), "AS EXPECTED");
    b.j.joint.is.result = SM_LOG_IS_NOT_CHECKED;
    cr_expect_str_eq(sheet_log_headline(&sheet, &b.j), "NOT DECIDED");
    b.j.joint.is.result = SM_LOG_IS_LOW;
    b.j.ripple.is.result = SM_LOG_IS_FAIL;
    cr_expect_str_eq(sheet_log_headline(&sheet, &b.j), "JOINT LOW, RIPPLE FAIL");
    sheet_release(&sheet);
}
