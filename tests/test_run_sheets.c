/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What sheets say where the examples' files leave something out, or go to an extreme.  Expected:
 * sums by hand beside the row, and the numbers of the same run as JSON.  $S, $E, $T:
 * tests/support/run.h. */
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static struct run run;

static void open_run(void)
{
    run_open(&run);
}

static void close_run(void)
{
    run_close(&run);
}

TestSuite(run_sheets, .init = open_run, .fini = close_run, .timeout = 120);

/* What is changed in the examples' drive and module, by sed, and what a command says then. */
struct altered {
    const char *drive, *module;
    int code;
    const char *phrases[5]; /* up to a NULL; blanks and line ends are one blank */
};

/* Runs `swapmargin BEFORE d.ini m.ini AFTER` in $T. */
static void altered_run(const char *before, const struct altered *row, const char *after)
{
    char command[900];
    (void)snprintf(command, sizeof command,
                   "cd $T; sed '%s' $E/drive.ini > d.ini; sed '%s' $E/module-good.ini > m.ini; "
                   "$S %s d.ini m.ini %s > o; code=$?; tr -s ' \\n' ' ' < o; exit $code",
                   row->drive, row->module, before, after);
    run_line(&run, command);
    cr_expect_eq(run.code, row->code, "%s: exit %d\n%s", command, run.code, run.err);
}

static void altered_say(const char *before, const struct altered *rows, size_t n, const char *after)
{
    for (size_t i = 0; i < n; i++) {
        altered_run(before, &rows[i], after);
        for (size_t k = 0; rows[i].phrases[k]; k++)
            cr_expect(strstr(run.out, rows[i].phrases[k]), "%s | %s: no '%s' in\n%s", rows[i].drive,
                      rows[i].module, rows[i].phrases[k], run.out);
    }
}

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

#define HOT "s/^rth_sa.*/rth_sa = 0.5 K\\/W/"
#define SURFACE "/^.joint/a surface = milled-aluminium-nickel-plated-copper\\n"

/* ------------------------------------------------------------------- joint */

/* 50 um of air, 0.026 W/(m.K), over 34 x 94 mm: 0.6017 K/W.  34 x 94 x 0.1 mm3: 0.3196 cm3, three
 * times that 0.9588 cm3. */
Test(run_sheets, joint_says_what_it_cannot_tell_and_why)
{
    static const struct altered rows[] = {
        { SURFACE "pressure = 0.4 MPa",
          "",
          0,
          { "Pressure 0.4 MPa, as typed", "air alone makes 0.6017 K/W. Never run it bare", NULL } },
        { SURFACE "pressure = 0.4 MPa",
          "/^base_/d",
          0,
          { "Bare metal not told: the module file does not give base_width and base_length",
            "Compound to apply -------------------------------------------------------------- "
            "Not told the module file does not give base_width and base_length",
            NULL } },
        { SURFACE,
          "/^screw/d",
          0,
          { "Not told no pressure is known: it takes [joint] pressure, or screws, screw_size",
            "Bare metal not told: no pressure is known", NULL } },
        { "/^.joint/a pressure = 50 MPa",
          "",
          0,
          { "Not told the pressure lies outside the range in which the law was measured",
            "Bare metal not told: [joint] surface is not given", NULL } },
        { "s/^compound.*/conductivity = 0.8 W\\/(m.K)/",
          "",
          0,
          { "On one base 0.32 cm3 On all 3 0.959 cm3 Not told the compound's density is not known",
            NULL } },
        { "",
          "s/^circuit.*/circuit = six-pack/",
          0,
          { "that is 0.32 cm3: weigh the module before and after What the screws", NULL } },
        { "",
          "/^rth_cs_/d",
          0,
          { "THE LAYER CANNOT BE JUDGED",
            "missing: module file [mounting] rth_cs_conductivity, rth_cs_thickness.",
            "0.042 K/W per module, as printed in the module file",
            "Thickest layer R_th(c-s) is used as printed, without a layer of its own", NULL } },
        { "s/^output_current.*/output_current = 10 A/",
          "",
          0,
          { "Thickest layer even a layer of 5 mm keeps the margin Compound", NULL } },
    };
    altered_say("joint", rows, COUNT(rows), "");
}

/* The printed resistance may keep the margin or not: neither says anything of the layer.  The exit
 * status is that of the margin. */
Test(run_sheets, a_layer_that_does_not_enter_will_neither_do_nor_not_do)
{
    static const struct altered rows[] = {
        { "", "/^rth_cs_/d", 0, { "With the value printed the smallest margin is ", NULL } },
        { "s/^ambient .*/ambient = 85 degC/",
          "/^rth_cs_/d",
          1,
          { "THE LAYER CANNOT BE JUDGED", "With the value printed the smallest margin is ",
            NULL } },
        { HOT,
          "/^rth_cs_/d",
          1,
          { "With the value printed there is no equilibrium: thermal runaway.", NULL } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        altered_say("joint", &rows[i], 1, "");
        cr_expect_not(strstr(run.out, "WILL"), "%s", run.out);
        cr_expect_not(strstr(run.out, "With this layer"), "%s", run.out);
    }
}

/* A tube's own conductivity comes without a density, and a base without a size has no volume. */
Test(run_sheets, the_weighing_asks_for_a_mass_only_where_the_sheet_tells_one)
{
    static const struct altered rows[] = {
        { "", "", 0, { "On one base 0.735 g", "the gain should be the mass told above", NULL } },
        { "s/^compound.*/conductivity = 0.8 W\\/(m.K)/",
          "",
          0,
          { "Weigh the module before and after the compound goes on: what it gains is the compound",
            NULL } },
        { "", "/^base_/d", 0, { "what it gains is the compound", NULL } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        altered_say("joint", &rows[i], 1, "");
        cr_expect_eq(!strstr(run.out, "told above"), i > 0, "%s", run.out);
        altered_run("joint", &rows[i], "--format json");
        cr_expect_eq(!strstr(run.out, "told above"), i > 0, "%s", run.out);
    }
}

Test(run_sheets, joint_of_a_drive_that_runs_away)
{
    static const struct altered rows[] = {
        { HOT "; s/^name.*//",
          "",
          1,
          { "THE LAYER WILL NOT DO KT 150-12 HB =====",
            "With this layer there is no equilibrium: thermal runaway.",
            "Costs runaway at 30 Hz, runaway at 60 Hz Thickest layer even a layer of 1 um leaves "
            "the margin short",
            NULL } },
    };
    altered_say("joint", rows, 1, "");
    cr_expect(strstr(run.out, " 0.80 hot! hot! hot! hot! hot! hot! "), "%s", run.out);
    cr_expect_not(strstr(run.out, "Lowest coverage"));
    run_line(&run, "cd $T; $S joint d.ini m.ini --format json | jq -c '[.kept, .margin_k, "
                   ".joint.max_thickness_um, ([.by_compound[], .by_coverage[] | .margin_k] | "
                   "unique)]'");
    cr_expect_str_eq(run.out, "[false,null,null,[null]]\n");
}

/* ------------------------------------------------------ overload, hold */

/* What an overload may last, from the same run's JSON. */
Test(run_sheets, an_overload_is_for_any_time_or_for_some_or_nobody_knows)
{
    static const struct altered rows[] = {
        { "s/^overload_current.*/overload_current = 200 %/", "", 1, { "IGBT all 60 s ", NULL } },
        { "/^sink_capacity/d", "", 0, { "IGBT up to T_vj,op overload at 60 Hz", NULL } },
        { HOT, "", 1, { "overload at 30 Hz - - runaway - not known ", NULL } },
        { HOT, "", 1, { "% of rated ", NULL } },
        /* 5 kW over 0.044 K/W make the sink too hot by themselves: no current may stand */
        { "s/^other_heat.*/other_heat = 5 kW/", "", 1, { "IGBT below 1 % of rated ", NULL } },
    };
    altered_say("check", rows, COUNT(rows), "");
    altered_run("check", &rows[0], "");
    run_line(&run, "cd $T; tr -s ' \\n' ' ' < o > text; $S check d.ini m.ini --format json | "
                   "jq -r '.overload[1].allowed_s' | xargs printf '%.4g s of 60 s' > time; "
                   "grep -cF \"$(cat time)\" text");
    cr_expect_str_eq(run.out, "1\n", "%s", run.err);
}

Test(run_sheets, an_overload_that_does_not_fit_says_in_json_why_its_time_is_not_known)
{
    static const struct altered row = {
        "/^sink_capacity/d; s/^overload_current.*/overload_current = 200 %/", "", 1, { NULL }
    };
    altered_run("check", &row, "--format json");
    run_line(&run, "jq -c '[.overload[] | [.margin_k < 0, .allowed_s, .why]]' $T/o");
    cr_expect_str_eq(run.out, "[[true,null,\"how long it may last is not known without "
                              "sink_capacity\"],[true,null,\"how long it may last is not known "
                              "without sink_capacity\"]]\n");
}

/* ----------------------------------------------------------------- load run */

/* Without a capacitor the bus follows the line's crests down to where they cross: 480 V times
 * sqrt(2) times 1 - cos 30 deg is 90.94 V. */
Test(run_sheets, loadrun_says_when_to_stop_and_what_is_not_told)
{
    static const struct altered rows[] = {
        { "/^bus_capacitance/d",
          "",
          0,
          { "not told: bus_capacitance is not given; with no capacitor at all it would be 90.94 V",
            NULL } },
        { "/^sink_capacity/d", "", 0, { "No curve is told: sink_capacity is not given", NULL } },
        { HOT,
          "",
          1,
          {
              "LOAD RUN: REJECT",
              "It gets there before minute 20.",
              "Then nothing more: thermal runaway: no equilibrium.",
              "DO NOT START: the sink is past that already.",
          } },
        { "s/^rth_sa.*/rth_sa = 0.16 K\\/W/; s/^duration.*/duration = 10 min/",
          "",
          1,
          { "It gets there if it runs on.", NULL } },
        { "s/^output_current.*/output_current = 300 A/",
          "",
          1,
          { "DO NOT START: even over a sink at ambient the hottest junction",
            "No curve is told: the run before ends in thermal runaway", NULL } },
        { "s/^name.*//",
          "/^rth_cs/d; s/^.igbt.thermal.$/&\\nrth_cs = 0.08 K\\/W/; "
          "s/^.diode.thermal.$/&\\nrth_cs = 0.13 K\\/W/",
          0,
          { "LOAD RUN KT 150-12 HB =====",
            "0.08 K/W per IGBT, 0.13 K/W per diode, as printed in the module file",
            " case under the IGBT ", NULL } },
    };
    altered_say("loadrun", rows, COUNT(rows), "");
}

/* ----------------------------------------------------------------- original */

#define WEAK "/^foster/d; s/^rth_jc.*/rth_jc = 3 K\\/W/"

/* A part whose chips cannot get rid of their heat beside one that can, and the other way round. */
Test(run_sheets, runaway_on_one_side_of_the_original_has_no_difference)
{
    static const struct altered weaker[] = {
        { "",
          WEAK,
          1,
          { "30 margin runaway 18.23 K - worse", "60 all losses runaway 728.7 W - worse",
            "- margin at 30 Hz: thermal runaway, the original 18.23 K",
            "- margin, zero-speed hold: thermal runaway, the original", NULL } },
    };
    altered_say("check", weaker, 1, "--original $E/module-original.ini");
    cr_expect_not(strstr(run.out, "- all losses at")); /* the margins say it already */
    run_line(&run, "cd $T; $S check d.ini $E/module-original.ini --format json | jq -r "
                   "'.points[0].margin_k, 3 * 2 * (.points[1] | .lead_w + .igbt.total_w + "
                   ".diode.total_w)' | xargs printf '%.4g %.4g'");
    cr_expect_str_eq(run.out, "18.23 728.7"); /* the numbers above, of a run of its own */
    run_line(&run, "cd $T; $S check d.ini $E/module-original.ini --original m.ini | "
                   "tr -s ' \\n' ' '");
    cr_expect(strstr(run.out, "KT 150-12 HB: thermal runaway at 30 Hz; the candidate is worse"),
              "%s", run.out);
    cr_expect(strstr(run.out, "30 margin 18.23 K runaway - 30 margin after"), "%s", run.out);
}

/* Beside its row the page says at which of two frequencies; the same run's JSON says it in each. */
Test(run_sheets, a_page_names_the_one_frequency_where_the_candidate_is_worse)
{
    run_line(&run, "cd $T; R=\"$S check $E/drive.ini $E/module-low-frequency.ini --original "
                   "$E/module-marginal.ini\"; $R --format json | jq -r '[.original.comparison[] | "
                   "select(.output_hz != null)] | group_by(.name)[] | map(select(.worse)) | "
                   "select(length == 1) | \"worse, \\(.[0].output_hz) Hz\"' | sort > a; "
                   "$R --format html | grep -o 'worse, [0-9]* Hz' | sort > b; wc -l < a; cmp a b");
    cr_expect(run.code == 0 && run.out[0] > '0', "%s%s", run.out, run.err);
}

/* Six frequencies do not stand beside each other: three of them are shown, and that is said. */
Test(run_sheets, a_page_beside_the_original_shows_three_of_many_frequencies)
{
    static const struct altered row = {
        "s/^frequencies.*/frequencies = 10 20 30 40 50 60 Hz/", "", 0, { NULL }
    };
    altered_run("check", &row, "--original $E/module-original.ini --format html");
    cr_expect_not_null(strstr(run.out,
                              "At the lowest, the deciding and the highest test frequency; "
                              "text and JSON have all."));
    altered_run("check", &row, "--original $E/module-original.ini");
    for (int hz = 10; hz <= 60; hz += 10) {
        char cell[60];
        (void)snprintf(cell, sizeof cell, " %d all losses ", hz);
        cr_expect_not_null(strstr(run.out, cell), "no '%s'", cell);
    }
}

/* What both parts say alike is one sentence: numbers with their value, texts by name. */
Test(run_sheets, a_page_tells_in_one_sentence_what_is_the_same)
{
    run_line(&run,
             "$S check $E/drive.ini $E/module-good.ini --original $E/module-good.ini --format "
             "html | grep -o 'The same in both: .*' | sed 's/<[^>]*>//g'");
    cr_expect(strstr(run.out, "V_CES 1200") && strstr(run.out, "outline and holes, ") &&
                  run.out[strlen(run.out) - 2] == '.',
              "%s", run.out);
}

/* ------------------------------------------------------------- sweep, pages */

Test(run_sheets, a_sweep_names_the_joint_file_and_says_when_no_row_keeps_the_margin)
{
    static const struct altered row = {
        HOT "; s/^name.*//",
        "",
        0,
        { "SWEEP KT 150-12 HB =====", "joint layer 300 um;", "joint-thick.ini Smallest margin",
          "100 - - 30 Hz runaway", "The margin is short of the required 15 K in every row." }
    };
    altered_run("sweep", &row,
                "--joint $E/joint-thick.ini --over load --from 50% --to 150% --steps 3");
    for (size_t k = 0; k < COUNT(row.phrases); k++)
        cr_expect(strstr(run.out, row.phrases[k]), "no '%s' in %s", row.phrases[k], run.out);
}

/* How many pictures a page has: without an equilibrium there is no curve to draw. */
Test(run_sheets, a_page_draws_no_curve_of_what_has_no_equilibrium)
{
    static const struct altered cold = { "", "", 0, { NULL } };
    static const struct altered hot = { HOT, "", 1, { NULL } };
    static const struct altered hotter = { "s/^rth_sa.*/rth_sa = 0.9 K\\/W/", "", 0, { NULL } };
    altered_run("check", &cold, "--format html");
    cr_expect_not_null(strstr(run.out, "Junction over one output cycle"));
    cr_expect_not_null(strstr(run.out, "Margin over the output frequency"));
    altered_run("check", &hot, "--format html");
    cr_expect_null(strstr(run.out, "Junction over one output cycle"));
    cr_expect_null(strstr(run.out, "Margin over the output frequency"));
    altered_run("sweep", &cold, "--over load --from 50% --to 150% --steps 3 --format html");
    cr_expect_not_null(strstr(run.out, "<svg"));
    altered_run("sweep", &hotter, "--over load --from 80% --to 150% --steps 3 --format html");
    cr_expect_null(strstr(run.out, "<svg"));
}

/* No margin is asked for: no line across the pictures says where it would be. */
Test(run_sheets, without_a_required_margin_no_picture_draws_its_line)
{
    static const struct altered some = { "", "", 0, { NULL } };
    static const struct altered none = {
        "s/^required_margin.*/required_margin = 0 K/", "", 0, { NULL }
    };
    altered_run("check", &some, "--format html");
    cr_expect_not_null(strstr(run.out, "class=\"asked\""));
    altered_run("check", &none, "--format html");
    cr_expect_null(strstr(run.out, "class=\"asked\""));
    cr_expect_not_null(strstr(run.out, "Margin over the output frequency"));
}

/* --------------------------------------------------------------- load log */

Test(run_sheets, a_log_with_strange_columns_and_the_thermistor_for_the_case)
{
    run_line(&run, "cut -d, -f1,2,3,4,6- $E/log-good.csv | sed '1s/$/,note,door/;1!s/$/,x,y/' > "
                   "$T/l.csv; $S loadrun $E/drive.ini $E/module-good.ini --log $T/l.csv "
                   "--ntc-as-case | tr -s ' \\n' ' '");
    cr_expect(strstr(run.out, "130 rows, 130 of them in use; 120 under load, 10 without. Columns "
                              "not known: note, door."),
              "%s%s", run.out, run.err);
    cr_expect(strstr(run.out, " Case the thermistor stands for it: "), "%s", run.out);
}
