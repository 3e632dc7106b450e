/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is told of a result, from results filled by hand: each bound from both sides, each number of
 * a note. */
#include "assess/assumptions.h"

#include "base/maths.h"
#include "support/fixture.h"
#include "support/near.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>
#include <string.h>

enum { POINTS = 2 };

struct bench {
    struct fixture f;
    struct sm_point point[POINTS];
    struct sm_overload overload[1];
    struct sm_result result;
};

/* Two points of 50 A rms, both chips at 80 to 100 degC, all losses 10 W; no overload. */
static void make(struct bench *b)
{
    fixture_make(&b->f);
    for (int i = 0; i < POINTS; i++) {
        struct sm_point *p = &b->point[i];
        *p = (struct sm_point){ .output_hz = i == 0 ? 30.0 : 60.0, .i_module = 50.0 };
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            p->chip[k] = (struct sm_chip_result){ .conduction = 10.0,
                                                  .turn_on = 10.0,
                                                  .turn_off = 10.0,
                                                  .recovery = 10.0,
                                                  .tvj_min = 353.15,
                                                  .tvj_mean = 363.15,
                                                  .tvj_max = 373.15 };
    }
    sm_result_init(&b->result);
}

static const struct sm_note *found(const struct sm_notes *notes, enum sm_note_id id,
                                   const char *text)
{
    for (size_t i = 0; i < notes->count; i++) {
        const struct sm_note *note = &notes->list[i];
        if (note->id == id && (!text || (note->text && strcmp(note->text, text) == 0)))
            return note;
    }
    return NULL;
}

static void tell(struct bench *b)
{
    struct sm_result *r = &b->result;
    r->points = NULL; /* ours, not to be freed */
    r->overload = NULL;
    const size_t n = r->n_overload;
    const struct sm_hold hold = r->hold;
    sm_result_release(r);
    r->hold = hold;
    r->points = b->point;
    r->n_points = POINTS;
    r->overload = b->overload;
    r->n_overload = n;
    assumptions_tell(&b->f.c, r);
}

/* The note of that id, and of that text unless it is NULL; NULL when it is not told. */
static const struct sm_note *told(struct bench *b, enum sm_note_id id, const char *text)
{
    tell(b);
    const struct sm_note *note = found(&b->result.notes, id, text);
    return note ? note : found(&b->result.conditions, id, text);
}

static void end(struct bench *b)
{
    b->result.points = NULL;
    b->result.overload = NULL;
    sm_result_release(&b->result);
}

static void expect_values(const struct sm_note *note, double a, double b, double c)
{
    cr_assert(note);
    NEAR(note->value[0], a, 1e-9);
    NEAR(note->value[1], b, 1e-9);
    NEAR(note->value[2], c, 1e-9);
}

/* ------------------------------------------------------------ temperature */

/* The curves are of 25 and 150 degC: told beyond 175 and below 0 degC, the hottest and coldest of
 * all points. */
Test(assumptions, junctions_more_than_25_k_beyond_the_curves_are_told)
{
    struct bench b;
    make(&b);
    struct sm_chip_result *igbt = &b.point[0].chip[SM_IGBT];
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, NULL));
    igbt->tvj_max = 448.14;
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, NULL));
    igbt->tvj_max = 448.16;
    expect_values(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, "IGBT"), 448.16, 298.15, 423.15);
    expect_values(told(&b, SM_NOTE_ENERGY_TEMPERATURE, "IGBT"), 448.16, 298.15, 423.15);
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, "diode"));
    b.point[1].chip[SM_IGBT].tvj_max = 450.0;
    expect_values(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, "IGBT"), 450.0, 298.15, 423.15);
    igbt->tvj_max = b.point[1].chip[SM_IGBT].tvj_max = 373.15;
    igbt->tvj_min = 273.16;
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, NULL));
    igbt->tvj_min = 273.14;
    expect_values(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, "IGBT"), 273.14, 298.15, 423.15);
    b.point[1].chip[SM_DIODE].tvj_min = 270.0;
    expect_values(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, "diode"), 270.0, 298.15, 423.15);
    /* hot and cold: the hot end */
    igbt->tvj_max = 449.0;
    expect_values(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, "IGBT"), 449.0, 298.15, 423.15);
    end(&b);
}

/* One row has no reach of its own; points without equilibrium have no temperature. */
Test(assumptions, neither_one_curve_nor_a_runaway_has_a_reach)
{
    struct bench b;
    make(&b);
    b.point[0].chip[SM_IGBT].tvj_max = 500.0;
    b.f.module.igbt_conduction.voltage.n = 1;
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, NULL));
    expect_values(told(&b, SM_NOTE_VOLTAGE_ONE_TEMPERATURE, "IGBT"), 298.15, 0.0, 0.0);
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_ONE_TEMPERATURE, "diode"));
    b.f.module.igbt_conduction.voltage.n = 2;
    b.point[0].runaway = true;
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, NULL));
    b.point[1].runaway = b.result.hold.runaway = true;
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, NULL));
    end(&b);
}

Test(assumptions, overload_and_hold_reach_as_far_as_their_junctions)
{
    struct bench b;
    make(&b);
    b.result.n_overload = 1;
    b.overload[0] = (struct sm_overload){ .tvj_max = 460.0, .worst = SM_DIODE };
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, "IGBT"));
    expect_values(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, "diode"), 460.0, 298.15, 423.15);
    b.overload[0].runaway = true;
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, NULL));
    b.result.hold.tvj[SM_IGBT] = 470.0;
    expect_values(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, "IGBT"), 470.0, 298.15, 423.15);
    b.result.hold.runaway = true;
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_TEMPERATURE, NULL));
    end(&b);
}

/* ---------------------------------------------------------------- current */

/* 50 A rms have a peak of 70.7 A; an overload is shared by the modules in parallel; the hold's
 * current is a peak already. */
Test(assumptions, the_highest_peak_of_all_is_held_against_the_curves)
{
    struct bench b;
    make(&b);
    b.f.current[1] = b.f.e_current[1] = 71.0;
    cr_expect_not(told(&b, SM_NOTE_VOLTAGE_BEYOND, NULL));
    cr_expect_not(told(&b, SM_NOTE_ENERGY_BEYOND, NULL));
    b.point[1].i_module = 51.0;
    expect_values(told(&b, SM_NOTE_VOLTAGE_BEYOND, "IGBT"), SQRT2 * 51.0, 71.0, 0.0);
    expect_values(told(&b, SM_NOTE_VOLTAGE_BEYOND, "diode"), SQRT2 * 51.0, 71.0, 0.0);
    expect_values(told(&b, SM_NOTE_ENERGY_BEYOND, "IGBT"), SQRT2 * 51.0, 71.0, 0.0);
    expect_values(told(&b, SM_NOTE_ENERGY_BEYOND, "diode"), SQRT2 * 51.0, 71.0, 0.0);
    b.f.drive.rating.parallel = 2;
    b.result.n_overload = 1;
    b.overload[0] = (struct sm_overload){ .i_drive = 120.0 };
    expect_values(told(&b, SM_NOTE_VOLTAGE_BEYOND, "IGBT"), SQRT2 * 60.0, 71.0, 0.0);
    b.result.hold.current = 90.0;
    expect_values(told(&b, SM_NOTE_VOLTAGE_BEYOND, "IGBT"), 90.0, 71.0, 0.0);
    end(&b);
}

/* One energy point at 40 A follows its exponent: told, and as far beyond 1.5 times that, 60 A. */
Test(assumptions, one_energy_point_is_told_and_told_otherwise_far_from_it)
{
    struct bench b;
    make(&b);
    b.f.module.igbt_switching.current.n = 1;
    b.f.e_current[0] = 40.0;
    b.point[0].i_module = b.point[1].i_module = 59.9 / SQRT2;
    expect_values(told(&b, SM_NOTE_ENERGY_ONE_CURRENT, "IGBT"), 40.0, 1.0, 0.0);
    cr_expect_not(told(&b, SM_NOTE_ENERGY_ONE_CURRENT, "diode"));
    b.point[0].i_module = 60.1 / SQRT2;
    expect_values(told(&b, SM_NOTE_ENERGY_ONE_CURRENT_FAR, "IGBT"), 40.0, 60.1, 0.0);
    cr_expect_not(told(&b, SM_NOTE_ENERGY_ONE_CURRENT, NULL));
    end(&b);
}

Test(assumptions, a_bus_beyond_30_per_cent_of_the_test_voltage_is_told)
{
    static const struct {
        double bus;
        bool far;
    } rows[] = { { 419.0, true }, { 421.0, false }, { 779.0, false }, { 781.0, true } };
    struct bench b;
    make(&b);
    b.f.module.igbt_switching.test_voltage = 600.0;
    for (size_t i = 0; i < 4; i++) {
        b.f.drive.rating.dc_bus_voltage.value = rows[i].bus;
        const struct sm_note *note = told(&b, SM_NOTE_BUS_FAR, "IGBT");
        cr_expect_eq(note != NULL, rows[i].far, "%g", rows[i].bus);
        if (rows[i].far)
            expect_values(note, 600.0, rows[i].bus, rows[i].bus / 600.0);
    }
    end(&b);
}

/* ------------------------------------------------------------------ points */

Test(assumptions, any_loss_below_zero_is_told_once_a_chip)
{
    struct bench b;
    for (int part = 0; part < 4; part++)
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            make(&b);
            struct sm_chip_result *chip = &b.point[1].chip[k];
            double *loss[] = { &chip->conduction, &chip->turn_on, &chip->turn_off,
                               &chip->recovery };
            *loss[part] = 0.0;
            cr_expect_not(told(&b, SM_NOTE_NEGATIVE_LOSS, NULL));
            *loss[part] = -0.1;
            chip->tvj_mean = 365.0;
            expect_values(told(&b, SM_NOTE_NEGATIVE_LOSS, k == SM_IGBT ? "IGBT" : "diode"), 365.0,
                          0.0, 0.0);
            cr_expect_not(told(&b, SM_NOTE_NEGATIVE_LOSS, k == SM_IGBT ? "diode" : "IGBT"));
            end(&b);
        }
}

Test(assumptions, a_loss_below_zero_at_standstill_is_told_too)
{
    struct bench b;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        make(&b);
        b.result.hold.power[k] = -0.1;
        b.result.hold.tvj[k] = 266.0;
        expect_values(told(&b, SM_NOTE_NEGATIVE_LOSS, k == SM_IGBT ? "IGBT" : "diode"), 266.0, 0.0,
                      0.0);
        end(&b);
    }
}

Test(assumptions, overmodulation_fan_floor_and_hold_are_told_with_their_frequency)
{
    struct bench b;
    make(&b);
    b.point[1].modulation_requested = b.point[1].modulation_index = 1.1;
    cr_expect_not(told(&b, SM_NOTE_OVERMODULATION, NULL));
    b.point[1].modulation_requested *= 1.0 + 1e-12; /* the last bits of a line that just reaches */
    cr_expect_not(told(&b, SM_NOTE_OVERMODULATION, NULL));
    b.point[1].modulation_requested = 1.2;
    const struct sm_note *note = told(&b, SM_NOTE_OVERMODULATION, NULL);
    cr_assert(note);
    NEAR(note->value[0], 60.0, 0.0);
    NEAR_REL(note->value[1], 460.0, 1e-9); /* V  the fixture's at its base frequency */
    b.point[0].hold_governs = true;
    expect_values(told(&b, SM_NOTE_HOLD_GOVERNS, NULL), 30.0, 0.0, 0.0);
    cr_expect_not(told(&b, SM_NOTE_FAN_FLOOR, NULL));
    end(&b);
}

Test(assumptions, modules_share_equally_only_where_there_are_several)
{
    struct bench b;
    make(&b);
    cr_expect_not(told(&b, SM_NOTE_EQUAL_SHARING, NULL));
    b.f.drive.rating.parallel = 2;
    expect_values(told(&b, SM_NOTE_EQUAL_SHARING, NULL), 2.0, 0.0, 0.0);
    end(&b);
}

Test(assumptions, braking_raises_a_bus_that_is_not_given)
{
    struct bench b;
    make(&b);
    b.f.power_factor[0] = -0.8;
    cr_expect_not(told(&b, SM_NOTE_BRAKING_BUS, NULL));
    b.f.drive.rating.dc_bus_voltage.given = false;
    cr_expect(told(&b, SM_NOTE_BRAKING_BUS, NULL));
    b.f.power_factor[0] = 0.8;
    cr_expect_not(told(&b, SM_NOTE_BRAKING_BUS, NULL));
    end(&b);
}

/* ------------------------------------------------------------------- parts */

/* The order in which one is missing: the drive's, the test's, the table; then inside or outside. */
Test(assumptions, gate_resistors_are_told_by_what_is_missing_first)
{
    double rg[2] = { 5.0, 10.0 };
    struct bench b;
    make(&b);
    struct sm_optional *used = &b.f.drive.gate.rg_on, *test = &b.f.module.igbt_switching.test_rg_on;
    cr_expect(told(&b, SM_NOTE_RG_NOT_GIVEN, "rg_on"));
    *used = sm_given(6.0);
    cr_expect_not(told(&b, SM_NOTE_RG_NOT_GIVEN, "rg_on"));
    cr_expect(told(&b, SM_NOTE_RG_TEST_NOT_GIVEN, "rg_on"));
    cr_expect_not(told(&b, SM_NOTE_RG_NO_TABLE, "rg_on (diode)"));
    *test = sm_given(8.0);
    expect_values(told(&b, SM_NOTE_RG_NO_TABLE, "rg_on"), 6.0, 8.0, 0.0);
    cr_expect(told(&b, SM_NOTE_RG_NO_TABLE, "rg_on (diode)"));
    b.f.module.igbt_switching.rg = (struct sm_list){ rg, 2 };
    cr_expect_not(told(&b, SM_NOTE_RG_NO_TABLE, "rg_on"));
    cr_expect_not(told(&b, SM_NOTE_RG_BEYOND, NULL));
    used->value = 4.9;
    expect_values(told(&b, SM_NOTE_RG_BEYOND, "rg_on"), 4.9, 5.0, 10.0);
    used->value = 5.0; /* the table's own ends are inside */
    cr_expect_not(told(&b, SM_NOTE_RG_BEYOND, NULL));
    used->value = 10.1;
    expect_values(told(&b, SM_NOTE_RG_BEYOND, "rg_on"), 10.1, 5.0, 10.0);
    used->value = 10.0;
    cr_expect_not(told(&b, SM_NOTE_RG_BEYOND, NULL));
    test->value = 11.0;
    expect_values(told(&b, SM_NOTE_RG_BEYOND, "rg_on"), 11.0, 5.0, 10.0);
    used->value = 11.0; /* the same one: no factor, nothing to tell */
    cr_expect_not(told(&b, SM_NOTE_RG_BEYOND, NULL));
    end(&b);
}

/* The module's printed value goes before those per switch; a value without its layer is taken as
 * printed; without any the base's area stands in. */
Test(assumptions, the_joint_is_told_by_what_the_sheet_prints)
{
    struct bench b;
    make(&b);
    struct sm_mounting *m = &b.f.module.mounting;
    struct sm_chip_thermal *chip[] = { &b.f.module.igbt_thermal, &b.f.module.diode_thermal };
    cr_expect_not(told(&b, SM_NOTE_JOINT_BOTH, NULL));
    cr_expect_not(told(&b, SM_NOTE_JOINT_AS_PRINTED, NULL));
    cr_expect_not(told(&b, SM_NOTE_JOINT_EVEN_FLOW, NULL));
    chip[0]->rth_cs = sm_given(0.2);
    cr_expect_not(told(&b, SM_NOTE_JOINT_BOTH, NULL));
    chip[1]->rth_cs = sm_given(0.3);
    cr_expect(told(&b, SM_NOTE_JOINT_BOTH, NULL));
    m->rth_cs_conductivity.given = false;
    cr_expect(told(&b, SM_NOTE_JOINT_AS_PRINTED, NULL));
    m->rth_cs.given = false;
    cr_expect_not(told(&b, SM_NOTE_JOINT_BOTH, NULL));
    cr_expect_not(told(&b, SM_NOTE_JOINT_EVEN_FLOW, NULL));
    cr_expect(told(&b, SM_NOTE_JOINT_AS_PRINTED, NULL));
    chip[0]->rth_cs_conductivity = sm_given(1.0); /* of one of the two is not enough */
    cr_expect(told(&b, SM_NOTE_JOINT_AS_PRINTED, NULL));
    chip[1]->rth_cs_conductivity = sm_given(1.0);
    cr_expect_not(told(&b, SM_NOTE_JOINT_AS_PRINTED, NULL));
    chip[1]->rth_cs.given = false;
    cr_expect(told(&b, SM_NOTE_JOINT_EVEN_FLOW, NULL));
    cr_expect_not(told(&b, SM_NOTE_JOINT_AS_PRINTED, NULL));
    end(&b);
}

Test(assumptions, what_the_sheet_does_not_give_of_leads_and_foster_terms_is_told)
{
    struct bench b;
    make(&b);
    b.f.module.igbt_thermal.tau_jc = 0.06;
    expect_values(told(&b, SM_NOTE_NO_FOSTER, "IGBT"), 0.2, 0.06, 0.0);
    cr_expect(told(&b, SM_NOTE_NO_FOSTER, "diode"));
    cr_expect(told(&b, SM_NOTE_LEADS_UNKNOWN, NULL));
    b.f.module.origin[SM_MODULE_IGBT_FOSTER_R].kind = SM_ORIGIN_GIVEN;
    cr_expect_not(told(&b, SM_NOTE_NO_FOSTER, "IGBT"));
    cr_expect(told(&b, SM_NOTE_NO_FOSTER, "diode"));
    b.f.module.origin[SM_MODULE_LEAD_RESISTANCE].kind = SM_ORIGIN_GIVEN;
    cr_expect_not(told(&b, SM_NOTE_LEADS_UNKNOWN, NULL));
    end(&b);
}
