/* SPDX-License-Identifier: GPL-3.0-or-later
 * The candidate and the original side by side.  Expected values: identities between the two
 * results, closed forms of straight-line devices, and the rule of each row. */
#include "assess/comparison.h"

#include "support/fixture.h"
#include "support/near.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>
#include <string.h>

struct pair {
    struct fixture candidate, original;
    struct sm_result result;
};

static void pair_make(struct pair *p)
{
    fixture_make(&p->candidate);
    fixture_make(&p->original);
    p->candidate.c.original = &p->original.module;
}

static void pair_run(struct pair *p)
{
    sm_result_init(&p->result);
    cr_assert_eq(sm_run(&p->candidate.c, &p->result, NULL), SM_OK);
    cr_assert_not_null(p->result.comparison.rows);
}

static const struct sm_compared *row_of(const struct sm_result *result, enum sm_compared_id id,
                                        double output_hz)
{
    const struct sm_comparison *comparison = &result->comparison;
    for (size_t i = 0; i < comparison->n_rows; i++)
        if (comparison->rows[i].id == id && fabs(comparison->rows[i].output_hz - output_hz) < 1e-9)
            return &comparison->rows[i];
    cr_assert_fail("no row %d at %g Hz", (int)id, output_hz);
    return NULL;
}

Test(comparison, a_part_beside_itself_differs_in_nothing)
{
    struct pair p;
    pair_make(&p);
    p.candidate.module.gate.gate_charge = p.original.module.gate.gate_charge =
        (struct sm_optional){ true, 1e-6 };
    pair_run(&p);
    for (size_t i = 0; i < p.result.comparison.n_rows; i++) {
        const struct sm_compared *row = &p.result.comparison.rows[i];
        NEAR(row->difference, 0.0, 0.0);
        cr_assert_not(row->worse);
        cr_assert_eq(row->same, row->comparable);
    }
    sm_result_release(&p.result);
}

Test(comparison, without_an_original_there_is_none)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    sm_result_init(&result);
    cr_assert_eq(sm_run(&f.c, &result, NULL), SM_OK);
    cr_assert_null(result.comparison.original);
    cr_assert_eq(result.comparison.n_rows, 0);
    sm_result_release(&result);
}

Test(comparison, the_original_is_run_as_if_it_stood_alone_in_the_drive)
{
    struct pair p;
    struct sm_result alone;
    pair_make(&p);
    p.original.module.igbt_thermal.rth_jc = p.original.foster_r[0][0] = 0.26;
    pair_run(&p);
    sm_result_init(&alone);
    p.original.c.drive = &p.candidate.drive;
    cr_assert_eq(sm_run(&p.original.c, &alone, NULL), SM_OK);
    const struct sm_result *beside = p.result.comparison.original;
    NEAR(beside->margin, alone.margin, 0.0);
    cr_assert_eq(beside->verdict, alone.verdict);
    NEAR(row_of(&p.result, SM_COMPARED_MARGIN, 30.0)->original.value, alone.points[0].margin, 0.0);
    sm_result_release(&alone);
    sm_result_release(&p.result);
}

/* 0.1 V more across every IGBT: 0.1 V times the mean of d*i, which is I(1/2pi + M cos(phi)/8) for
 * each of the six switches (Graovac and Pueschel 2009, value from memory; the same for space
 * vectors, whose added voltage has no fundamental).  1e-4: the cycle's quadrature. */
Test(comparison, the_difference_of_conduction_is_that_of_the_closed_form)
{
    struct pair p;
    pair_make(&p);
    for (int k = 0; k < 2; k++)
        for (int j = 0; j < 2; j++)
            p.candidate.v_igbt[k][j] += 0.1;
    pair_run(&p);
    const struct sm_point *point = &p.result.points[1];
    const double peak = sqrt(2.0) * 77.0, pi = acos(-1.0);
    const double mean = peak * (1.0 / (2.0 * pi) + point->modulation_index * 0.85 / 8.0);
    const struct sm_compared *row = row_of(&p.result, SM_COMPARED_CONDUCTION, 60.0);
    NEAR_REL(row->difference, 6.0 * 0.1 * mean, 1e-4);
    cr_assert(row->worse);
    sm_result_release(&p.result);
}

Test(comparison, losses_are_those_of_the_whole_drive_and_add_up)
{
    struct pair p;
    pair_make(&p);
    p.candidate.module.circuit = SM_CIRCUIT_SIX_PACK;
    p.candidate.module.lead_resistance = 1e-3;
    pair_run(&p);
    const struct sm_point *point = &p.result.points[0];
    const double sum = row_of(&p.result, SM_COMPARED_CONDUCTION, 30.0)->candidate.value +
                       row_of(&p.result, SM_COMPARED_SWITCHING, 30.0)->candidate.value +
                       row_of(&p.result, SM_COMPARED_LEADS, 30.0)->candidate.value;
    NEAR_REL(row_of(&p.result, SM_COMPARED_TOTAL, 30.0)->candidate.value, sum, 1e-12);
    NEAR_REL(sum, point->sink_heat, 1e-12); /* nothing else heats this sink */
    NEAR(row_of(&p.result, SM_COMPARED_MODULES, 0.0)->difference, 1.0 - 3.0, 0.0);
    sm_result_release(&p.result);
}

Test(comparison, the_overload_is_compared_where_the_drive_asks_for_one)
{
    struct pair p;
    pair_make(&p);
    p.original.module.igbt_thermal.rth_jc = p.original.foster_r[0][0] = 0.26;
    pair_run(&p);
    cr_assert_eq(row_of(&p.result, SM_COMPARED_OVERLOAD_MARGIN, 30.0)->candidate.state,
                 SM_SIDE_NOT_GIVEN);
    sm_result_release(&p.result);
    p.candidate.drive.rating.overload_current = (struct sm_optional){ true, 1.2 };
    p.candidate.drive.rating.overload_time = (struct sm_optional){ true, 60.0 };
    pair_run(&p);
    const struct sm_compared *row = row_of(&p.result, SM_COMPARED_OVERLOAD_MARGIN, 60.0);
    NEAR(row->candidate.value, p.result.overload[1].margin, 0.0);
    NEAR(row->original.value, p.result.comparison.original->overload[1].margin, 0.0);
    cr_assert_gt(row->difference, 0.0); /* less heat path, cooler */
    sm_result_release(&p.result);
}

struct change {
    enum sm_compared_id id;
    size_t offset; /* of a double or a struct sm_optional in the module */
    bool optional;
    double low, high;
    int worse; /* where the candidate is worse: -1 when it is lower, +1 higher, 0 either */
};

#define NUMBER(id, field, low, high, worse)                                                        \
    {                                                                                              \
        SM_COMPARED_##id, offsetof(struct sm_module, field), false, low, high, worse               \
    }
#define OPTIONAL(id, field, low, high, worse)                                                      \
    {                                                                                              \
        SM_COMPARED_##id, offsetof(struct sm_module, field), true, low, high, worse                \
    }

static const struct change changes[] = {
    NUMBER(VCES, vces, 1200.0, 1700.0, -1),
    NUMBER(IC_NOMINAL, ic_nominal, 100.0, 150.0, -1),
    NUMBER(TVJ_OP_MAX, tvj_op_max, 398.15, 423.15, -1),
    OPTIONAL(ISOLATION, isolation_voltage, 2500.0, 4000.0, -1),
    OPTIONAL(SHORT_CIRCUIT, short_circuit_time, 5e-6, 10e-6, -1),
    OPTIONAL(SHORT_CIRCUIT_BUS, short_circuit_bus, 800.0, 900.0, -1),
    NUMBER(IGBT_RTH, igbt_thermal.rth_jc, 0.2, 0.25, 1),
    NUMBER(DIODE_RTH, diode_thermal.rth_jc, 0.35, 0.4, 1),
    OPTIONAL(STRAY_INDUCTANCE, stray_inductance, 20e-9, 30e-9, 1),
    OPTIONAL(GATE_CHARGE, gate.gate_charge, 0.8e-6, 1e-6, 1),
    OPTIONAL(VGE_MAX, gate.vge_max, 15.0, 20.0, -1),
    OPTIONAL(SCREWS, mounting.screws, 2.0, 4.0, 0),
    OPTIONAL(BASE_WIDTH, mounting.base_width, 0.034, 0.062, 0),
    OPTIONAL(BASE_LENGTH, mounting.base_length, 0.094, 0.106, 0),
    OPTIONAL(R25, thermistor.r25, 5e3, 10e3, 0),
    OPTIONAL(B25_50, thermistor.b25_50, 3375.0, 3433.0, 0),
    OPTIONAL(PRICE, price, 50.0, 60.0, 1),
    OPTIONAL(LEAD_TIME, lead_time, 86400.0, 864000.0, 1),
};

static void set(struct sm_module *module, const struct change *change, double value)
{
    char *at = (char *)module + change->offset;
    const struct sm_optional given = { true, value };
    memcpy(at, change->optional ? (const void *)&given : (const void *)&value,
           change->optional ? sizeof given : sizeof value);
}

Test(comparison, each_row_knows_which_direction_is_worse)
{
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        const struct change *change = &changes[i];
        for (int higher = 0; higher < 2; higher++) {
            struct pair p;
            pair_make(&p);
            set(&p.candidate.module, change, higher ? change->high : change->low);
            set(&p.original.module, change, higher ? change->low : change->high);
            pair_run(&p);
            const struct sm_compared *row = row_of(&p.result, change->id, 0.0);
            NEAR_REL(row->difference,
                     higher ? change->high - change->low : change->low - change->high, 1e-12);
            cr_expect_eq(row->worse, change->worse == 0 || (change->worse > 0) == higher,
                         "row %d, %s", (int)change->id, higher ? "higher" : "lower");
            sm_result_release(&p.result);
        }
    }
}

Test(comparison, torque_and_internal_gate_resistor_are_told_and_not_judged)
{
    struct pair p;
    double range[2] = { 3.0, 5.0 }, other[2] = { 2.5, 4.0 };
    pair_make(&p);
    p.candidate.module.mounting.screw_torque = (struct sm_list){ range, 2 };
    p.original.module.mounting.screw_torque = (struct sm_list){ other, 2 };
    p.candidate.module.gate.internal_rg = (struct sm_optional){ true, 5.0 };
    p.original.module.gate.internal_rg = (struct sm_optional){ true, 2.5 };
    pair_run(&p);
    NEAR(row_of(&p.result, SM_COMPARED_TORQUE_LEAST, 0.0)->difference, 0.5, 1e-15);
    NEAR(row_of(&p.result, SM_COMPARED_TORQUE_MOST, 0.0)->difference, 1.0, 1e-15);
    cr_assert_not(row_of(&p.result, SM_COMPARED_TORQUE_MOST, 0.0)->worse);
    cr_assert_not(row_of(&p.result, SM_COMPARED_INTERNAL_RG, 0.0)->worse);
    sm_result_release(&p.result);
}

Test(comparison, texts_are_the_same_or_worse)
{
    struct pair p;
    char a[] = "94 x 34 mm", b[] = "106 x 62 mm", same[] = "94 X 34mm";
    pair_make(&p);
    p.candidate.module.outline = a;
    p.original.module.outline = b;
    p.candidate.module.pinout = a;
    p.original.module.pinout = same;
    pair_run(&p);
    cr_assert(row_of(&p.result, SM_COMPARED_OUTLINE, 0.0)->worse);
    cr_assert(row_of(&p.result, SM_COMPARED_PINOUT, 0.0)->same);
    cr_assert_not(row_of(&p.result, SM_COMPARED_PINOUT, 0.0)->worse);
    sm_result_release(&p.result);
}

Test(comparison, what_one_file_does_not_give_is_neither_better_nor_worse)
{
    struct pair p;
    pair_make(&p);
    p.original.module.isolation_voltage = (struct sm_optional){ true, 2500.0 };
    pair_run(&p);
    const struct sm_compared *row = row_of(&p.result, SM_COMPARED_ISOLATION, 0.0);
    cr_assert_eq(row->candidate.state, SM_SIDE_NOT_GIVEN);
    cr_assert_eq(row->original.state, SM_SIDE_GIVEN);
    cr_assert_not(row->comparable);
    cr_assert_not(row->worse);
    /* a default says nothing of the part */
    cr_assert_eq(row_of(&p.result, SM_COMPARED_LEAD_RESISTANCE, 0.0)->candidate.state,
                 SM_SIDE_NOT_GIVEN);
    sm_result_release(&p.result);
}

/* A voltage that rises so steeply with temperature leaves no equilibrium. */
static void let_run_away(struct fixture *f)
{
    for (int j = 0; j < 2; j++)
        f->v_igbt[1][j] *= 60.0;
}

Test(comparison, a_candidate_that_runs_away_is_worse_and_has_no_numbers)
{
    struct pair p;
    pair_make(&p);
    let_run_away(&p.candidate);
    pair_run(&p);
    cr_assert(p.result.runaway);
    const struct sm_compared *row = row_of(&p.result, SM_COMPARED_MARGIN, 60.0);
    cr_assert_eq(row->candidate.state, SM_SIDE_RUNAWAY);
    cr_assert(row->worse);
    cr_assert_not(row->comparable);
    sm_result_release(&p.result);
}

Test(comparison, an_original_that_runs_away_is_told_and_changes_nothing)
{
    struct pair p;
    struct sm_result alone;
    pair_make(&p);
    let_run_away(&p.original);
    pair_run(&p);
    const struct sm_compared *row = row_of(&p.result, SM_COMPARED_MARGIN, 60.0);
    cr_assert_eq(row->original.state, SM_SIDE_RUNAWAY);
    cr_assert_not(row->worse);
    sm_result_init(&alone);
    p.candidate.c.original = NULL;
    cr_assert_eq(sm_run(&p.candidate.c, &alone, NULL), SM_OK);
    cr_assert_eq(p.result.verdict, alone.verdict);
    NEAR(p.result.margin, alone.margin, 0.0);
    sm_result_release(&alone);
    sm_result_release(&p.result);
}

Test(comparison, a_worse_original_lifts_no_rejection_and_a_better_one_makes_none)
{
    struct pair p;
    pair_make(&p);
    p.candidate.drive.confirmed = (struct sm_confirmed){ true, true, true, true, true, true };
    p.original.module.igbt_thermal.rth_jc = p.original.foster_r[0][0] = 0.6;
    p.candidate.drive.test.required_margin = 90.0;
    pair_run(&p);
    cr_assert_eq(p.result.verdict, SM_REJECT);
    cr_assert_lt(p.result.comparison.original->margin, p.result.margin);
    sm_result_release(&p.result);
    p.original.module.igbt_thermal.rth_jc = p.original.foster_r[0][0] = 0.02;
    p.candidate.drive.test.required_margin = 5.0;
    pair_run(&p);
    cr_assert_eq(p.result.reasons.count, 0);
    cr_assert_gt(p.result.comparison.original->margin, p.result.margin);
    sm_result_release(&p.result);
}
