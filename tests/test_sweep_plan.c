/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected values are worked out beside each; what is refused, and with which words, is the
 * published contract of the command. */
#include <criterion/criterion.h>

#include "support/files.h"
#include "support/fixture.h"
#include "support/near.h"
#include "sweep/plan.h"

#include <math.h>
#include <string.h>

#define ZERO_CELSIUS 273.15 /* K  SI brochure */

static void refused(const struct fixture *f, const struct sm_sweep_plan *plan,
                    enum sm_status status, const char *place, const char *message)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    cr_expect_eq(plan_check(&f->c, plan, &faults), status);
    expect_fault(&faults, place, message);
    sm_faults_release(&faults);
}

static void taken(const struct fixture *f, const struct sm_sweep_plan *plan)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    cr_expect_eq(plan_check(&f->c, plan, &faults), SM_OK);
    expect_no_fault(&faults);
    sm_faults_release(&faults);
}

Test(sweep_plan, even_values_keep_the_ends_and_are_what_a_person_would_type)
{
    /* 20 ... 50 degC in 4 rows: 30 and 40 degC, typed, are 303.15 and 313.15 K */
    const struct sm_sweep_plan plan = { SM_SWEEP_AMBIENT, 20.0 + ZERO_CELSIUS, 50.0 + ZERO_CELSIUS,
                                        4, false };
    double values[4];
    cr_assert_eq(plan_values(&plan, values, NULL), SM_OK);
    NEAR(values[0], plan.from, 0.0);
    NEAR(values[1], 30.0 + ZERO_CELSIUS, 0.0);
    NEAR(values[2], 40.0 + ZERO_CELSIUS, 0.0);
    NEAR(values[3], plan.to, 0.0);
}

Test(sweep_plan, a_third_is_cut_to_ten_digits_in_the_unit_told)
{
    /* 1 kHz / 3 of a step: 1.333333333 kHz, nothing behind it */
    const struct sm_sweep_plan plan = { SM_SWEEP_SWITCHING_FREQUENCY, 1000.0, 2000.0, 4, false };
    double values[4];
    cr_assert_eq(plan_values(&plan, values, NULL), SM_OK);
    NEAR(values[1], 1333.333333, 1e-12);
    NEAR(values[2], 1666.666667, 1e-12);
}

Test(sweep_plan, log_spacing_has_one_factor_between_neighbours)
{
    /* 1 ... 1000 Hz in 4 rows: a factor of ten */
    const struct sm_sweep_plan plan = { SM_SWEEP_OUTPUT_FREQUENCY, 1.0, 1000.0, 4, true };
    double values[4];
    cr_assert_eq(plan_values(&plan, values, NULL), SM_OK);
    NEAR(values[1], 10.0, 1e-9);
    NEAR(values[2], 100.0, 1e-8);
    NEAR(values[3], 1000.0, 0.0);
}

Test(sweep_plan, rows_nearer_than_ten_digits_are_refused)
{
    const struct sm_sweep_plan plan = { SM_SWEEP_OUTPUT_FREQUENCY, 50.0, 50.0000001, 1000, false };
    double values[1000];
    struct sm_faults faults;
    sm_faults_init(&faults);
    cr_expect_eq(plan_values(&plan, values, &faults), SM_ERR_VALUE);
    expect_fault(&faults, "--steps", "nearer to each other than 10 digits tell");
    sm_faults_release(&faults);
}

Test(sweep_plan, the_ends_must_rise_and_lie_within_the_range)
{
    struct fixture f;
    fixture_make(&f);
    taken(&f, &(struct sm_sweep_plan){ SM_SWEEP_LOAD, 0.01, 10.0, 2, false });
    refused(&f, &(struct sm_sweep_plan){ SM_SWEEP_LOAD, 0.5, 0.5, 2, false }, SM_ERR_VALUE, "--to",
            "'50 %' is the same as where the sweep begins; expected a value above '50 %'");
    refused(&f, &(struct sm_sweep_plan){ SM_SWEEP_LOAD, 0.8, 0.5, 2, false }, SM_ERR_VALUE, "--to",
            "'50 %' is below where the sweep begins; expected a value above '80 %'");
    refused(&f, &(struct sm_sweep_plan){ SM_SWEEP_LOAD, 0.009, 0.5, 2, false }, SM_ERR_RANGE,
            "--from", "'0.9 %' is out of range; expected 1 % to 1000 %");
    refused(&f, &(struct sm_sweep_plan){ SM_SWEEP_OUTPUT_FREQUENCY, 1.0, 1001.0, 2, false },
            SM_ERR_RANGE, "--to", "'1001 Hz' is out of range; expected 0.1 Hz to 1000 Hz");
    refused(&f, &(struct sm_sweep_plan){ SM_SWEEP_SWITCHING_FREQUENCY, 99.0, 1e6, 2, false },
            SM_ERR_RANGE, "--from", "'0.099 kHz' is out of range; expected 0.1 kHz to 1000 kHz");
    refused(&f, &(struct sm_sweep_plan){ SM_SWEEP_JOINT_THICKNESS, 1e-6, 5.1e-3, 2, false },
            SM_ERR_RANGE, "--to", "'5100 um' is out of range; expected 1 um to 5000 um");
    refused(&f, &(struct sm_sweep_plan){ SM_SWEEP_LOAD, (double)NAN, 0.5, 2, false }, SM_ERR_RANGE,
            "--from", "is out of range");
}

Test(sweep_plan, an_ambient_ends_at_the_highest_operating_junction)
{
    struct fixture f;
    fixture_make(&f);
    f.module.tvj_op_max = 125.0 + ZERO_CELSIUS;
    taken(&f, &(struct sm_sweep_plan){ SM_SWEEP_AMBIENT, 300.0, 125.0 + ZERO_CELSIUS, 2, false });
    refused(&f, &(struct sm_sweep_plan){ SM_SWEEP_AMBIENT, 300.0, 400.0, 2, false }, SM_ERR_RANGE,
            "--to", "'126.85 degC' is out of range; expected -60 degC to 125 degC");
}

Test(sweep_plan, two_to_a_thousand_rows)
{
    struct fixture f;
    fixture_make(&f);
    taken(&f, &(struct sm_sweep_plan){ SM_SWEEP_LOAD, 0.1, 1.0, 1000, false });
    refused(&f, &(struct sm_sweep_plan){ SM_SWEEP_LOAD, 0.1, 1.0, 1, false }, SM_ERR_RANGE,
            "--steps", "'1' is out of range; expected 2 to 1000");
    refused(&f, &(struct sm_sweep_plan){ SM_SWEEP_LOAD, 0.1, 1.0, 1001, false }, SM_ERR_RANGE,
            "--steps", "'1001' is out of range; expected 2 to 1000");
}

Test(sweep_plan, a_temperature_has_no_equal_factors)
{
    struct fixture f;
    fixture_make(&f);
    refused(&f, &(struct sm_sweep_plan){ SM_SWEEP_AMBIENT, 300.0, 320.0, 3, true }, SM_ERR_VALUE,
            "--spacing", "equal factors mean nothing for a temperature");
}

Test(sweep_plan, a_thickness_that_enters_nothing_is_refused)
{
    struct fixture f;
    fixture_make(&f);
    const struct sm_sweep_plan plan = { SM_SWEEP_JOINT_THICKNESS, 50e-6, 200e-6, 3, false };
    taken(&f, &plan);
    f.module.mounting.rth_cs_conductivity.given = f.module.mounting.rth_cs_thickness.given = false;
    refused(&f, &plan, SM_ERR_VALUE, "", "the thickness of the joint changes nothing here");
}

Test(sweep_plan, every_fault_is_told_at_once)
{
    struct fixture f;
    fixture_make(&f);
    struct sm_faults faults;
    sm_faults_init(&faults);
    const struct sm_sweep_plan plan = { SM_SWEEP_AMBIENT, 1.0, 2.0, 0, true };
    cr_expect_eq(plan_check(&f.c, &plan, &faults), SM_ERR_RANGE);
    cr_expect_eq(faults.count, 4);
    sm_faults_release(&faults);
}
