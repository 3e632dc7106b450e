/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Ratings that must agree with each other, the thermal network, the gate.  Bounds without a source
 * beside them are common practice. */
#include "assess/sanity.h"

#include <math.h>

/* ---------------------------------------------------------------- ratings */

/* 1: P_tot is printed with two or three digits, R_th(j-c) too. */
#define P_TOT_WITHIN 0.10

/* K: the coldest case that a rated current is given for, and the usual one; the least share of the
 * way from the usual case to the highest junction that a rated current makes use of. */
#define CASE_COLDEST 298.15
#define CASE_USUAL 353.15
#define RATED_SHARE_LEAST 0.2

/* 1: R_th(j-c) of the diode over that of the IGBT. */
#define DIODE_RTH_LEAST 0.8

/* 1: of the IGBT's voltage at the rated current; m: a side of the base. */
#define LEAD_SHARE_MOST (1.0 / 3.0)
#define SIDE_LEAST 0.010
#define SIDE_MOST 0.260

/* P_tot = (T_vj,max - T_c) / R_th(j-c), by definition of the rating. */
static void look_p_tot(struct look *look)
{
    const struct sm_module *m = look->module;
    if (!m->p_tot.given || !m->tvj_max.given)
        return;
    const double expected = (m->tvj_max.value - m->p_tot_case) / m->igbt_thermal.rth_jc;
    look_warn_if(look, fabs(m->p_tot.value - expected) > P_TOT_WITHIN * expected,
                 (struct sm_warning){ .id = SM_SANITY_P_TOT,
                                      .key = SM_MODULE_P_TOT,
                                      .value = { m->p_tot.value, expected } });
}

/* V: of the IGBT at the rated current, on its hottest row. */
static double rated_voltage(const struct sm_module *m)
{
    const struct sm_conduction *curves = &m->igbt_conduction;
    const struct sm_row *hottest = &curves->voltage.row[curves->voltage.n - 1];
    return look_at(&curves->current, &hottest->values, m->ic_nominal);
}

/* I_C V_CE(sat) R_th(j-c) = T_vj,max - T_c, by definition of the rated current at T_c. */
static void look_rated_current(struct look *look)
{
    const struct sm_module *m = look->module;
    const double limit = m->tvj_max.given ? m->tvj_max.value : m->tvj_op_max;
    const double voltage = rated_voltage(m);
    const double rise = m->ic_nominal * voltage * m->igbt_thermal.rth_jc;
    const double most = limit - CASE_COLDEST;
    const double least = RATED_SHARE_LEAST * (limit - CASE_USUAL);
    struct sm_warning warning = { .key = SM_MODULE_IC_NOMINAL,
                                  .value = { m->ic_nominal, voltage, rise, most } };
    if (rise > most) {
        warning.id = SM_SANITY_RATED_HOT;
        look_warn(look, warning);
    } else if (rise < least) {
        warning.id = SM_SANITY_RATED_COLD;
        warning.value[3] = least;
        look_warn(look, warning);
    }
}

static void look_leads(struct look *look)
{
    const struct sm_module *m = look->module;
    const double drop = m->lead_resistance * m->ic_nominal, voltage = rated_voltage(m);
    look_warn_if(
        look, drop > LEAD_SHARE_MOST * voltage,
        (struct sm_warning){ .id = SM_SANITY_LEAD_DROP,
                             .key = SM_MODULE_LEAD_RESISTANCE,
                             .value = { m->lead_resistance, drop, m->ic_nominal, voltage } });
}

void look_ratings(struct look *look)
{
    const struct sm_module *m = look->module;
    const struct sm_optional *tvj_max = &m->tvj_max, *bus = &m->short_circuit_bus;
    const double rth = m->igbt_thermal.rth_jc, rth_diode = m->diode_thermal.rth_jc;
    look_p_tot(look);
    look_rated_current(look);
    look_leads(look);
    look_warn_if(look, tvj_max->given && tvj_max->value < m->tvj_op_max,
                 (struct sm_warning){ .id = SM_SANITY_TVJ_ORDER,
                                      .key = SM_MODULE_TVJ_MAX,
                                      .value = { tvj_max->value, m->tvj_op_max } });
    look_warn_if(look, bus->given && bus->value > m->vces,
                 (struct sm_warning){ .id = SM_SANITY_SHORT_CIRCUIT_BUS,
                                      .key = SM_MODULE_SHORT_CIRCUIT_BUS,
                                      .value = { bus->value, m->vces } });
    look_warn_if(look, rth_diode < DIODE_RTH_LEAST * rth,
                 (struct sm_warning){ .id = SM_SANITY_DIODE_RTH,
                                      .key = SM_MODULE_DIODE_RTH_JC,
                                      .value = { rth_diode, rth } });
}

/* ---------------------------------------------------------------- thermal */

/* 1: of rth_jc; s: from a small discrete part to a large module. */
#define FOSTER_LEAST 1e-3
#define FOSTER_SHORTEST 1e-3
#define FOSTER_LONGEST 1.0

struct chip_keys {
    enum sm_module_key foster_r, foster_tau, tau_jc;
};

/* Data sheets print the terms from fast to slow or from slow to fast. */
static void look_foster_order(struct look *look, const struct sm_list *tau, enum sm_module_key key)
{
    for (size_t i = 1; i + 1 < tau->n; i++) {
        const double *at = &tau->v[i];
        if ((at[-1] < at[0] && at[0] < at[1]) || (at[-1] > at[0] && at[0] > at[1]))
            continue;
        look_warn(look, (struct sm_warning){ .id = SM_SANITY_FOSTER_ORDER,
                                             .key = key,
                                             .value = { at[0], at[-1], at[1] } });
        return;
    }
}

static void look_foster(struct look *look, const struct sm_chip_thermal *thermal,
                        const struct chip_keys *keys)
{
    const struct sm_list *r = &thermal->foster_r, *tau = &thermal->foster_tau;
    const enum sm_origin_kind origin = look->module->origin[keys->foster_tau].kind;
    double weighted = 0.0, sum = 0.0, smallest = r->v[0];
    for (size_t i = 0; i < r->n; i++) {
        weighted += r->v[i] * tau->v[i];
        sum += r->v[i];
        smallest = fmin(smallest, r->v[i]);
    }
    look_foster_order(look, tau, keys->foster_tau);
    look_warn_if(look, smallest < FOSTER_LEAST * thermal->rth_jc,
                 (struct sm_warning){
                     .id = SM_SANITY_FOSTER_EMPTY, .key = keys->foster_r, .value = { smallest } });
    const double mean = weighted / sum;
    look_warn_if(
        look, mean < FOSTER_SHORTEST || mean > FOSTER_LONGEST,
        (struct sm_warning){ .id = SM_SANITY_FOSTER_TIME,
                             .key = origin == SM_ORIGIN_DERIVED ? keys->tau_jc : keys->foster_tau,
                             .value = { mean } });
}

void look_thermal(struct look *look)
{
    static const struct chip_keys igbt = { SM_MODULE_IGBT_FOSTER_R, SM_MODULE_IGBT_FOSTER_TAU,
                                           SM_MODULE_IGBT_TAU_JC };
    static const struct chip_keys diode = { SM_MODULE_DIODE_FOSTER_R, SM_MODULE_DIODE_FOSTER_TAU,
                                            SM_MODULE_DIODE_TAU_JC };
    look_foster(look, &look->module->igbt_thermal, &igbt);
    look_foster(look, &look->module->diode_thermal, &diode);
}

/* --------------------------------------------------------------- mounting */

static void look_side(struct look *look, const struct sm_optional *side, enum sm_module_key key)
{
    look_warn_if(
        look, side->given && (side->value < SIDE_LEAST || side->value > SIDE_MOST),
        (struct sm_warning){ .id = SM_SANITY_BASE_SIZE, .key = key, .value = { side->value } });
}

void look_mounting(struct look *look)
{
    const struct sm_mounting *mounting = &look->module->mounting;
    look_side(look, &mounting->base_width, SM_MODULE_BASE_WIDTH);
    look_side(look, &mounting->base_length, SM_MODULE_BASE_LENGTH);
}

/* ------------------------------------------------------------------- gate */

/* C/A: gate charge over rated current. */
#define CHARGE_LEAST 1e-9
#define CHARGE_MOST 50e-9

void look_gate(struct look *look)
{
    const struct sm_module_gate *gate = &look->module->gate;
    const double rated = look->module->ic_nominal;
    const double per_ampere = gate->gate_charge.value / rated;
    const struct sm_optional *least = &gate->td_on_min, *on = &gate->td_on;
    const struct sm_optional *most = &gate->td_off_max, *off = &gate->td_off;
    look_warn_if(look, gate->gate_charge.given && !gate->gate_charge_swing.given,
                 (struct sm_warning){ .id = SM_SANITY_CHARGE_ALONE, .key = SM_MODULE_GATE_CHARGE });
    look_warn_if(look,
                 gate->gate_charge.given && (per_ampere < CHARGE_LEAST || per_ampere > CHARGE_MOST),
                 (struct sm_warning){ .id = SM_SANITY_CHARGE_SIZE,
                                      .key = SM_MODULE_GATE_CHARGE,
                                      .value = { gate->gate_charge.value, rated, per_ampere } });
    look_warn_if(look, least->given && on->given && least->value > on->value,
                 (struct sm_warning){ .id = SM_SANITY_DELAY_LEAST,
                                      .key = SM_MODULE_TD_ON_MIN,
                                      .value = { least->value, on->value } });
    look_warn_if(look, most->given && off->given && most->value < off->value,
                 (struct sm_warning){ .id = SM_SANITY_DELAY_MOST,
                                      .key = SM_MODULE_TD_OFF_MAX,
                                      .value = { most->value, off->value } });
}
