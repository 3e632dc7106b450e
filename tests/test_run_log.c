/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs of `loadrun --log` and `template log`.  $S, $E, $T: tests/support/run.h. */
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define LOADRUN "\"$S\" loadrun \"$E/drive.ini\" \"$E/module-good.ini\""
#define HEADER "time_min,output_hz,sink_c\\n"

/* A heatsink three times as warm over the air as that of the good log, 126 degC, while 119.8 are
 * the reading to stop at. */
#define TOO_HOT "awk -F, -v OFS=, 'NR > 1 { d = 2 * ($4 - $3); $4 += d; $5 += d } 1' "

static struct run run;

static void open_run(void)
{
    run_open(&run);
}

static void close_run(void)
{
    run_close(&run);
}

TestSuite(run_log, .init = open_run, .fini = close_run);

static void expect_code(const char *command, int code)
{
    run_line(&run, command);
    cr_expect_eq(run.code, code, "%s exits %d: %s", command, run.code, run.err);
}

/* A wrong log: exit 2, nothing on standard output, and each of the messages. */
static void expect_refused(const char *make_log, const char *const *messages)
{
    char command[1024];
    (void)snprintf(command, sizeof command, "%s > \"$T/l.csv\"; " LOADRUN " --log \"$T/l.csv\"",
                   make_log);
    expect_code(command, 2);
    cr_expect_str_eq(run.out, "", "%s", make_log);
    for (size_t i = 0; messages[i]; i++)
        cr_expect_not_null(strstr(run.err, messages[i]), "%s: no '%s' in %s", make_log, messages[i],
                           run.err);
}

/* --------------------------------------------------------------- verdicts */

/* What the five examples are, is told in tests/reference/logs.py. */
Test(run_log, each_example_has_its_headline_its_likeliest_cause_and_its_exit_status)
{
    static const struct {
        const char *name, *headline, *cause;
        int code;
    } rows[] = {
        { "good", "LOAD RUN: AS EXPECTED", NULL, 0 },
        { "thick-layer", "LOAD RUN: JOINT HIGH", "thick layer:", 1 },
        { "dry-spot", "LOAD RUN: JOINT HIGH", "dry spot:", 1 },
        { "blocked-fins", "LOAD RUN: HEATSINK HIGH", "fins or filter blocked:", 1 },
        { "weak-phase", "LOAD RUN: PHASES FAIL", "one phase weak:", 1 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char command[512];
        (void)snprintf(command, sizeof command, LOADRUN " --log \"$E/log-%s.csv\"", rows[i].name);
        expect_code(command, rows[i].code);
        cr_expect_eq(strncmp(run.out, rows[i].headline, strlen(rows[i].headline)), 0, "%s",
                     run.out);
        const char *list = strstr(run.out, "usually, the likeliest first:");
        cr_expect_eq(list != NULL, rows[i].cause != NULL, "%s", rows[i].name);
        const char *first = list ? strstr(list, "\n  - ") : NULL;
        if (rows[i].cause)
            cr_expect(first && strncmp(first + 5, rows[i].cause, strlen(rows[i].cause)) == 0, "%s",
                      run.out);
    }
}

Test(run_log, the_sheet_fits_eighty_columns_and_plain_ascii_is_plain)
{
    expect_code(
        "" TOO_HOT "\"$E/log-good.csv\" > \"$T/hot.csv\"; head -40 "
        "\"$E/log-good.csv\" > \"$T/cut.csv\"; for f in \"$E\"/log-*.csv \"$T\"/*.csv; do " LOADRUN
        " --log $f; done | "
        "LC_ALL=C awk 'length > 80 || /[^ -~]/ { print; bad = 1 } END { exit bad }'",
        0);
    cr_expect_str_eq(run.out, "");
}

Test(run_log, the_document_holds_all_of_it_and_null_without_a_log)
{
    expect_code(LOADRUN " --format json | jq -e '.log == null and (.log_why | length > 0)'", 0);
    expect_code(LOADRUN
                " --log \"$E/log-thick-layer.csv\" --format json > \"$T/o\"; jq -e "
                "'.log_why == null and (.log | .samples == 130 and .joint.result == \"high\" "
                "and .joint.causes[0].name == \"thick layer\" and .sink.result == "
                "\"as expected\" and .balance.limit_percent == 5 and .bus.expected_v == 648 "
                "and .ripple.result == \"pass\" and .joint.low_with_model < .joint.low "
                "and .joint.low < .joint.rth_k_per_w and .joint.rth_k_per_w < .joint.high "
                "and .joint.high < .joint.high_with_model)' \"$T/o\"",
                0);
    /* the layer of logs.py is 240 um; 3 % for the errors of the readings */
    expect_code("jq -e '.log.joint.thickness_um | . > 233 and . < 247' \"$T/o\"", 0);
}

/* By the tool of the system. */
Test(run_log, the_fingerprint_of_the_log_stands_beside_those_of_the_other_files)
{
    expect_code("w=$(sha256sum < \"$E/log-good.csv\" | cut -c1-64); " LOADRUN
                " --log \"$E/log-good.csv\" > \"$T/o\"; grep -q $w \"$T/o\" && " LOADRUN
                " --log \"$E/log-good.csv\" --format json | jq -e --arg w $w "
                "'.inputs_sha256 | map(select(.of == \"log\")) | .[0].sha256 == $w'",
                0);
}

Test(run_log, the_long_form_has_its_numbers_with_units)
{
    expect_code(LOADRUN " --log \"$E/log-good.csv\" --format csv > \"$T/o\"; "
                        "grep -q '^log.joint.rth_k_per_w,.*K/W' \"$T/o\" && "
                        "grep -q '^log.balance.median_percent,.*%' \"$T/o\" && "
                        "grep -q '^log.sink.capacity_j_per_k,.*J/K' \"$T/o\"",
                0);
}

Test(run_log, the_page_tells_of_it_too)
{
    expect_code(LOADRUN " --log \"$E/log-dry-spot.csv\" --format html > \"$T/o\"; test $? = 1 && "
                        "grep -q 'What the log says' \"$T/o\" && grep -q 'dry spot' \"$T/o\"",
                0);
}

Test(run_log, a_rejected_module_and_a_bad_log_are_both_told)
{
    expect_code("\"$S\" loadrun \"$E/drive.ini\" \"$E/module-low-frequency.ini\" --log "
                "\"$E/log-weak-phase.csv\"",
                1);
    cr_expect_eq(strncmp(run.out, "LOAD RUN: REJECT, ", 18), 0, "%.80s", run.out);
    cr_expect_not_null(strstr(run.out, "PHASES FAIL"));
}

Test(run_log, a_log_past_the_reading_to_stop_at_says_so_first_and_exits_one)
{
    expect_code(TOO_HOT "\"$E/log-good.csv\" > \"$T/l.csv\"; " LOADRUN " --log \"$T/l.csv\"", 1);
    cr_expect_eq(strncmp(run.out, "LOAD RUN: STOP THE RUN", 22), 0, "%.80s", run.out);
    expect_code(LOADRUN " --log \"$T/l.csv\" --format json | jq -e '.runs as $runs | .log.stop | "
                        ".result == \"fail\" and .column == \"sink_c\" and .output_hz == 30 and "
                        ".read_c >= .limit_c and .limit_c == $runs[0].stop_sink_c and "
                        ".rows_over > 60 and .why == null'",
                0);
    expect_code(
        "r=$(sed -n \"$(" LOADRUN " --log \"$T/l.csv\" --format json | jq .log.stop.line)p\" "
        "\"$T/l.csv\" | cut -d, -f1); " LOADRUN " --log \"$T/l.csv\" --format csv | grep -q "
        "\"^log.stop.time_min,$r,min\"",
        0);
    expect_code(LOADRUN " --log \"$T/l.csv\" --format html > \"$T/o\"; test $? = 1 && "
                        "grep -q 'STOP THE RUN' \"$T/o\"",
                0);
    expect_code(LOADRUN " --log \"$E/log-good.csv\" --format json | jq -e '.log.stop | .result == "
                        "\"pass\" and .read_c < .limit_c and .rows_over == 0 and .rows == 120'",
                0);
}

Test(run_log, a_log_of_one_run_is_not_told_to_be_of_both)
{
    expect_code("awk -F, 'NR == 1 || $1 < 40' \"$E/log-good.csv\" > \"$T/l.csv\"; " LOADRUN
                " --log \"$T/l.csv\"",
                0);
    cr_expect_eq(strncmp(run.out, "LOAD RUN: AS EXPECTED; 60 Hz NOT RUN", 36), 0, "%.80s", run.out);
    cr_expect_not_null(strstr(run.out, "  - 60 Hz: no loaded row in the log"), "%s", run.out);
    expect_code(LOADRUN " --log \"$T/l.csv\" --format json | jq -e '.log | (.notes | length == 2) "
                        "and .runs[0].rows == 30 and .runs[0].duration_min == 29 and "
                        ".runs[1].rows == 0 and .runs[1].current_a == null'",
                0);
    expect_code(LOADRUN " --log \"$E/log-good.csv\" --format json | jq -e '.log.notes == []'", 0);
}

/* Each is one slip of the good log: seconds, kilohm, degF, a sensor that fell out. */
Test(run_log, a_slip_in_the_log_is_noted_within_eighty_columns)
{
    static const char *const rows[][2] = {
        { "$1 *= 60", "is time_min in minutes?" },
        { "$6 /= 1000", "is the column in kilohm?" },
        { "$4 = 32 + 1.8 * $4", "before the load sink_c and ambient_c differ by" },
        { "$4 = 27", "sink sensor does not follow: sink_c stands still" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char command[1024];
        (void)snprintf(
            command, sizeof command,
            "awk -F, -v OFS=, 'NR > 1 { %s } 1' \"$E/log-good.csv\" > \"$T/l.csv\"; " LOADRUN
            " --log \"$T/l.csv\" > \"$T/o\"; awk 'length > 80' \"$T/o\"; tr '\\n' ' ' < "
            "\"$T/o\" | tr -s ' '",
            rows[i][0]);
        expect_code(command, 0);
        cr_expect_not_null(strstr(run.out, "Of the log itself:"), "%s", run.out);
        cr_expect_not_null(strstr(run.out, rows[i][1]), "%s", run.out);
        cr_expect_eq(strncmp(run.out, "LOAD RUN: ", 10), 0, "%.80s", run.out);
    }
}

/* -------------------------------------------------------------- properties */

/* The log with its columns in another order, other separators, decimal commas, a column more, a
 * byte order mark and CR LF says the same. */
Test(run_log, how_the_file_is_written_changes_nothing)
{
    static const char *const ways[] = {
        "awk -F, -v OFS=, '{ print $11, $3, $2, $1, $10, $6, $9, $8, $7, $5, $4 }' $L",
        "tr ',.' ';,' < $L",
        "sed 's/$/,note/' $L",
        "printf '\\357\\273\\277'; sed 's/$/\\r/' $L",
        "sed 's/\\([^,]*\\)/\"\\1\"/g' $L",
    };
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        char command[1024];
        (void)snprintf(command, sizeof command,
                       "L=\"$E/log-thick-layer.csv\"; { %s; } > \"$T/l.csv\"; for f in $L "
                       "\"$T/l.csv\"; do " LOADRUN " --log $f --format json | jq '.log | "
                       "del(.file, .ignored_columns)' > \"$T/$(basename $f).out\"; done; "
                       "cmp \"$T/log-thick-layer.csv.out\" \"$T/l.csv.out\" && test -s "
                       "\"$T/l.csv.out\"",
                       ways[i]);
        expect_code(command, 0);
    }
}

Test(run_log, rows_put_aside_are_told_with_their_lines)
{
    expect_code("awk -F, -v OFS=, 'NR == 40 { $5 = \"\" } NR == 60 { $5 = \"120\" } 1' "
                "\"$E/log-good.csv\" > \"$T/l.csv\"; " LOADRUN " --log \"$T/l.csv\"",
                0);
    cr_expect_not_null(strstr(run.out, "130 rows, 128 of them in use"), "%s", run.out);
    cr_expect_not_null(strstr(run.out, "1 row (line 40): no value in case_c"), "%s", run.out);
    cr_expect_not_null(strstr(run.out, "1 row (line 60): case over sink is"), "%s", run.out);
}

/* 150 degC in one row, 70 before and after: it fails, for nobody knows, and says what it may be. */
Test(run_log, a_stray_past_the_reading_to_stop_at_is_told_to_be_one)
{
    expect_code("awk -F, -v OFS=, 'NR == 60 { $5 = \"150\" } 1' \"$E/log-good.csv\" > "
                "\"$T/l.csv\"; " LOADRUN
                " --log \"$T/l.csv\" > \"$T/o\"; echo $?; tr '\\n' ' ' < \"$T/o\" | tr -s ' '",
                0);
    cr_expect_eq(strncmp(run.out, "1\nLOAD RUN: STOP THE RUN", 24), 0, "%.80s", run.out);
    cr_expect_not_null(strstr(run.out,
                              "FAIL: 1 row at the reading to stop at or above, first case_c "
                              "150 degC at 58 min (line 60)"),
                       "%s", run.out);
    cr_expect_not_null(strstr(run.out, "put aside below: a slip, or a sensor that came off?"), "%s",
                       run.out);
    expect_code(TOO_HOT "\"$E/log-good.csv\" > \"$T/l.csv\"; " LOADRUN
                        " --log \"$T/l.csv\" | grep -q 'put aside below'",
                1);
}

/* -------------------------------------------------------- cannot be told */

Test(run_log, what_the_log_cannot_decide_is_said_and_exits_zero)
{
    expect_code("cut -d, -f1,2,3,4,6- \"$E/log-good.csv\" > \"$T/l.csv\"; " LOADRUN
                " --log \"$T/l.csv\"",
                0);
    cr_expect_eq(strncmp(run.out, "LOAD RUN: NOT DECIDED", 21), 0, "%.80s", run.out);
    cr_expect_not_null(strstr(run.out, "--ntc-as-case"), "%s", run.out);
    expect_code("head -22 \"$E/log-good.csv\" > \"$T/l.csv\"; " LOADRUN
                " --log \"$T/l.csv\" --format json | jq -e '.log.sink | .result == \"not settled\" "
                "and .rth_k_per_w == null and (.why | contains(\"two time constants\"))'",
                0);
    expect_code("sed '2,11d' \"$E/log-good.csv\" > \"$T/l.csv\"; " LOADRUN " --log \"$T/l.csv\"",
                0);
    cr_expect_not_null(strstr(run.out, "the sensors are taken to agree"), "%s", run.out);
}

/* ------------------------------------------------------------ thermistor */

Test(run_log, the_thermistor_as_the_case_is_an_option_that_needs_what_it_uses)
{
    expect_code("cut -d, -f1,2,3,4,6- \"$E/log-good.csv\" > \"$T/l.csv\"; " LOADRUN
                " --log \"$T/l.csv\" --ntc-as-case --format json | jq -e '.log.joint | .case_from "
                "== \"ntc_ohm\" and .rth_k_per_w > 0'",
                0);
    expect_code(LOADRUN " --ntc-as-case", 2);
    cr_expect_str_eq(run.err, "swapmargin: '--ntc-as-case' does nothing without '--log'\n");
    expect_code("cut -d, -f1-5 \"$E/log-good.csv\" > \"$T/l.csv\"; \"$S\" loadrun \"$E/drive.ini\" "
                "\"$E/module-original.ini\" --log \"$T/l.csv\" --ntc-as-case",
                2);
    cr_expect_str_eq(run.out, "");
    cr_expect_not_null(strstr(run.err, "l.csv:1: ntc_ohm: column missing"), "%s", run.err);
    cr_expect_not_null(strstr(run.err, "module-original.ini: [thermistor]"), "%s", run.err);
    expect_code("\"$S\" check \"$E/drive.ini\" \"$E/module-good.ini\" --log \"$E/log-good.csv\"",
                2);
}

/* ------------------------------------------------------------ wrong files */

Test(run_log, a_wrong_log_is_refused_with_file_line_and_column)
{
    static const struct {
        const char *make;
        const char *messages[4];
    } rows[] = {
        { "printf ''", { "l.csv", "is empty" } },
        { "printf 'time_min,output_hz,sink_c\\n'", { "has no row below its header" } },
        { "printf 'time_min,sink_c\\n0,20\\n'", { "l.csv:1: output_hz: column missing" } },
        { "printf 'time_min,output_hz\\n0,20\\n'", { "no column of a reading" } },
        { "printf '" HEADER "0,60,20\\n1,60,x\\n2,60,999\\n'",
          { "l.csv:3: sink_c: 'x' is not a number", "l.csv:4: sink_c: '999' is out of range" } },
        { "printf '" HEADER "5,60,20\\n4,60,20\\n'", { "l.csv:3: time_min: " } },
        { "printf '" HEADER ",60,20\\n'", { "l.csv:2: time_min: is empty" } },
        { "printf '" HEADER "0,60,20,5\\n'", { "l.csv:2: the row has 4 cells, the header 3" } },
        { "printf '" HEADER "0,60,nan\\n1,60,0x1p3\\n2,60,inf\\n'",
          { "l.csv:2: sink_c: 'nan'", "l.csv:3: sink_c: '0x1p3'", "l.csv:4: sink_c: 'inf'" } },
        { "printf 'time_min,output_hz,sink_c\\n0,60,2\\0000\\n'", { "l.csv:2" } },
        { "printf '" HEADER "0,60,\"20\\n'", { "a quote is never closed" } },
        { "printf '" HEADER "0,60,\"20,5\"\\n'", { "a comma needs semicolons" } },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        expect_refused(rows[i].make, rows[i].messages);
}

Test(run_log, faults_of_all_files_are_told_in_one_run_and_a_missing_log_is_one)
{
    expect_code("sed 's/480 V /480 kA /' \"$E/drive.ini\" > \"$T/d.ini\"; echo x > \"$T/l.csv\"; "
                "\"$S\" loadrun \"$T/d.ini\" \"$E/module-good.ini\" --log \"$T/l.csv\"",
                2);
    cr_expect_not_null(strstr(run.err, "[drive] line_voltage"), "%s", run.err);
    cr_expect_not_null(strstr(run.err, "l.csv:1: time_min: column missing"), "%s", run.err);
    expect_code(LOADRUN " --log \"$T/none.csv\"", 2);
    expect_code(LOADRUN " --log \"$E\"", 2);
    /* it is an input: not to be written over */
    expect_code("cp \"$E/log-good.csv\" \"$T/l.csv\"; " LOADRUN
                " --log \"$T/l.csv\" --output \"$T/l.csv\"",
                2);
    expect_code("cmp \"$E/log-good.csv\" \"$T/l.csv\"", 0);
}

/* ----------------------------------------------------------- joint per switch */

/* A joint per switch means a layer where both chips tell of their reference, else none: the layer
 * grows as the resistance does, from 100 um at what is expected. */
Test(run_log, a_joint_per_switch_means_a_layer_when_both_chips_have_a_reference)
{
    expect_code("R='rth_cs_conductivity = 1 W\\/(m.K)\\nrth_cs_thickness = 100 um'; "
                "I=\"s/^.igbt.thermal.$/&\\nrth_cs = 0.0635 K\\/W\\n$R/\"; "
                "D='s/^.diode.thermal.$/&\\nrth_cs = 0.124 K\\/W'; cd \"$T\"; "
                "sed \"/^rth_cs/d; $I; $D/\" \"$E/module-good.ini\" > one.ini; "
                "sed \"/^rth_cs/d; $I; $D\\n$R/\" \"$E/module-good.ini\" > two.ini; "
                "for m in one two; do \"$S\" loadrun \"$E/drive.ini\" $m.ini --log "
                "\"$E/log-good.csv\" --format json | jq -c '.log.joint | .thickness_um as $t | "
                "[$t == null, ($t != null and (($t / 100 - .rth_k_per_w / .expected_k_per_w) | "
                "fabs < 1e-6))]'; done",
                0);
    cr_expect_str_eq(run.out, "[true,false]\n[false,true]\n", "%s", run.err);
}

/* -------------------------------------------------------------- template */

Test(run_log, the_blank_log_has_every_column_and_can_be_filled_in)
{
    expect_code("\"$S\" template log", 0);
    cr_expect_str_eq(run.out, "time_min,output_hz,ambient_c,sink_c,case_c,ntc_ohm,iu_a,iv_a,iw_a,"
                              "bus_v,ripple_v\r\n");
    expect_code(
        "{ \"$S\" template log; echo 0,0,25,25,25,5000,0,0,0,648,0; } > \"$T/l.csv\"; " LOADRUN
        " --log \"$T/l.csv\" --format json | jq -e '.log.samples == 1'",
        0);
}
