/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/assumptions.h"

#include "assess/check_row.h"
#include "assess/notes.h"
#include "load/operating_point.h"

#include "base/maths.h"

#include <math.h>

/* All common practice, no source. */
#define TEMPERATURE_REACH 25.0 /* K  beyond the outermost curve */
#define SINGLE_POINT_REACH 1.5 /* 1  times the one current */
#define BUS_LOW 0.7            /* 1  of the test voltage */
#define BUS_HIGH 1.3           /* 1 */

/* ------------------------------------------------------------ the load */

static void tell_points(const struct sm_case *c, struct sm_result *result)
{
    for (size_t i = 0; i < result->n_points; i++) {
        const struct sm_point *p = &result->points[i];
        const struct operating_point asked =
            operating_point_at(c->drive, p->output_hz, c->drive->test.load);
        if (exceeds(p->modulation_requested, p->modulation_index))
            note_add(result,
                     (struct sm_note){ .id = SM_NOTE_OVERMODULATION,
                                       .value = { p->output_hz, asked.v_requested, asked.v_out } });
        if (asked.fan_floor)
            note_add(result, (struct sm_note){ .id = SM_NOTE_FAN_FLOOR,
                                               .value = { p->output_hz, p->i_drive } });
        if (p->hold_governs)
            note_add(result,
                     (struct sm_note){ .id = SM_NOTE_HOLD_GOVERNS, .value = { p->output_hz } });
    }
}

static void tell_drive(const struct sm_case *c, struct sm_result *result)
{
    const struct sm_rating *rating = &c->drive->rating;
    if (drive_regenerates(c->drive) && !rating->dc_bus_voltage.given)
        note_add(result, (struct sm_note){ .id = SM_NOTE_BRAKING_BUS });
    if (rating->parallel > 1)
        note_add(result,
                 (struct sm_note){ .id = SM_NOTE_EQUAL_SHARING, .value = { rating->parallel } });
}

/* ---------------------------------------------------------- the curves */

/* A per module: the highest peak of all that was computed, overload and hold too. */
static double highest_peak(const struct sm_case *c, const struct sm_result *result)
{
    double peak = result->hold.current;
    for (size_t i = 0; i < result->n_points; i++)
        peak = fmax(peak, SQRT2 * result->points[i].i_module);
    for (size_t i = 0; i < result->n_overload; i++)
        peak = fmax(peak, SQRT2 * result->overload[i].i_drive / c->drive->rating.parallel);
    return peak;
}

struct reach {
    double coldest, hottest; /* K */
};

static struct reach junction_reach(const struct sm_result *result, int chip)
{
    struct reach reach = { 1e9, 0.0 };
    for (size_t i = 0; i < result->n_points; i++) {
        const struct sm_point *p = &result->points[i];
        if (p->runaway)
            continue;
        reach.coldest = fmin(reach.coldest, p->chip[chip].tvj_min);
        reach.hottest = fmax(reach.hottest, p->chip[chip].tvj_max);
    }
    for (size_t i = 0; i < result->n_overload; i++)
        if (!result->overload[i].runaway && (int)result->overload[i].worst == chip)
            reach.hottest = fmax(reach.hottest, result->overload[i].tvj_max);
    if (!result->hold.runaway)
        reach.hottest = fmax(reach.hottest, result->hold.tvj[chip]);
    return reach;
}

/* The rows of one quantity of a chip, and its name in notes. */
struct told_rows {
    const struct sm_rows *rows;
    enum sm_chip_kind chip;
    const char *name;
};

static void tell_temperature(const struct told_rows *told, enum sm_note_id beyond,
                             struct sm_result *result)
{
    const struct sm_rows *rows = told->rows;
    const struct reach reach = junction_reach(result, (int)told->chip);
    const double low = rows->row[0].at, high = rows->row[rows->n - 1].at;
    if (rows->n < 2 || reach.hottest <= 0.0)
        return;
    double t = 0.0;
    if (reach.hottest > high + TEMPERATURE_REACH)
        t = reach.hottest;
    else if (reach.coldest < low - TEMPERATURE_REACH)
        t = reach.coldest;
    if (t > 0.0)
        note_add(result,
                 (struct sm_note){ .id = beyond, .value = { t, low, high }, .text = told->name });
}

static void tell_conduction(const struct sm_conduction *conduction, int chip, double peak,
                            struct sm_result *result)
{
    const double last = conduction->current.v[conduction->current.n - 1];
    if (peak > last)
        note_add(result, (struct sm_note){ .id = SM_NOTE_VOLTAGE_BEYOND,
                                           .value = { peak, last },
                                           .text = note_chip((enum sm_chip_kind)chip) });
    if (conduction->voltage.n == 1)
        note_add(result, (struct sm_note){ .id = SM_NOTE_VOLTAGE_ONE_TEMPERATURE,
                                           .value = { conduction->voltage.row[0].at },
                                           .text = note_chip((enum sm_chip_kind)chip) });
    const struct told_rows told = { &conduction->voltage, (enum sm_chip_kind)chip,
                                    note_chip((enum sm_chip_kind)chip) };
    tell_temperature(&told, SM_NOTE_VOLTAGE_TEMPERATURE, result);
}

static void tell_energy_current(const struct sm_switching *s, int chip, double peak,
                                struct sm_result *result)
{
    const double last = s->current.v[s->current.n - 1];
    struct sm_note note = { .value = { last, s->current_exponent },
                            .text = note_chip((enum sm_chip_kind)chip) };
    if (s->current.n > 1) {
        if (peak <= last)
            return;
        note.id = SM_NOTE_ENERGY_BEYOND;
        note.value[0] = peak;
        note.value[1] = last;
    } else if (peak > SINGLE_POINT_REACH * last) {
        note.id = SM_NOTE_ENERGY_ONE_CURRENT_FAR;
        note.value[1] = peak;
    } else {
        note.id = SM_NOTE_ENERGY_ONE_CURRENT;
    }
    note_add(result, note);
}

static void tell_energy_rows(const struct sm_switching *s, const struct told_rows *told,
                             struct sm_result *result)
{
    const struct sm_rows *rows = told->rows;
    if (rows->n == 1)
        note_add(result, (struct sm_note){ .id = SM_NOTE_ENERGY_ONE_TEMPERATURE,
                                           .value = { rows->row[0].at, s->temperature_coefficient },
                                           .text = told->name });
    tell_temperature(told, SM_NOTE_ENERGY_TEMPERATURE, result);
}

/* Turn-on and turn-off apart only where their rows reach from and to other temperatures. */
static void tell_igbt_energies(const struct sm_switching *s, struct sm_result *result)
{
    const struct sm_rows *on = &s->e_on, *off = &s->e_off;
    if (same_number(on->row[0].at, off->row[0].at) &&
        same_number(on->row[on->n - 1].at, off->row[off->n - 1].at)) {
        tell_energy_rows(s, &(struct told_rows){ on, SM_IGBT, note_chip(SM_IGBT) }, result);
        return;
    }
    tell_energy_rows(s, &(struct told_rows){ on, SM_IGBT, "IGBT turn-on" }, result);
    tell_energy_rows(s, &(struct told_rows){ off, SM_IGBT, "IGBT turn-off" }, result);
}

static void tell_bus(const struct sm_case *c, const struct sm_switching *s, int chip,
                     struct sm_result *result)
{
    const double v_dc = drive_bus_voltage(&c->drive->rating);
    const double share = v_dc / s->test_voltage;
    if (share < BUS_LOW || share > BUS_HIGH)
        note_add(result, (struct sm_note){ .id = SM_NOTE_BUS_FAR,
                                           .value = { s->test_voltage, v_dc, share },
                                           .text = note_chip((enum sm_chip_kind)chip) });
}

static void tell_curves(const struct sm_case *c, struct sm_result *result)
{
    const struct sm_module *m = c->module;
    const double peak = highest_peak(c, result);
    tell_conduction(&m->igbt_conduction, SM_IGBT, peak, result);
    tell_energy_current(&m->igbt_switching, SM_IGBT, peak, result);
    tell_igbt_energies(&m->igbt_switching, result);
    tell_bus(c, &m->igbt_switching, SM_IGBT, result);
    tell_conduction(&m->diode_conduction, SM_DIODE, peak, result);
    tell_energy_current(&m->diode_recovery, SM_DIODE, peak, result);
    tell_energy_rows(&m->diode_recovery,
                     &(struct told_rows){ &m->diode_recovery.e_rr, SM_DIODE, note_chip(SM_DIODE) },
                     result);
    tell_bus(c, &m->diode_recovery, SM_DIODE, result);
}

static bool any_negative(const struct sm_chip_result *chip)
{
    return chip->conduction < 0.0 || chip->turn_on < 0.0 || chip->turn_off < 0.0 ||
           chip->recovery < 0.0;
}

static void tell_negative(struct sm_result *result)
{
    for (int chip = 0; chip < SM_CHIP_COUNT; chip++) {
        double t = result->hold.power[chip] < 0.0 ? result->hold.tvj[chip] : 0.0;
        for (size_t i = result->n_points; i-- > 0;)
            if (any_negative(&result->points[i].chip[chip]))
                t = result->points[i].chip[chip].tvj_mean;
        if (t > 0.0)
            note_add(result, (struct sm_note){ .id = SM_NOTE_NEGATIVE_LOSS,
                                               .value = { t },
                                               .text = note_chip((enum sm_chip_kind)chip) });
    }
}

/* ------------------------------------------------------ gate resistors */

static bool outside(const struct sm_list *table, double value)
{
    return value < table->v[0] || value > table->v[table->n - 1];
}

/* One resistor of the drive, the one that the energies were measured with, and the table that leads
 * from one to the other. */
struct resistor {
    const char *name;
    const struct sm_optional *used, *test;
    const struct sm_list *table;
    enum sm_drive_key used_key;
    enum sm_module_key test_key, table_key, energy_key;
};

static void tell_resistor(const struct resistor *r, struct sm_result *result)
{
    const bool both = r->used->given && r->test->given;
    struct sm_note note = { .text = r->name };
    struct wanted wanted = { .n = 0 };
    if (both && same_number(r->used->value, r->test->value))
        return;
    if (!both) {
        note.id = r->used->given ? SM_NOTE_RG_TEST_NOT_GIVEN : SM_NOTE_RG_NOT_GIVEN;
        want_drive(&wanted, r->used_key, r->used->given);
        want_module(&wanted, r->test_key, r->test->given);
    } else if (r->table->n < 2) {
        note.id = SM_NOTE_RG_NO_TABLE;
        note.value[0] = r->used->value;
        note.value[1] = r->test->value;
        want_module(&wanted, r->table_key, false);
        want_module(&wanted, r->energy_key, false);
    } else if (outside(r->table, r->used->value) || outside(r->table, r->test->value)) {
        note.id = SM_NOTE_RG_BEYOND;
        note.value[0] = outside(r->table, r->used->value) ? r->used->value : r->test->value;
        note.value[1] = r->table->v[0];
        note.value[2] = r->table->v[r->table->n - 1];
    } else {
        return;
    }
    wanted_note(&wanted, &note);
    note_add(result, note);
}

static void tell_gate(const struct sm_case *c, struct sm_result *result)
{
    const struct sm_drive_gate *gate = &c->drive->gate;
    const struct sm_switching *igbt = &c->module->igbt_switching;
    const struct sm_switching *diode = &c->module->diode_recovery;
    const struct resistor on = { "rg_on",           &gate->rg_on,     &igbt->test_rg_on,
                                 &igbt->rg,         SM_DRIVE_RG_ON,   SM_MODULE_TEST_RG_ON,
                                 SM_MODULE_IGBT_RG, SM_MODULE_E_ON_RG };
    struct resistor off = on, recovery = on;
    off.name = "rg_off";
    off.used = &gate->rg_off;
    off.test = &igbt->test_rg_off;
    off.used_key = SM_DRIVE_RG_OFF;
    off.test_key = SM_MODULE_TEST_RG_OFF;
    off.energy_key = SM_MODULE_E_OFF_RG;
    recovery.name = "rg_on (diode)";
    recovery.table = &diode->rg;
    recovery.table_key = SM_MODULE_DIODE_RG;
    recovery.energy_key = SM_MODULE_E_RR_RG;
    tell_resistor(&on, result);
    tell_resistor(&off, result);
    /* the resistor itself was told just above: only a missing table of the diode adds something */
    if (gate->rg_on.given && igbt->test_rg_on.given)
        tell_resistor(&recovery, result);
}

/* ---------------------------------------------------------- heat path */

/* The layer behind the R_th(c-s) that is used; its two keys are given together or not at all. */
static void want_reference(const struct sm_module *m, struct wanted *wanted)
{
    const struct {
        bool used, given;
        enum sm_module_key conductivity, thickness;
    } layers[] = {
        { m->mounting.rth_cs.given, m->mounting.rth_cs_conductivity.given,
          SM_MODULE_MOUNTING_RTH_CS_CONDUCTIVITY, SM_MODULE_MOUNTING_RTH_CS_THICKNESS },
        { !m->mounting.rth_cs.given, m->igbt_thermal.rth_cs_conductivity.given,
          SM_MODULE_IGBT_RTH_CS_CONDUCTIVITY, SM_MODULE_IGBT_RTH_CS_THICKNESS },
        { !m->mounting.rth_cs.given, m->diode_thermal.rth_cs_conductivity.given,
          SM_MODULE_DIODE_RTH_CS_CONDUCTIVITY, SM_MODULE_DIODE_RTH_CS_THICKNESS },
    };
    for (size_t i = 0; i < sizeof layers / sizeof layers[0]; i++) {
        want_module(wanted, layers[i].conductivity, !layers[i].used || layers[i].given);
        want_module(wanted, layers[i].thickness, !layers[i].used || layers[i].given);
    }
}

static void tell_joint(const struct sm_case *c, struct sm_result *result)
{
    const struct sm_module *m = c->module;
    const bool per_switch = m->igbt_thermal.rth_cs.given && m->diode_thermal.rth_cs.given;
    const bool printed = m->mounting.rth_cs.given || per_switch;
    struct sm_note note = { .id = printed ? SM_NOTE_JOINT_AS_PRINTED : SM_NOTE_JOINT_EVEN_FLOW };
    struct wanted wanted = { .n = 0 };
    if (m->mounting.rth_cs.given && per_switch)
        note_add(result, (struct sm_note){ .id = SM_NOTE_JOINT_BOTH });
    if (printed) {
        want_reference(m, &wanted);
    } else {
        want_module_either(&wanted, SM_MODULE_MOUNTING_RTH_CS, SM_MODULE_IGBT_RTH_CS, false);
        want_module(&wanted, SM_MODULE_DIODE_RTH_CS, false);
    }
    wanted_note(&wanted, &note);
    if (wanted.n > 0)
        note_add(result, note);
    if (c->drive->joint.coverage < 1.0)
        note_add(result, (struct sm_note){ .id = SM_NOTE_JOINT_COVERAGE,
                                           .value = { c->drive->joint.coverage } });
}

static void tell_module(const struct sm_case *c, struct sm_result *result)
{
    const struct sm_module *m = c->module;
    const struct sm_chip_thermal *thermal[SM_CHIP_COUNT] = { &m->igbt_thermal, &m->diode_thermal };
    static const enum sm_module_key foster_key[SM_CHIP_COUNT] = { SM_MODULE_IGBT_FOSTER_R,
                                                                  SM_MODULE_DIODE_FOSTER_R };
    if (m->origin[SM_MODULE_LEAD_RESISTANCE].kind != SM_ORIGIN_GIVEN)
        note_add(result, (struct sm_note){ .id = SM_NOTE_LEADS_UNKNOWN });
    for (int chip = 0; chip < SM_CHIP_COUNT; chip++)
        if (m->origin[foster_key[chip]].kind != SM_ORIGIN_GIVEN)
            note_add(result,
                     (struct sm_note){ .id = SM_NOTE_NO_FOSTER,
                                       .value = { thermal[chip]->rth_jc, thermal[chip]->tau_jc },
                                       .text = note_chip((enum sm_chip_kind)chip) });
}

void assumptions_tell(const struct sm_case *c, struct sm_result *result)
{
    tell_points(c, result);
    tell_drive(c, result);
    tell_curves(c, result);
    tell_negative(result);
    tell_gate(c, result);
    tell_joint(c, result);
    tell_module(c, result);
    note_add(result, (struct sm_note){ .id = SM_NOTE_TYPICAL_CURVES });
}
