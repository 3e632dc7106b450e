/* SPDX-License-Identifier: GPL-3.0-or-later
 * Each rule from both sides: a slip just beyond its bound, which is the only warning, and a value
 * just within, which is none.  The bounds are worked out beside the rows from the numbers of
 * examples/module-good.ini. */
#include "assess/sanity.h"

#include "report/words.h"
#include "support/files.h"
#include "support/fixture.h"
#include "support/run.h"
#include "swapmargin/engine.h"
#include "swapmargin/input.h"
#include "swapmargin/report.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The module read from a text, and its warnings. */
struct looked {
    struct sm_module module;
    struct sm_warnings warnings;
};

static void look(struct looked *looked, const char *text)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    sm_module_init(&looked->module);
    sm_warnings_init(&looked->warnings);
    const enum sm_status status = sm_module_load(scratch(0, text), &looked->module, &faults);
    expect_no_fault(&faults);
    cr_assert_eq(status, SM_OK);
    cr_assert_eq(sm_module_sanity(&looked->module, &looked->warnings), SM_OK);
    sm_faults_release(&faults);
}

static void looked_release(struct looked *looked)
{
    sm_warnings_release(&looked->warnings);
    sm_module_release(&looked->module);
}

static int line_of(const char *text, const char *found)
{
    int line = 1;
    for (const char *p = text; p < found; p++)
        line += *p == '\n' ? 1 : 0;
    return line;
}

static void expect_none(const char *text, const char *what)
{
    struct looked looked;
    look(&looked, text);
    cr_expect_eq(looked.warnings.count, 0, "'%s' is within: rule %d of %zu warns", what,
                 looked.warnings.count ? (int)looked.warnings.list[0].id : -1,
                 looked.warnings.count);
    looked_release(&looked);
}

/* The one warning, of this id and key, at the line on which the key stands at `place`. */
static void expect_one(const char *text, enum sm_sanity_id id, const char *key, const char *place)
{
    struct looked looked;
    look(&looked, text);
    const struct sm_warnings *all = &looked.warnings;
    cr_assert_eq(all->count, 1, "'%s': %zu warnings, the first of rule %d", place, all->count,
                 all->count ? (int)all->list[0].id : -1);
    cr_expect_eq(all->list[0].id, id, "'%s': rule %d", place, (int)all->list[0].id);
    cr_expect_str_eq(word_module_key(all->list[0].key)->key, key);
    cr_expect_eq(all->list[0].line, line_of(text, strstr(text, place)), "'%s'", place);
    looked_release(&looked);
}

struct slip {
    enum sm_sanity_id id;
    const char *key;
    const char *from, *slip, *within;
};

#define CURVE_150 "0.70 1.07 1.38 1.83 2.21 2.57 3.24"
#define E_ON_150 "2.3 4.3 8.6 13.6 19.8 36.5"
#define TAU_IGBT "0.002 0.018 0.062 0.24"
#define DIODE_THERMAL                                                                              \
    "rth_jc = 0.31 K/W\nfoster_r = 0.019 0.098 0.138 0.055 K/W\nfoster_tau = 0.002 0.016 0.056 "   \
    "0.21 s"
#define E_RR                                                                                       \
    "e_rr @ 25 degC = 2.0 3.2 4.8 5.9 6.7 7.9 mJ\n"                                                \
    "e_rr @ 125 degC = 4.0 6.2 9.2 11.3 12.9 15.2 mJ\n"                                            \
    "e_rr @ 150 degC = 4.6 7.2 10.6 13.1 14.9 17.6 mJ"
#define E_RR_COLD                                                                                  \
    "e_rr @ 25 degC = 0.3 0.5 0.8 1.0 1.2 1.5 mJ\n"                                                \
    "e_rr @ 125 degC = 0.3 0.5 0.8 1.1 1.4 2.0 mJ\n"

static const struct slip slips[] = {
    /* 150 K / 0.19 K/W = 789.5 W, and 10 % of it */
    { SM_SANITY_P_TOT, "p_tot", "p_tot = 789 W", "p_tot = 869 W", "p_tot = 868 W" },
    { SM_SANITY_P_TOT, "p_tot", "p_tot = 789 W", "p_tot = 710 W", "p_tot = 711 W" },
    /* on the 150 degC row between 200 A, 2.57 V and 300 A, 3.24 V: 264 A, 2.999 V, 150.4 K;
     * 262 A, 2.985 V, 148.6 K; 175 - 25 = 150 K */
    { SM_SANITY_RATED_HOT, "ic_nominal", "ic_nominal = 150 A", "ic_nominal = 264 A",
      "ic_nominal = 262 A" },
    /* between 50 A, 1.38 V and 100 A, 1.83 V: 65 A, 1.515 V, 18.7 K; 66 A, 1.524 V, 19.1 K;
     * a fifth of 175 - 80 is 19 K */
    { SM_SANITY_RATED_COLD, "ic_nominal", "ic_nominal = 150 A", "ic_nominal = 65 A",
      "ic_nominal = 66 A" },
    { SM_SANITY_SHORT_CIRCUIT_BUS, "short_circuit_bus", "short_circuit_bus = 900 V",
      "short_circuit_bus = 1201 V", "short_circuit_bus = 1200 V" },
    /* 0.8 of 0.19 K/W is 0.152 K/W */
    { SM_SANITY_DIODE_RTH, "rth_jc", DIODE_THERMAL, "rth_jc = 0.151 K/W", "rth_jc = 0.153 K/W" },
    /* a third of the 2.21 V at 150 A and 150 degC is 0.7367 V, over 150 A 4.911 mohm; ten times the
     * 0.9 mohm that the file has is beyond it */
    { SM_SANITY_LEAD_DROP, "lead_resistance", "lead_resistance = 0.9 mohm",
      "lead_resistance = 4.92 mohm", "lead_resistance = 4.90 mohm" },
    { SM_SANITY_LEAD_DROP, "lead_resistance", "lead_resistance = 0.9 mohm",
      "lead_resistance = 9 mohm", "lead_resistance = 0.09 mohm" },
    { SM_SANITY_BASE_SIZE, "base_width", "base_width = 34 mm", "base_width = 34 cm",
      "base_width = 260 mm" },
    { SM_SANITY_BASE_SIZE, "base_length", "base_length = 94 mm", "base_length = 261 mm",
      "base_length = 260 mm" },
    { SM_SANITY_BASE_SIZE, "base_length", "base_length = 94 mm", "base_length = 9.4 mm",
      "base_length = 10 mm" },
    { SM_SANITY_STARTS_LOW, "vce_sat", CURVE_150, "0.29 1.07 1.38 1.83 2.21 2.57 3.24",
      "0.30 1.07 1.38 1.83 2.21 2.57 3.24" },
    { SM_SANITY_STARTS_LOW, "vf", "0.64 0.98", "0.29 0.98", "0.30 0.98" },
    /* at 75 A halfway from 1.38 V to 1.83 V: the knee is 3.21 V less the voltage at 150 A */
    { SM_SANITY_KNEE_LOW, "vce_sat", CURVE_150, "0.70 1.07 1.38 1.83 2.92 2.95 3.24",
      "0.70 1.07 1.38 1.83 2.90 2.95 3.24" },
    /* the cold row ends at 2.55 V: 2 % less is 2.499 V, 1 % less 2.525 V */
    { SM_SANITY_HOT_FALLS, "vce_sat", CURVE_150, "0.70 1.00 1.20 1.50 1.75 2.00 2.49",
      "0.70 1.00 1.20 1.50 1.75 2.00 2.50" },
    { SM_SANITY_CROSSES_BACK, "vce_sat", CURVE_150, "0.70 1.07 1.38 1.83 2.21 2.40 2.52",
      "0.70 1.07 1.38 1.83 2.21 2.40 2.53" },
    /* the diode's cold row: 1.17 V at 25 A, 2.10 V at 300 A */
    { SM_SANITY_CROSSES_BACK, "vf", "0.64 0.98 1.18 1.45 1.68 1.87 2.21",
      "0.64 1.19 1.25 1.45 1.68 1.87 2.07", "0.64 1.18 1.25 1.45 1.68 1.80 2.07" },
    /* 5 % below 9.0 mJ is 8.55 mJ */
    { SM_SANITY_FALLS_WITH_CURRENT, "e_on", "9.0 13.0 24.0", "9.0 8.5 24.0", "9.0 8.6 24.0" },
    { SM_SANITY_FALLS_WITH_CURRENT, "e_rr", "4.8 5.9 6.7 7.9", "4.8 5.9 6.7 6.3",
      "4.8 5.9 6.7 6.4" },
    /* 5 % below the 9.8 mJ at 125 degC is 9.31 mJ */
    { SM_SANITY_FALLS_WITH_TEMPERATURE, "e_off", "5.5 10.7 15.5", "5.5 9.3 15.5", "5.5 9.32 15.5" },
    { SM_SANITY_FALLS_WITH_RESISTOR, "e_on_rg", "10.2 12.4", "10.2 9.68", "10.2 9.70" },
    /* 30 % and 85 % of 1200 V are 360 V and 1020 V */
    { SM_SANITY_TEST_VOLTAGE, "test_voltage", "test_voltage = 600 V", "test_voltage = 359 V",
      "test_voltage = 361 V" },
    { SM_SANITY_TEST_VOLTAGE, "test_voltage", "test_voltage = 600 V", "test_voltage = 1021 V",
      "test_voltage = 1019 V" },
    { SM_SANITY_TEST_VOLTAGE, "test_voltage", "test_voltage = 600 V\ncurrent",
      "test_voltage = 1021 V\ncurrent", "test_voltage = 1019 V\ncurrent" },
    /* at 150 A with 15.5 mJ of e_off: 135.5 mJ / (600 V 150 A) = 1.506 us; 134.5 mJ, 1.494 us; the
     * 1200 V class ends at 1.5 us */
    { SM_SANITY_SWITCHING_LONG, "e_on", E_ON_150, "2.3 4.3 8.6 120 200 300",
      "2.3 4.3 8.6 119 200 300" },
    /* at 300 A: 36.5 mJ + 29.2 mJ = 65.7 mJ, a thirtieth of it 2.19 mJ */
    { SM_SANITY_RECOVERY_LARGE, "e_rr", "14.9 17.6", "14.9 66", "14.9 65" },
    { SM_SANITY_RECOVERY_SMALL, "e_rr", E_RR,
      E_RR_COLD "e_rr @ 150 degC = 0.3 0.5 0.8 1.1 1.4 2.18 mJ",
      E_RR_COLD "e_rr @ 150 degC = 0.3 0.5 0.8 1.1 1.4 2.20 mJ" },
    { SM_SANITY_FOSTER_ORDER, "foster_tau", TAU_IGBT, "0.018 0.002 0.062 0.24",
      "0.24 0.062 0.018 0.002" },
    { SM_SANITY_FOSTER_ORDER, "foster_tau", TAU_IGBT, "0.002 0.018 0.018 0.24",
      "0.002 0.018 0.019 0.24" },
    /* a thousandth of 0.19 K/W */
    { SM_SANITY_FOSTER_EMPTY, "foster_r", "0.011 0.057 0.087 0.035", "0.00018 0.068 0.087 0.035",
      "0.0002 0.068 0.087 0.035" },
    /* sum of r tau: 0.006442 + 0.035 * 5.25 = 0.19019 K s/W, over 0.19 K/W: 1.001 s; 5.24 s:
     * 0.999 s */
    { SM_SANITY_FOSTER_TIME, "foster_tau", TAU_IGBT, "0.002 0.018 0.062 5.25",
      "0.002 0.018 0.062 5.24" },
    /* 0.0000929 + 0.035 * 0.0027 = 0.1874 K ms/W: 0.986 ms; 0.003 s: 1.042 ms */
    { SM_SANITY_FOSTER_TIME, "foster_tau", TAU_IGBT, "0.00002 0.0001 0.001 0.0027",
      "0.00002 0.0001 0.001 0.003" },
    { SM_SANITY_FOSTER_TIME, "tau_jc", DIODE_THERMAL, "rth_jc = 0.31 K/W\ntau_jc = 1.01 s",
      "rth_jc = 0.31 K/W\ntau_jc = 1 s" },
    { SM_SANITY_CHARGE_ALONE, "gate_charge", "gate_charge = 1.15 uC\ngate_charge_swing = 30 V",
      "gate_charge = 1.15 uC", "gate_charge_swing = 30 V" },
    /* 50 nC and 1 nC an ampere of 150 A: 7.5 uC and 150 nC */
    { SM_SANITY_CHARGE_SIZE, "gate_charge", "gate_charge = 1.15 uC", "gate_charge = 7.51 uC",
      "gate_charge = 7.49 uC" },
    { SM_SANITY_CHARGE_SIZE, "gate_charge", "gate_charge = 1.15 uC", "gate_charge = 149 nC",
      "gate_charge = 151 nC" },
    { SM_SANITY_DELAY_LEAST, "td_on_min", "td_on_min = 110 ns", "td_on_min = 141 ns",
      "td_on_min = 140 ns" },
    { SM_SANITY_DELAY_MOST, "td_off_max", "td_off_max = 480 ns", "td_off_max = 379 ns",
      "td_off_max = 380 ns" },
};

/* A line of its own for the text that the warning must point to. */
static const char *place_in(const struct slip *slip, char *buffer, size_t size)
{
    const char *last = strrchr(slip->slip, '\n'); /* of several lines the last is the wrong one */
    const bool first = !last || strcmp(last, "\ncurrent") == 0;
    (void)snprintf(buffer, size, "%s", first ? slip->slip : last + 1);
    return buffer;
}

Test(sanity, each_rule_warns_beyond_its_bound_and_only_there)
{
    char *good = run_file(SM_EXAMPLES "/module-good.ini");
    cr_assert_not_null(good);
    expect_none(good, "the good module");
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++) {
        char place[512];
        const struct slip *slip = &slips[i];
        expect_one(replaced(0, good, slip->from, slip->slip), slip->id, slip->key,
                   place_in(slip, place, sizeof place));
        expect_none(replaced(1, good, slip->from, slip->within), slip->within);
    }
    free(good);
}

/* Those that need more than one line changed. */
Test(sanity, the_highest_junction_is_not_below_that_of_operation)
{
    char *good = run_file(SM_EXAMPLES "/module-good.ini");
    const char *text = replaced(0, good, "p_tot = 789 W", "; p_tot");
    expect_one(replaced(1, text, "tvj_max = 175 degC", "tvj_max = 149 degC"), SM_SANITY_TVJ_ORDER,
               "tvj_max", "tvj_max = 149");
    expect_none(replaced(1, text, "tvj_max = 175 degC", "tvj_max = 150 degC"), "150 degC");
    free(good);
}

/* At 150 A: 1.70 mJ + 1.85 mJ = 3.55 mJ over 600 V 150 A: 39.4 ns; with 1.95 mJ 40.6 ns; the class
 * begins at 40 ns.  The diode's energies hold for another voltage and are not compared. */
Test(sanity, switching_faster_than_its_class_is_a_slip)
{
    char *good = run_file(SM_EXAMPLES "/module-good.ini");
    const char *begin = strstr(good, "e_on @ 25"), *end = strstr(good, "rg = 3.3");
    char rows[1024];
    (void)snprintf(rows, sizeof rows, "%.*s", (int)(end - begin), begin);
    const char *text =
        replaced(0, good, "test_voltage = 600 V\ncurrent", "test_voltage = 700 V\ncurrent");
    text = replaced(1, text, "test_rg = 6.8 ohm", "test_rg = 7 ohm");
    expect_one(replaced(2, text, rows,
                        "e_on @ 150 degC = 0.4 0.7 1.1 1.70 2.4 3.8 mJ\n"
                        "e_off @ 150 degC = 0.4 0.7 1.2 1.85 2.5 3.9 mJ\n"),
               SM_SANITY_SWITCHING_SHORT, "e_on", "e_on @ 150");
    expect_none(replaced(2, text, rows,
                         "e_on @ 150 degC = 0.4 0.7 1.1 1.70 2.4 3.8 mJ\n"
                         "e_off @ 150 degC = 0.4 0.7 1.2 1.95 2.5 3.9 mJ\n"),
                "40.6 ns");
    free(good);
}

Test(sanity, every_rule_is_tested)
{
    bool seen[SM_SANITY_COUNT] = {
        [SM_SANITY_TVJ_ORDER] = true, [SM_SANITY_SWITCHING_SHORT] = true
    };
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++)
        seen[slips[i].id] = true;
    for (int id = 0; id < SM_SANITY_COUNT; id++)
        cr_expect(seen[id], "rule %d", id);
}

Test(sanity, the_smallest_file_and_energies_at_one_current_are_looked_through_too)
{
    expect_none(least_module, "the least module");
    /* 25 mJ of recovery at 100 A, more than 10 mJ + 11 mJ */
    expect_one(replaced(0, least_module, "e_rr @ 125 degC = 7 mJ", "e_rr @ 125 degC = 25 mJ"),
               SM_SANITY_RECOVERY_LARGE, "e_rr", "e_rr @");
}

Test(sanity, every_example_is_free_of_slips)
{
    static const char *const names[] = { "good", "marginal", "low-frequency", "original" };
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        char path[256];
        (void)snprintf(path, sizeof path, SM_EXAMPLES "/module-%s.ini", names[i]);
        char *text = run_file(path);
        expect_none(text, names[i]);
        free(text);
    }
}

static size_t count_of(const struct sm_module *module, enum sm_sanity_id id)
{
    struct sm_warnings warnings;
    size_t n = 0;
    sm_warnings_init(&warnings);
    cr_assert_eq(sm_module_sanity(module, &warnings), SM_OK);
    for (size_t i = 0; i < warnings.count; i++)
        n += warnings.list[i].id == id ? 1u : 0u;
    sm_warnings_release(&warnings);
    return n;
}

/* Printed ratings of two discrete parts: P_tot, T_vj,max, R_th(j-c) at a case of 25 degC (values
 * from memory).  They agree with the definition to rounding. */
Test(sanity, printed_dissipation_ratings_pass)
{
    static const struct {
        double p_tot, tvj_max, rth_jc;
    } printed[] = { { 333.0, 448.15, 0.45 }, { 190.0, 423.15, 0.65 } };
    for (size_t i = 0; i < 2; i++) {
        struct fixture f;
        fixture_make(&f);
        f.module.p_tot = (struct sm_optional){ true, printed[i].p_tot };
        f.module.p_tot_case = 298.15;
        f.module.tvj_max = (struct sm_optional){ true, printed[i].tvj_max };
        f.module.igbt_thermal.rth_jc = printed[i].rth_jc;
        cr_expect_eq(count_of(&f.module, SM_SANITY_P_TOT), 0);
        f.module.igbt_thermal.rth_jc *= 1.2; /* 17 % less is allowed than printed */
        cr_expect_eq(count_of(&f.module, SM_SANITY_P_TOT), 1);
    }
}

/* Printed Foster terms of a 50 A discrete part and of a 1200 A module's IGBT and diode (values from
 * memory), slow term first. */
Test(sanity, printed_foster_terms_pass)
{
    static double printed[3][2][5] = {
        { { 0.18355, 0.12996, 0.09205, 0.03736, 0.00703 },
          { 7.425e-2, 8.34e-3, 7.235e-4, 1.035e-4, 4.45e-5 } },
        { { 5.854e-3, 1.375e-3, 0.641e-3, 0.632e-3 }, { 0.2074, 0.0301, 7.55e-3, 1.57e-3 } },
        { { 11.54e-3, 2.887e-3, 1.229e-3, 1.295e-3 }, { 0.2036, 0.0301, 7.53e-3, 1.57e-3 } },
    };
    static const double rth_jc[3] = { 0.45, 8.5e-3, 17e-3 };
    for (size_t i = 0; i < 3; i++) {
        struct fixture f;
        fixture_make(&f);
        struct sm_chip_thermal *thermal = &f.module.igbt_thermal;
        thermal->rth_jc = rth_jc[i];
        thermal->foster_r = (struct sm_list){ printed[i][0], i == 0 ? 5 : 4 };
        thermal->foster_tau = (struct sm_list){ printed[i][1], i == 0 ? 5 : 4 };
        cr_expect_eq(count_of(&f.module, SM_SANITY_FOSTER_ORDER), 0);
        cr_expect_eq(count_of(&f.module, SM_SANITY_FOSTER_EMPTY), 0);
        cr_expect_eq(count_of(&f.module, SM_SANITY_FOSTER_TIME), 0);
    }
}

Test(sanity, warnings_stand_in_the_order_of_lines_and_read_like_faults)
{
    struct looked looked;
    struct sm_text text;
    char *good = run_file(SM_EXAMPLES "/module-good.ini");
    const char *slip = replaced(1, good, "p_tot = 789 W", "p_tot = 879 W");
    slip = replaced(2, slip, "ic_nominal = 150 A", "ic_nominal = 65 A");
    slip = replaced(1, slip, "9.0 13.0 24.0", "9.0 1.30 24.0");
    look(&looked, slip);
    cr_assert_eq(looked.warnings.count, 3);
    cr_assert_eq(looked.warnings.list[0].id, SM_SANITY_RATED_COLD);
    for (int i = 1; i < 3; i++)
        cr_assert_lt(looked.warnings.list[i - 1].line, looked.warnings.list[i].line);
    char expected[512];
    (void)snprintf(expected, sizeof expected,
                   "%s:%d: warning: [module] p_tot: 879 W, but (T_vj,max - T_c) / R_th(j-c) is "
                   "789.5 W; expected the same within 10 %%\n",
                   looked.module.file, line_of(slip, strstr(slip, "p_tot = 879")));
    sm_text_init(&text);
    sm_report_warning(&looked.warnings.list[1], &text);
    cr_expect_str_eq(text.data, expected);
    sm_text_release(&text);
    looked_release(&looked);
    free(good);
}

/* The same slip in both parts is two warnings; in one file, named twice, it is one; parts without a
 * file are two parts. */
Test(sanity, the_original_is_looked_through_too_but_a_file_only_once)
{
    static char here[] = "a.ini", there[] = "b.ini";
    char *const files[][2] = { { here, there }, { here, here }, { here, NULL }, { NULL, NULL } };
    const size_t expected[] = { 2, 1, 2, 2 };
    struct looked looked;
    char *good = run_file(SM_EXAMPLES "/module-good.ini");
    look(&looked, replaced(1, good, "p_tot = 789 W", "p_tot = 879 W"));
    for (size_t i = 0; i < 4; i++) {
        struct sm_module candidate = looked.module, original = looked.module;
        struct sm_warnings warnings;
        candidate.file = files[i][0];
        original.file = files[i][1];
        sm_warnings_init(&warnings);
        const struct sm_case c = { .module = &candidate, .original = &original };
        cr_assert_eq(sm_case_sanity(&c, &warnings), SM_OK);
        cr_expect_eq(warnings.count, expected[i], "case %zu: %zu", i, warnings.count);
        sm_warnings_release(&warnings);
    }
    looked_release(&looked);
    free(good);
}
