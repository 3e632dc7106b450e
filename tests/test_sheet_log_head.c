/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The head of a judged log's sheet.  The judgement is filled by hand. */
#include "report/report_log.h"

#include "base/text.h"

#include <criterion/criterion.h>
#include <string.h>

struct bench {
    struct sm_log_judgement j;
    struct sm_log_run runs[4];
    struct sm_log_note note;
    struct sheet sheet;
};

/* Joint and heatsink as expected in both runs. */
static void bench_make(struct bench *b)
{
    *b = (struct bench){ .runs = { { .output_hz = 30.0, .rows = 9 },
                                   { .output_hz = 60.0, .rows = 9 } } };
    b->j.joint.is.result = b->j.sink.is.result = SM_LOG_IS_AS_EXPECTED;
    b->j.runs = b->runs;
    b->j.n_runs = 2;
    b->j.stop = (struct sm_log_stop){ .is = { .result = SM_LOG_IS_PASS, .rows = 18 },
                                      .line = 38,
                                      .time = 2160.0,
                                      .output_hz = 30.0,
                                      .column = SM_LOG_SINK,
                                      .value = 395.25,
                                      .limit = 394.35 };
    sheet_init(&b->sheet);
}

static void expect_title(struct bench *b, bool rejected, const char *title)
{
    cr_expect_str_eq(sheet_log_title(&b->sheet, &b->j, rejected), title);
}

Test(sheet_log_head, the_title_names_the_runs_that_the_verdict_is_not_about)
{
    struct bench b;
    bench_make(&b);
    expect_title(&b, false, "AS EXPECTED");
    b.runs[1].rows = 0;
    expect_title(&b, false, "AS EXPECTED; 60 Hz NOT RUN");
    b.runs[0].rows = 0;
    expect_title(&b, false, "AS EXPECTED; 30 Hz, 60 Hz NOT RUN");
    b.j.joint.is.result = SM_LOG_IS_HIGH;
    expect_title(&b, true, "REJECT, JOINT HIGH; 30 Hz, 60 Hz NOT RUN");
    b.j.joint.is.result = SM_LOG_IS_AS_EXPECTED;
    expect_title(&b, true, "REJECT");
    b.j.n_runs = 3; /* 0 Hz, as good as any */
    expect_title(&b, false, "AS EXPECTED; 30 Hz, 60 Hz, 0 Hz NOT RUN");
    b.j.n_runs = 4;
    expect_title(&b, false, "AS EXPECTED; 4 OF 4 FREQUENCIES NOT RUN");
    sheet_release(&b.sheet);
}

Test(sheet_log_head, a_run_that_should_have_been_stopped_is_told_before_all_else)
{
    struct bench b;
    bench_make(&b);
    cr_expect_null(sheet_log_alarm(&b.sheet, &b.j));
    b.j.stop.is.result = SM_LOG_IS_FAIL;
    b.j.stop.over = 94;
    b.j.sink.is = (struct sm_log_finding){ SM_LOG_IS_NOT_SETTLED, .why = SM_LOG_WHY_SHORT_SINK };
    expect_title(&b, false, "STOP THE RUN");
    expect_title(&b, true, "STOP THE RUN, REJECT");
    b.j.sink.is.result = SM_LOG_IS_HIGH;
    expect_title(&b, false, "STOP THE RUN, HEATSINK HIGH");
    expect_title(&b, true, "STOP THE RUN, REJECT, HEATSINK HIGH");
    /* 395.25 K is 122.1 degC, 394.35 K 121.2 */
    const char *alarm = sheet_log_alarm(&b.sheet, &b.j);
    cr_assert_not_null(alarm);
    cr_expect_not_null(
        strstr(alarm, "sink_c 122.1 °C at 36 min (line 38), limit 121.2 °C at 30 Hz"), "%s", alarm);
    cr_expect_eq(strncmp(alarm, "STOP THE RUN", 12), 0);
    cr_expect_not_null(strstr(sheet_log_stop(&b.sheet, &b.j.stop), "FAIL: 94 rows"));
    b.j.stop.over = 1;
    cr_expect_not_null(strstr(sheet_log_stop(&b.sheet, &b.j.stop), "FAIL: 1 row at"));
    sheet_release(&b.sheet);
}

Test(sheet_log_head, each_note_has_its_numbers)
{
    static const struct {
        struct sm_log_note note;
        const char *words;
    } rows[] = {
        { { SM_LOG_NOTE_NO_RUN, { 60.0 } }, "60 Hz: no loaded row in the log" },
        { { SM_LOG_NOTE_SHORT_RUN, { 30.0, 1740.0, 3600.0 } },
          "30 Hz: the log has 29 min of it under load, less than half of the 60 min asked" },
        { { SM_LOG_NOTE_OTHER_CURRENT, { 60.0, 61.6, 77.0 } },
          "60 Hz: the motor took 61.6 A, where this sheet expects 77 A" },
        { { SM_LOG_NOTE_TIME, { 575000.0, 9500.0 } },
          "held 575000 J/K, where sink_capacity is 9500 J/K: is time_min in minutes?" },
        { { SM_LOG_NOTE_KILOHM, { 1.074, 75.98, 117400.0 } },
          "ntc_ohm is 1.074 Ω in the middle; the module's thermistor has 75.98 Ω at 200 degC" },
        { { SM_LOG_NOTE_NO_NTC_VALUE, { 1.074e6, 75.98, 117400.0 } }, "r25 that of the module?" },
        { { SM_LOG_NOTE_NTC_UNIT, { 86.3 } }, "thermistor and case_c differ by 86.3 K" },
        { { SM_LOG_NOTE_COLD_UNIT, { 53.0 } }, "sink_c and ambient_c differ by 53 K" },
        { { SM_LOG_NOTE_STUCK, { 0.5, 7140.0 } },
          "sink_c moves by 0.5 K only, with 119 min under load" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct sm_text words;
        sm_text_init(&words);
        log_note_words(&words, &rows[i].note, true);
        cr_expect_not_null(strstr(words.data, rows[i].words), "%s", words.data);
        sm_text_release(&words);
    }
    cr_expect_eq(sizeof rows / sizeof rows[0], SM_LOG_NOTE_COUNT);
}
