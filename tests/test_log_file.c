/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Logs of a load run, good and bad.  Expected values are the numbers typed, converted by hand. */
#include "swapmargin/log.h"

#include "support/files.h"
#include "support/near.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* Conversions are one multiplication and one sum. */
#define EXACT 1e-12

static struct sm_log log_ok(const char *file)
{
    struct sm_faults faults;
    struct sm_log log;
    sm_faults_init(&faults);
    cr_assert_eq(sm_log_load(file, &log, &faults), SM_OK, "%s",
                 faults.count ? faults.list[0].message : "");
    expect_no_fault(&faults);
    sm_faults_release(&faults);
    return log;
}

/* Refused with exactly these faults, a place and a part of the message each, up to a NULL. */
static void refused_file(const char *file, const char *const (*want)[2])
{
    struct sm_faults faults;
    struct sm_log log;
    sm_faults_init(&faults);
    cr_expect_neq(sm_log_load(file, &log, &faults), SM_OK);
    cr_expect_eq(log.rows, NULL);
    cr_expect_eq(log.file, NULL);
    size_t n = 0;
    for (; want[n][0]; n++) {
        struct sm_text place;
        sm_text_init(&place);
        cr_assert_lt(n, faults.count, "no fault %s: %s", want[n][0], want[n][1]);
        fault_place(&faults.list[n], &place);
        cr_expect_str_eq(place.data ? place.data : "", want[n][0]);
        cr_expect(strstr(faults.list[n].message, want[n][1]), "'%s' without '%s'",
                  faults.list[n].message, want[n][1]);
        sm_text_release(&place);
    }
    cr_expect_eq(faults.count, n, "then: %s", n < faults.count ? faults.list[n].message : "");
    sm_log_release(&log);
    sm_faults_release(&faults);
}

static void refused(const char *text, const char *place, const char *message)
{
    const char *const want[][2] = { { place, message }, { NULL, NULL } };
    refused_file(scratch(0, text), want);
}

static double cell(const struct sm_log *log, size_t row, enum sm_log_column column)
{
    cr_assert_lt(row, log->n_rows);
    cr_assert(log->rows[row].cell[column].given, "row %zu, column %d is empty", row, (int)column);
    return log->rows[row].cell[column].value;
}

Test(log_file, reads_every_column_in_si)
{
    struct sm_log log = log_ok(scratch(
        0, "time_min,output_hz,ambient_c,sink_c,case_c,ntc_ohm,iu_a,iv_a,iw_a,bus_v,ripple_v\r\n"
           "1.5,30,25,60.5,72,1e3,76.5,77,77.5,648,6.25\r\n"));
    cr_assert_eq(log.n_rows, 1);
    cr_expect_eq(log.rows[0].line, 2);
    NEAR(cell(&log, 0, SM_LOG_TIME), 90.0, EXACT);
    NEAR(cell(&log, 0, SM_LOG_OUTPUT), 30.0, EXACT);
    NEAR(cell(&log, 0, SM_LOG_AMBIENT), 298.15, EXACT);
    NEAR(cell(&log, 0, SM_LOG_SINK), 333.65, EXACT);
    NEAR(cell(&log, 0, SM_LOG_CASE), 345.15, EXACT);
    NEAR(cell(&log, 0, SM_LOG_NTC), 1000.0, EXACT);
    NEAR(cell(&log, 0, SM_LOG_IU), 76.5, EXACT);
    NEAR(cell(&log, 0, SM_LOG_IV), 77.0, EXACT);
    NEAR(cell(&log, 0, SM_LOG_IW), 77.5, EXACT);
    NEAR(cell(&log, 0, SM_LOG_BUS), 648.0, EXACT);
    NEAR(cell(&log, 0, SM_LOG_RIPPLE), 6.25, EXACT);
    for (int i = 0; i < SM_LOG_COLUMN_COUNT; i++)
        cr_expect(log.has[i]);
    sm_log_release(&log);
    sm_log_release(&log);
}

/* Lines are counted as an editor does: the first row of readings is the third. */
Test(log_file, a_first_line_that_names_the_separator_is_passed_over_where_it_is_the_headers)
{
    static const char *const texts[] = {
        "sep=;\r\ntime_min;output_hz;sink_c\r\n0;30;40,5\r\n",
        "\xEF\xBB\xBFSEP=,\ntime_min,output_hz,sink_c\n0,30,40.5\n",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct sm_log log = log_ok(scratch(0, texts[i]));
        cr_assert_eq(log.n_rows, 1);
        cr_expect_eq(log.rows[0].line, 3);
        NEAR(cell(&log, 0, SM_LOG_SINK), 313.65, EXACT);
        sm_log_release(&log);
    }
}

Test(log_file, another_separator_than_the_headers_or_a_line_alone_is_no_header)
{
    static const char *const texts[] = {
        "sep=;\ntime_min,output_hz,sink_c\n0,30,40.5\n",
        "sep=;\ttime_min\ntime_min;output_hz;sink_c\n0;30;40,5\n",
        "sep=",
        "sep=;",
        "sep=;\n",
        "sep=\n",
        "sep=,\r",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct sm_faults faults;
        struct sm_log log;
        sm_faults_init(&faults);
        cr_expect_neq(sm_log_load(scratch(0, texts[i]), &log, &faults), SM_OK, "%s", texts[i]);
        cr_expect_geq(faults.count, 1);
        sm_log_release(&log);
        sm_faults_release(&faults);
    }
}

Test(log_file, takes_columns_in_any_order_and_names_the_others)
{
    struct sm_log log = log_ok(scratch(0, "note, Sink_C ,output_hz,TIME_min,door\n"
                                          "\"hot, \"\"very\"\"\",40,60,0,x\n"
                                          "\n"
                                          ",,,,\n"
                                          "\"two\nlines\",41,60,0,y\n"
                                          ",,,1,z"));
    cr_assert_eq(log.n_rows, 3);
    cr_assert_eq(log.n_ignored, 2);
    cr_expect_str_eq(log.ignored[0], "note");
    cr_expect_str_eq(log.ignored[1], "door");
    NEAR(cell(&log, 1, SM_LOG_SINK), 314.15, EXACT);
    cr_expect_eq(log.rows[1].line, 5);
    cr_expect_eq(log.rows[2].line, 7);
    cr_expect_not(log.rows[2].cell[SM_LOG_SINK].given);
    cr_expect_not(log.rows[2].cell[SM_LOG_OUTPUT].given);
    cr_expect_not(log.has[SM_LOG_CASE]);
    sm_log_release(&log);
}

Test(log_file, semicolons_take_a_decimal_comma_or_point)
{
    struct sm_log log = log_ok(scratch(0, "\xEF\xBB\xBFtime_min;output_hz;sink_c\r\n"
                                          "0,5;60,0;40,25\r\n"
                                          "1.5;60;\"41,5\"\r\n"));
    NEAR(cell(&log, 0, SM_LOG_TIME), 30.0, EXACT);
    NEAR(cell(&log, 0, SM_LOG_SINK), 313.4, EXACT);
    NEAR(cell(&log, 1, SM_LOG_TIME), 90.0, EXACT);
    NEAR(cell(&log, 1, SM_LOG_SINK), 314.65, EXACT);
    sm_log_release(&log);
}

Test(log_file, refuses_what_is_no_number)
{
    static const char *const cells[] = { "4O", "40 degC", "0x28", "nan",   "inf", "--40",
                                         "1e", "4 0",     "+-4",  "1.2.3", "'40", "40degC" };
    for (size_t i = 0; i < sizeof cells / sizeof cells[0]; i++) {
        struct sm_text text;
        sm_text_init(&text);
        sm_text_add(&text, "time_min,output_hz,sink_c\n0,30,40\n1,30,%s\n", cells[i]);
        refused(text.data, "3: sink_c", "is not a number; expected one in degC, without the unit");
        sm_text_release(&text);
    }
    refused("time_min;output_hz;sink_c\n0;30;1.234,5\n", "2: sink_c", "'1.234,5' is not a number");
    refused("time_min;output_hz;sink_c\n0;30;1,234,5\n", "2: sink_c", "'1,234,5' is not a number");
    refused("time_min,output_hz,sink_c\n"
            "0,30,40.00000000000000000000000000000000000000000000000000000000000000001\n",
            "2: sink_c", "is not a number"); /* more than the 64 digits that are read */
    refused("time_min,output_hz,sink_c\n0,30,\"40,5\"\n", "2: sink_c",
            "with a decimal point (a comma needs semicolons between the cells)");
}

Test(log_file, refuses_what_no_sensor_reads)
{
    refused("time_min,output_hz,sink_c\n0,30,1e300\n", "2: sink_c",
            "'1e300' is out of range; expected -60 to 250 degC");
    refused("time_min,output_hz,sink_c\n0,30,1e999\n", "2: sink_c", "is out of range");
    refused("time_min,output_hz,sink_c\n0,-30,40\n", "2: output_hz", "expected 0 to 1000 Hz");
    refused("time_min,output_hz,iu_a\n0,30,-1\n", "2: iu_a", "expected 0 to 20000 A");
    refused("time_min,output_hz,ntc_ohm\n0,30,0\n", "2: ntc_ohm", "expected 1 to 10000000 ohm");
}

Test(log_file, time_never_falls)
{
    refused("time_min,output_hz,sink_c\n1,30,40\n,30,40\n", "3: time_min", "is empty");
    refused("time_min,output_hz,sink_c\n1,30,40\n1,30,40\n0.9,30,40\n", "4: time_min",
            "'0.9' is before the time in line 3; expected time that never falls");
}

Test(log_file, columns_that_must_be_there)
{
    refused("output_hz,sink_c\n30,40\n", "1: time_min", "column missing");
    refused("time_min\toutput_hz\tsink_c\n0\t30\t40\n", "1",
            "the cells are parted by tabs; expected commas or semicolons");
    refused("time_min|output_hz|sink_c\n0|30|40\n", "1",
            "the cells are parted by vertical bars; expected commas or semicolons");
    refused("time_min,output_hz,note\n0,30,40\n", "1",
            "no column of a reading; expected at least one of ambient_c");
}

Test(log_file, tells_all_columns_that_are_missing_and_those_it_does_not_know)
{
    static const char *const want[][2] = {
        { "1: time_min", "expected it in the header; not known: 'minute', 'hz', 'temp'" },
        { "1: output_hz", "column missing" },
        { "1", "no column of a reading; expected at least one of ambient_c" },
        { NULL, NULL }
    };
    refused_file(scratch(0, "minute,hz,temp\n0,30,40\n"), want);
    static const char *const twice[][2] = { { "1: sink_c", "column given twice" }, { NULL, NULL } };
    refused_file(scratch(0, "time_min,output_hz,sink_c,sink_c\n0,30,40,41\n"), twice);
}

Test(log_file, tells_all_faults_in_the_order_of_lines)
{
    static const char *const want[][2] = { { "2: output_hz", "'x' is not a number" },
                                           { "2: sink_c", "'y' is not a number" },
                                           { "3", "the row has 4 cells, the header 3" },
                                           { "4", "a cell has a quote in it" },
                                           { "5: sink_c", "out of range" },
                                           { "6", "the row has 2 cells, the header 3" },
                                           { NULL, NULL } };
    refused_file(scratch(0, "time_min,output_hz,sink_c\n"
                            "0,x,y\n"
                            "1,30,40,5\n"
                            "2,30,4\"0\n"
                            "3,30,400\n"
                            "4,30\n"),
                 want);
}

Test(log_file, refuses_what_is_no_csv)
{
    refused("time_min,output_hz,sink_c\n", "", "has no row below its header");
    refused("\n\n", "1", "is empty; expected a header");
    refused("time_min,output_hz,sink_c\n0,30,\"40\n1,30,41\n", "2", "a quote is never closed");
    refused("time_min,output_hz,sink_c\n0,30,\"40\"1\n", "2", "goes on after its closing quote");
    refused("time_min,\"output_hz,sink_c\n0,30,40\n", "1", "a quote is never closed");
    refused("\"time_min", "1", "a quote is never closed");
    refused("time_min;output_hz;sink_c\n0;30;40;1\n", "2",
            "the row has 4 cells, the header 3; expected as many");
    refused("time_min,output_hz,sink_c\n0,30,40,1\n", "2",
            "expected as many (a decimal comma needs semicolons between the cells)");
    refused("time_min,output_hz,sink_c\r0,30,40\r", "1", "lines end in CR alone");
    refused("time_min,output_hz,sink_c\n0,30,4\x01\n", "2", "has a control byte in it");
    refused("time_min,output_hz,sink_c\n0,30,4\xB0\n", "2", "is not UTF-8");
    refused("time_min,output_hz,sink_c\n0,30,40\n1,30\r,40\n", "3: output_hz", "is not a number");
}

Test(log_file, refuses_nul_bytes_and_utf_16)
{
    static const char nul[] = "time_min,output_hz,sink_c\n0,30,4\0000\n";
    static const char *const want[][2] = { { "2", "has a NUL byte in it" }, { NULL, NULL } };
    refused_file(scratch_bytes(0, nul, sizeof nul - 1), want);
    static const char wide[] = "\xFF\xFEt\0i\0m\0";
    static const char *const wide_want[][2] = { { "1", "is UTF-16" }, { NULL, NULL } };
    refused_file(scratch_bytes(0, wide, sizeof wide - 1), wide_want);
}

Test(log_file, reads_regular_files_up_to_16_mib)
{
    static const char *const folder[][2] = { { "", "is a folder" }, { NULL, NULL } };
    static const char *const device[][2] = { { "", "is a device" }, { NULL, NULL } };
    static const char *const missing[][2] = { { "", "cannot be read" }, { NULL, NULL } };
    static const char *const empty[][2] = { { "", "is empty; expected a text file" },
                                            { NULL, NULL } };
    static const char *const large[][2] = {
        { "", "is too large; expected a text file of at most 16 MiB" }, { NULL, NULL }
    };
    refused_file("/tmp", folder);
    refused_file("/dev/null", device);
    refused_file("/tmp/there-is-no-such-file.csv", missing);
    refused_file(scratch(0, ""), empty);
    const size_t n = (16u << 20) + 1u;
    char *big = malloc(n);
    cr_assert_not_null(big);
    memset(big, '1', n);
    refused_file(scratch_bytes(0, big, n), large);
    free(big);
}

Test(log_file, a_log_of_faults_ends_early)
{
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "time_min,output_hz,sink_c\n");
    for (int i = 0; i < 5000; i++)
        sm_text_add(&text, "x,y,z\n");
    struct sm_faults faults;
    struct sm_log log;
    sm_faults_init(&faults);
    cr_expect_eq(sm_log_load(scratch(0, text.data), &log, &faults), SM_ERR_VALUE);
    cr_expect_leq(faults.count, 510);
    cr_expect_str_eq(faults.list[faults.count - 1].message,
                     "too many faults; the rest was not read");
    sm_faults_release(&faults);
    sm_text_release(&text);
}

Test(log_file, the_template_is_a_header_that_the_reader_knows)
{
    struct sm_text text;
    sm_text_init(&text);
    cr_assert_eq(sm_log_template(&text), SM_OK);
    sm_text_add(&text, "0,30,,,,,,,,,\r\n");
    struct sm_log log = log_ok(scratch(0, text.data));
    cr_expect_eq(log.n_ignored, 0);
    for (int i = 0; i < SM_LOG_COLUMN_COUNT; i++)
        cr_expect(log.has[i]);
    sm_log_release(&log);
    sm_text_release(&text);
}
