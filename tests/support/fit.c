/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/fit.h"

#include "assess/checks.h"
#include "support/near.h"

#include <stdio.h>
#include <string.h>

static struct sm_optional is(double value)
{
    return (struct sm_optional){ .given = true, .value = value };
}

static void complete_drive(struct sm_drive *d)
{
    d->rating.overvoltage_trip = is(800.0);
    d->rating.overcurrent_trip = is(190.0);
    d->rating.bus_inductance = is(45e-9);
    d->rating.overload_current = is(1.2);
    d->rating.overload_time = is(60.0);
    d->rating.dead_time = is(3e-6);
    d->gate = (struct sm_drive_gate){ .rg_on = is(6.8),
                                      .rg_off = is(6.8),
                                      .vge_on = is(15.0),
                                      .vge_off = is(-10.0),
                                      .driver_power = is(1.5),
                                      .driver_peak_current = is(6.0),
                                      .driver_delay_spread = 150e-9,
                                      .short_circuit_blanking = is(5e-6),
                                      .driver_reaction = 2e-6 };
    d->joint.screw_torque = is(4.0);
}

static void complete_module(struct sm_module *m)
{
    m->isolation_voltage = is(4000.0);
    m->stray_inductance = is(22e-9);
    m->short_circuit_time = is(10e-6);
    m->short_circuit_bus = is(900.0);
    m->short_circuit_vge = is(15.0);
    m->thermistor = (struct sm_thermistor){ .r25 = is(5e3), .b25_50 = is(3375.0) };
    m->gate = (struct sm_module_gate){ .gate_charge = is(1.15e-6),
                                       .gate_charge_swing = is(30.0),
                                       .internal_rg = is(5.0),
                                       .vge_max = is(20.0),
                                       .td_on = is(140e-9),
                                       .td_on_min = is(110e-9),
                                       .td_off = is(380e-9),
                                       .td_off_max = is(480e-9),
                                       .t_f = is(110e-9) };
}

void fit_make(struct fit_case *t)
{
    memset(t, 0, sizeof *t);
    fixture_make(&t->f);
    complete_drive(&t->f.drive);
    complete_module(&t->f.module);
    t->torque[0] = 3.0;
    t->torque[1] = 5.0;
    t->f.module.mounting.screw_torque = (struct sm_list){ .v = t->torque, .n = 2 };
    for (int i = 0; i < 2; i++) {
        (void)snprintf(t->words[i][0], sizeof t->words[i][0], "94 x 34 mm, M6");
        (void)snprintf(t->words[i][1], sizeof t->words[i][1], "1 AC, 2 minus, 3 plus");
    }
    t->f.module.outline = t->words[0][0];
    t->f.module.pinout = t->words[0][1];
    sm_result_init(&t->result);
    for (int i = 0; i < 2; i++)
        t->overload[i] =
            (struct sm_overload){ .output_hz = 30.0 * (i + 1), .tvj_max = 403.15, .margin = 20.0 };
}

void fit_original(struct fit_case *t)
{
    t->original = t->f.module;
    t->original.outline = t->words[1][0];
    t->original.pinout = t->words[1][1];
    t->f.c.original = &t->original;
}

const struct sm_check *fit_row(struct fit_case *t, enum sm_check_id id)
{
    t->result.overload = NULL;
    sm_result_release(&t->result);
    t->result.module_count = sm_case_module_count(&t->f.c);
    t->result.overload = t->overload;
    t->result.n_overload = t->f.drive.rating.overload_current.given ? 2 : 0;
    checks_run(&t->f.c, &t->result);
    return &t->result.checks[id];
}

void fit_release(struct fit_case *t)
{
    t->result.overload = NULL;
    sm_result_release(&t->result);
}

void fit_is(struct fit_case *t, enum sm_check_id id, enum sm_check_result result,
            enum sm_note_id why)
{
    const struct sm_check *check = fit_row(t, id);
    cr_expect_eq(check->result, result, "%s: result %d, expected %d", check_title(id),
                 (int)check->result, (int)result);
    cr_expect_eq(check->why.id, why, "%s: says \"%s\", expected \"%s\"", check_title(id),
                 sm_note_template(check->why.id), sm_note_template(why));
}

void fit_has(struct fit_case *t, enum sm_check_id id, double value, double limit)
{
    const struct sm_check *check = fit_row(t, id);
    cr_assert(check->value.given && check->limit.given, "%s", check_title(id));
    NEAR_REL(check->value.value, value, 1e-12);
    NEAR_REL(check->limit.value, limit, 1e-12);
}

const char *fit_missing(const struct sm_check *check)
{
    static char names[400];
    size_t used = 0;
    names[0] = '\0';
    for (size_t i = 0; i < SM_NOTE_KEYS && check->why.key[i]; i++) {
        const struct sm_key_name *name = check->why.key[i];
        const char *between = i == 0 ? "" : check->why.alternative >> i & 1u ? " or " : ", ";
        used += (size_t)snprintf(names + used, sizeof names - used, "%s%s [%s] %s", between,
                                 name->file, name->section, name->key);
        cr_assert_lt(used, sizeof names);
    }
    return names;
}

void fit_wants(struct fit_case *t, enum sm_check_id id, struct sm_optional *value, const char *name)
{
    const struct sm_optional kept = *value;
    *value = (struct sm_optional){ .given = false };
    const struct sm_check *check = fit_row(t, id);
    cr_expect_eq(check->result, SM_CHECK_NOT_CHECKED, "%s without %s", check_title(id), name);
    cr_expect_eq(check->why.id, SM_NOTE_NOT_CHECKED);
    cr_expect_str_eq(fit_missing(check), name);
    cr_expect(!check->value.given && !check->limit.given);
    *value = kept;
}
