/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "swapmargin/input.h"

#include "support/files.h"
#include "support/near.h"

#include <criterion/criterion.h>
#include <string.h>
#include <time.h>

static struct sm_module module;
static struct sm_faults faults;

static void begin(void)
{
    sm_faults_init(&faults);
    sm_module_init(&module);
}

static void end(void)
{
    sm_module_release(&module);
    sm_faults_release(&faults);
}

TestSuite(input_module, .init = begin, .fini = end);

static void load(const char *text)
{
    sm_module_release(&module);
    const enum sm_status status = sm_module_load(scratch(0, text), &module, &faults);
    expect_no_fault(&faults);
    cr_assert_eq(status, SM_OK);
}

Test(input_module, the_smallest_file_gets_the_defaults_of_the_format)
{
    load(least_module);
    cr_assert_eq(module.circuit, SM_CIRCUIT_HALF_BRIDGE);
    cr_assert_eq(sm_module_switches(&module), 2);
    NEAR(module.tvj_op_max, 423.15, 1e-12);
    NEAR(module.curve_gate_voltage, 15.0, 0.0);
    NEAR(module.p_tot_case, 298.15, 0.0);
    NEAR(module.igbt_switching.voltage_exponent, 1.35, 0.0);
    NEAR(module.igbt_switching.temperature_coefficient, 0.003, 0.0);
    NEAR(module.igbt_switching.current_exponent, 1.0, 0.0);
    NEAR(module.diode_recovery.voltage_exponent, 0.6, 0.0);
    NEAR(module.diode_recovery.temperature_coefficient, 0.006, 0.0);
    NEAR(module.diode_recovery.current_exponent, 0.6, 0.0);
    cr_assert_eq(module.igbt_switching.current.n, 1);
    NEAR(module.igbt_switching.e_on.row[0].values.v[0], 10e-3, 1e-17);
    cr_assert_eq(module.origin[SM_MODULE_LEAD_RESISTANCE].kind, SM_ORIGIN_DEFAULT);
    cr_assert_not(module.price.given || module.thermistor.r25.given);
    cr_assert_str_eq(module.outline, "");
}

Test(input_module, without_foster_terms_there_is_one)
{
    load(least_module);
    cr_assert_eq(module.igbt_thermal.foster_r.n, 1);
    NEAR(module.igbt_thermal.foster_r.v[0], 0.20, 0.0);
    NEAR(module.igbt_thermal.foster_tau.v[0], 0.05, 0.0);
    NEAR(module.diode_thermal.foster_tau.v[0], 0.04, 0.0);
    cr_assert_eq(module.origin[SM_MODULE_IGBT_FOSTER_R].kind, SM_ORIGIN_DERIVED);
    cr_assert_eq(module.origin[SM_MODULE_DIODE_FOSTER_TAU].kind, SM_ORIGIN_DERIVED);
    cr_assert_eq(module.origin[SM_MODULE_IGBT_TAU_JC].kind, SM_ORIGIN_DEFAULT);
    load(replaced(0, least_module, "rth_jc = 0.20 K/W", "rth_jc = 0.20 K/W\ntau_jc = 0.1 s"));
    NEAR(module.igbt_thermal.foster_tau.v[0], 0.1, 0.0);
}

Test(input_module, foster_terms_may_miss_the_sum_by_two_percent)
{
    load(replaced(0, least_module, "rth_jc = 0.20 K/W",
                  "rth_jc = 0.20 K/W\nfoster_r = 0.1 0.103 K/W\nfoster_tau = 10 100 ms"));
    cr_assert_eq(module.igbt_thermal.foster_r.n, 2);
    NEAR(module.igbt_thermal.foster_tau.v[1], 0.1, 1e-15);
    cr_assert_eq(module.origin[SM_MODULE_IGBT_FOSTER_R].kind, SM_ORIGIN_GIVEN);
}

Test(input_module, curves_are_sorted_by_temperature)
{
    load(replaced(0, least_module, "vce_sat @ 125 degC = 1.0 1.9 2.7 V",
                  "vce_sat @ 302 degF = 1.0 2.0 2.9 V\nvce_sat @ 25 degC = 1.0 1.7 2.3 V\n"
                  "vce_sat@398.15K = 1.0 1.9 2.7 V"));
    const struct sm_rows *rows = &module.igbt_conduction.voltage;
    cr_assert_eq(rows->n, 3);
    NEAR(rows->row[0].at, 298.15, 1e-9);
    NEAR(rows->row[1].at, 398.15, 1e-9);
    NEAR(rows->row[2].at, 423.15, 1e-9);
    NEAR(rows->row[2].values.v[1], 2.0, 0.0);
    cr_assert_eq(rows->row[2].line, 9);
}

Test(input_module, test_rg_stands_for_both)
{
    load(replaced(0, least_module, "test_voltage = 600 V",
                  "test_voltage = 600 V\ntest_rg = 6.8 ohm"));
    NEAR(module.igbt_switching.test_rg_on.value, 6.8, 0.0);
    NEAR(module.igbt_switching.test_rg_off.value, 6.8, 0.0);
    cr_assert_eq(module.origin[SM_MODULE_TEST_RG].kind, SM_ORIGIN_GIVEN);
    cr_assert_eq(module.origin[SM_MODULE_TEST_RG_ON].kind, SM_ORIGIN_DERIVED);
    cr_assert_eq(module.origin[SM_MODULE_TEST_RG_OFF].line, 12);
    load(replaced(0, least_module, "test_voltage = 600 V",
                  "test_voltage = 600 V\ntest_rg_on = 5 ohm\ntest_rg_off = 9 ohm"));
    NEAR(module.igbt_switching.test_rg_on.value, 5.0, 0.0);
    NEAR(module.igbt_switching.test_rg_off.value, 9.0, 0.0);
    load(replaced(0, least_module, "test_voltage = 600 V",
                  "test_voltage = 600 V\ntest_rg_off = 9 ohm"));
    cr_assert_not(module.igbt_switching.test_rg_on.given);
}

Test(input_module, gate_resistor_tables_are_read)
{
    const char *text =
        replaced(0, least_module, "e_on @ 125 degC = 10 mJ",
                 "rg = 3 6 ohm\ne_on_rg = 8 10 mJ\ne_off_rg = 10 11 mJ\ne_on @ 125 degC = 10 mJ");
    load(replaced(1, text, "e_rr @ 125 degC = 7 mJ",
                  "rg = 3 6 ohm\ne_rr_rg = 9 7 mJ\ne_rr @ 125 degC = 7 mJ"));
    NEAR(module.igbt_switching.e_off_rg.v[1], 11e-3, 1e-17);
    NEAR(module.diode_recovery.e_rr_rg.v[0], 9e-3, 1e-17);
}

Test(input_module, energies_may_begin_at_zero_current)
{
    load(replaced(0, least_module,
                  "current = 100 A\ne_on @ 125 degC = 10 mJ\ne_off @ 125 degC = 11 mJ",
                  "current = 0 100 A\ne_on @ 125 degC = 0.5 10 mJ\ne_off @ 125 degC = 0 11 mJ"));
    cr_assert_eq(module.igbt_switching.current.n, 2);
}

Test(input_module, each_form_of_the_joint_is_enough)
{
    load(
        replaced(0, least_module, "rth_cs = 0.04 K/W", "base_width = 34 mm\nbase_length = 3.7 in"));
    NEAR(module.mounting.base_length.value, 0.09398, 1e-12);
    load(replaced(0, least_module, "rth_cs = 0.04 K/W",
                  "rth_cs = 0.04 K/W\nrth_cs_conductivity = 1 W/(m.K)\nrth_cs_thickness = 100 um"));
    cr_assert(module.mounting.rth_cs_thickness.given);
    const char *text = replaced(0, least_module, "[mounting]\nrth_cs = 0.04 K/W\n", "");
    text = replaced(1, text, "rth_jc = 0.20 K/W", "rth_jc = 0.20 K/W\nrth_cs = 0.1 K/W");
    load(replaced(2, text, "rth_jc = 0.35 K/W", "rth_jc = 0.35 K/W\nrth_cs = 0.2 K/W"));
    NEAR(module.diode_thermal.rth_cs.value, 0.2, 0.0);
}

Test(input_module, one_thermal_section_is_no_matter_beside_another_form)
{
    load(replaced(0, least_module, "rth_jc = 0.20 K/W", "rth_jc = 0.20 K/W\nrth_cs = 0.1 K/W"));
}

Test(input_module, the_rest_of_the_sheet_is_read)
{
    load(replaced(0, least_module, "[mounting]\n",
                  "[gate]\ngate_charge = 1.15 \xC2\xB5"
                  "C\n[thermistor]\nr25 = 5 k\xCE\xA9\nb25_50 = 3375 K\n"
                  "[mounting]\nscrew_torque = 3 5 Nm\nscrews = 2\nscrew_size = M6\n"));
    NEAR(module.gate.gate_charge.value, 1.15e-6, 1e-20);
    NEAR(module.thermistor.r25.value, 5000.0, 0.0);
    NEAR(module.mounting.screw_torque.v[1], 5.0, 0.0);
    NEAR(module.mounting.screws.value, 2.0, 0.0);
    cr_assert_str_eq(module.mounting.screw_size, "M6");
    load(replaced(0, least_module, "vces = 1200 V",
                  "vces = 1.2 kV\nprice = 118\nlead_time = 3 wk\n"
                  "outline = \"94 mm; two holes\""));
    NEAR(module.lead_time.value, 3.0 * 7.0 * 86400.0, 0.0);
    NEAR(module.price.value, 118.0, 0.0);
    cr_assert_str_eq(module.outline, "94 mm; two holes");
}

Test(input_module, a_refused_module_is_as_after_init)
{
    static const struct sm_module empty;
    cr_assert_neq(
        sm_module_load(scratch(0, replaced(0, least_module, "rth_jc", "rth_jx")), &module, &faults),
        SM_OK);
    cr_assert_eq(memcmp(&module, &empty, sizeof module), 0);
}

Test(input_module, the_echo_writes_curves_out)
{
    struct sm_echo echo;
    load(least_module);
    sm_echo_init(&echo);
    cr_assert(sm_module_echo(&module, SM_MODULE_VCE_SAT, &echo));
    cr_assert_str_eq(echo.value.data, "125 degC: 1 1.9 2.7 V");
    cr_assert_str_eq(echo.section, "igbt.conduction");
    cr_assert_eq(echo.origin.line, 9);
    cr_assert(sm_module_echo(&module, SM_MODULE_PART, &echo));
    cr_assert_str_eq(echo.value.data, "bench part");
    cr_assert_not(sm_module_echo(&module, SM_MODULE_KEY_COUNT, &echo));
    sm_echo_release(&echo);
}

/* A folder of a thousand candidates has to be read in less than a second; the bound is generous, so
 * that it holds under the checks of make sanitize. */
Test(input_module, is_read_fast)
{
    struct timespec from, to;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &from);
    for (int i = 0; i < 100; i++) {
        cr_assert_eq(sm_module_load("examples/module-good.ini", &module, NULL), SM_OK);
        sm_module_release(&module);
    }
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &to);
    const double ms =
        1e3 * (double)(to.tv_sec - from.tv_sec) + 1e-6 * (double)(to.tv_nsec - from.tv_nsec);
    cr_log_info("%.3f ms a module", ms / 100.0);
    cr_assert_lt(ms / 100.0, 3.0);
}
