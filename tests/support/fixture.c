/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/fixture.h"

#include <string.h>

#define T_LOW 298.15  /* K */
#define T_HIGH 423.15 /* K */

static void line(double y[2][2], double at_zero, double per_amp, const double x[2])
{
    for (int k = 0; k < 2; k++)
        for (int j = 0; j < 2; j++)
            y[k][j] = at_zero + per_amp * x[j];
}

static void link_rows(struct sm_row rows[2], double values[2][2], struct sm_rows *out)
{
    for (int k = 0; k < 2; k++) {
        rows[k].at = k == 0 ? T_LOW : T_HIGH;
        rows[k].values = (struct sm_list){ .v = values[k], .n = 2 };
    }
    *out = (struct sm_rows){ .row = rows, .n = 2 };
}

void fixture_link(struct fixture *f)
{
    struct sm_module *m = &f->module;
    link_rows(f->rows[0], f->v_igbt, &m->igbt_conduction.voltage);
    link_rows(f->rows[1], f->v_diode, &m->diode_conduction.voltage);
    link_rows(f->rows[2], f->e_on, &m->igbt_switching.e_on);
    link_rows(f->rows[3], f->e_off, &m->igbt_switching.e_off);
    link_rows(f->rows[4], f->e_rr, &m->diode_recovery.e_rr);
    m->igbt_conduction.current = m->diode_conduction.current =
        (struct sm_list){ .v = f->current, .n = 2 };
    m->igbt_switching.current = m->diode_recovery.current =
        (struct sm_list){ .v = f->e_current, .n = 2 };
    m->igbt_thermal.foster_r = (struct sm_list){ .v = f->foster_r[0], .n = 1 };
    m->igbt_thermal.foster_tau = (struct sm_list){ .v = f->foster_tau[0], .n = 1 };
    m->diode_thermal.foster_r = (struct sm_list){ .v = f->foster_r[1], .n = 1 };
    m->diode_thermal.foster_tau = (struct sm_list){ .v = f->foster_tau[1], .n = 1 };
    f->pf_row[0] = (struct sm_row){ .at = 60.0, .values = { .v = f->power_factor, .n = 1 } };
    f->drive.load.power_factor = (struct sm_rows){ .row = f->pf_row, .n = 1 };
    f->drive.test.frequencies = (struct sm_list){ .v = f->frequencies, .n = 2 };
    f->c = (struct sm_case){ .drive = &f->drive, .module = &f->module };
}

static void make_drive(struct sm_drive *d)
{
    d->rating = (struct sm_rating){ .line_voltage = 480.0,
                                    .line_phases = 3,
                                    .line_frequency = 60.0,
                                    .output_current = 77.0,
                                    .output_voltage = 460.0,
                                    .base_frequency = 60.0,
                                    .switching_frequency = 4000.0,
                                    .modulation = SM_MOD_SPACE_VECTOR,
                                    .dc_bus_voltage = { .given = true, .value = 648.0 },
                                    .parallel = 1 };
    d->cooling = (struct sm_cooling){ .ambient = 313.15, .rth_sa = 0.03 };
    d->joint = (struct sm_joint){ .conductivity = { .given = true, .value = 0.8 },
                                  .thickness = { .given = true, .value = 80e-6 },
                                  .coverage = 1.0 };
    d->test = (struct sm_test){
        .load = 1.0, .duration = 3600.0, .required_margin = 15.0, .balance_limit = 0.05
    };
}

static void make_module(struct sm_module *m)
{
    m->circuit = SM_CIRCUIT_HALF_BRIDGE;
    m->vces = 1200.0;
    m->ic_nominal = 150.0;
    m->tvj_op_max = 423.15;
    m->curve_gate_voltage = 15.0;
    m->igbt_switching.test_voltage = m->diode_recovery.test_voltage = 648.0;
    m->igbt_switching.voltage_exponent = 1.35;
    m->diode_recovery.voltage_exponent = 0.6;
    m->igbt_switching.current_exponent = 1.0;
    m->diode_recovery.current_exponent = 0.6;
    m->igbt_switching.temperature_coefficient = 0.003;
    m->diode_recovery.temperature_coefficient = 0.006;
    m->igbt_thermal.rth_jc = 0.2;
    m->diode_thermal.rth_jc = 0.35;
    m->mounting.rth_cs = (struct sm_optional){ .given = true, .value = 0.05 };
    m->mounting.rth_cs_conductivity = (struct sm_optional){ .given = true, .value = 0.8 };
    m->mounting.rth_cs_thickness = (struct sm_optional){ .given = true, .value = 80e-6 };
}

void fixture_make(struct fixture *f)
{
    memset(f, 0, sizeof *f);
    f->current[1] = f->e_current[1] = 400.0;
    f->power_factor[0] = 0.85;
    f->frequencies[0] = 30.0;
    f->frequencies[1] = 60.0;
    line(f->v_igbt, FIXTURE_V0_IGBT, FIXTURE_R_IGBT, f->current);
    line(f->v_diode, FIXTURE_V0_DIODE, FIXTURE_R_DIODE, f->current);
    line(f->e_on, 0.0, FIXTURE_E_ON, f->e_current);
    line(f->e_off, 0.0, FIXTURE_E_OFF, f->e_current);
    line(f->e_rr, 0.0, FIXTURE_E_RR, f->e_current);
    f->foster_r[0][0] = 0.2;
    f->foster_tau[0][0] = 0.05;
    f->foster_r[1][0] = 0.35;
    f->foster_tau[1][0] = 0.04;
    make_drive(&f->drive);
    make_module(&f->module);
    fixture_link(f);
}

void fixture_warm(struct fixture *f)
{
    fixture_make(f);
    for (int j = 0; j < 2; j++) {
        f->v_igbt[1][j] *= 1.3;
        f->v_diode[1][j] *= 1.3;
        f->e_on[1][j] *= 1.3;
        f->e_off[1][j] *= 1.3;
        f->e_rr[1][j] *= 1.3;
    }
}

void fixture_steepen(struct fixture *f)
{
    static const double at[3] = { 298.15, 373.15, 423.15 }, times[3] = { 1.0, 1.05, 10.0 };
    for (int k = 0; k < 3; k++) {
        for (int j = 0; j < 2; j++)
            f->v_steep[k][j] = times[k] * f->v_igbt[0][j];
        f->steep_row[k] = (struct sm_row){ .at = at[k], .values = { .v = f->v_steep[k], .n = 2 } };
    }
    f->module.igbt_conduction.voltage = (struct sm_rows){ .row = f->steep_row, .n = 3 };
}
