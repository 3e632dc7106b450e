/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/joint.h"

#include "joint/pressing.h"
#include "support/near.h"
#include "swapmargin/engine.h"
#include "swapmargin/input.h"

#include <criterion/criterion.h>
#include <string.h>

/* The marginal candidate of the examples: its layer decides. */
static struct sm_tables tables;
static struct sm_drive drive;
static struct sm_module module;
static struct sm_faults faults;
static struct sm_case c;
static struct sm_joint_study study;

static void load(const char *file)
{
    sm_module_release(&module);
    cr_assert_eq(sm_module_load(file, &module, &faults), SM_OK);
    cr_assert_eq(sm_case_assemble(&drive, &module, NULL, &c, &faults), SM_OK);
}

static void begin(void)
{
    sm_faults_init(&faults);
    sm_tables_init(&tables);
    sm_drive_init(&drive);
    sm_module_init(&module);
    sm_joint_init(&study);
    cr_assert_eq(sm_tables_load(NULL, &tables, &faults), SM_OK);
    cr_assert_eq(sm_drive_load(SM_EXAMPLES "/drive.ini", NULL, &tables, &drive, &faults), SM_OK);
    load(SM_EXAMPLES "/module-marginal.ini");
}

static void end(void)
{
    sm_joint_release(&study);
    sm_module_release(&module);
    sm_drive_release(&drive);
    sm_tables_release(&tables);
    sm_faults_release(&faults);
}

TestSuite(joint, .init = begin, .fini = end);

static const struct sm_joint_compound two[] = { { "poor", 0.5 }, { "rich", 3.0 } };

static void run(void)
{
    sm_joint_release(&study);
    cr_assert_eq(sm_joint(&c, two, 2, &study, &faults), SM_OK);
}

/* The engine's own margin with the drive's joint as it stands now. */
static double margin_now(void)
{
    struct sm_result result;
    sm_result_init(&result);
    cr_assert_eq(sm_run(&c, &result, &faults), SM_OK);
    const double margin = result.margin;
    sm_result_release(&result);
    return margin;
}

/* Each bound is solved again: just there the required margin is left. */
Test(joint, at_each_bound_the_required_margin_is_left)
{
    const struct sm_joint as_applied = drive.joint;
    run();
    cr_assert(study.max_thickness.given && study.min_coverage.given &&
              study.min_conductivity.given);
    drive.joint.thickness.value = study.max_thickness.value;
    NEAR(margin_now(), drive.test.required_margin, 1e-3);
    drive.joint = as_applied;
    drive.joint.coverage = study.min_coverage.value;
    NEAR(margin_now(), drive.test.required_margin, 1e-3);
    drive.joint = as_applied;
    drive.joint.conductivity.value = study.min_conductivity.value;
    NEAR(margin_now(), drive.test.required_margin, 1e-3);
}

Test(joint, every_cell_of_the_tables_is_what_a_run_gives)
{
    const struct sm_joint as_applied = drive.joint;
    run();
    for (size_t i = 0; i < 2 * SM_JOINT_THICKNESSES; i++) {
        drive.joint.conductivity.value = two[i / SM_JOINT_THICKNESSES].conductivity;
        drive.joint.thickness.value = study.thickness[i % SM_JOINT_THICKNESSES];
        cr_assert(!study.by_compound[i].runaway);
        NEAR(study.by_compound[i].margin, margin_now(), 1e-4);
    }
    drive.joint = as_applied;
    for (size_t i = 0; i < SM_JOINT_COVERAGES; i++) {
        drive.joint.coverage = study.coverage[i];
        NEAR(study.by_coverage[i].margin, margin_now(), 1e-4);
    }
}

/* 94 x 34 mm of 100 um: 0.3196 cm3; at 2300 kg/m3 0.7351 g (by hand). */
Test(joint, compound_for_one_base_by_hand)
{
    run();
    NEAR_REL(study.compound_volume.value, 0.3196e-6, 1e-12);
    NEAR_REL(study.compound_mass.value, 0.73508e-3, 1e-6);
}

/* Two M6 at 4 N.m: 2 * 4 / (0.2 * 0.006) N over 94 x 34 mm, 2.0859 MPa (by hand). */
Test(joint, pressure_of_the_screws_by_hand)
{
    run();
    cr_expect(study.pressure_of_screws);
    NEAR_REL(study.pressure.value, 2.08594e6, 1e-5);
    cr_expect(study.expected_thin.value < study.expected_thickness.value &&
              study.expected_thickness.value < study.expected_thick.value);
}

Test(joint, a_typed_pressure_wins_over_the_screws)
{
    drive.joint.pressure = (struct sm_optional){ .given = true, .value = 0.4e6 };
    run();
    cr_expect(!study.pressure_of_screws);
    NEAR(study.pressure.value, 0.4e6, 0.0);
}

Test(joint, outside_the_range_of_the_law_no_layer_is_foretold)
{
    drive.joint.pressure = (struct sm_optional){ .given = true, .value = 10.0 };
    run();
    cr_expect(study.pressure.given && !study.expected_thickness.given);
}

/* 94 x 34 mm over 50 um of air at 0.026 W/(m.K): 0.6017 K/W (by hand). */
Test(joint, bare_metal_needs_a_surface)
{
    run();
    cr_expect(!study.bare_rth.given);
    drive.joint.surface = (struct sm_surface){
        .given = true, .roughness = 2e-6, .slope = 0.11, .conductivity = 264.0, .hardness = 1.1e9
    };
    run();
    cr_assert(study.bare_rth.given);
    NEAR_REL(study.bare_rth.value * (study.bare_contact.value + study.bare_gap.value) * 0.094 *
                 0.034,
             1.0, 1e-12);
    NEAR_REL(study.gaping_rth.value, 50e-6 / 0.026 / (0.094 * 0.034), 1e-12);
}

Test(joint, a_resistance_as_printed_has_no_layer_to_judge)
{
    module.mounting.rth_cs_conductivity.given = false;
    module.mounting.rth_cs_thickness.given = false;
    run();
    cr_expect(!study.max_thickness.given && study.n_compounds == 0 && !study.by_compound);
}

Test(joint, a_module_that_stays_cool_has_a_limit_far_out)
{
    load(SM_EXAMPLES "/module-good.ini");
    drive.rating.output_current = 10.0;
    run();
    cr_expect(study.result.limits[SM_LIMIT_JOINT_THICKNESS].state == SM_LIMIT_KEPT &&
              !study.max_thickness.given);
}

/* A foil of 1 um: the thickest layer conducts less than dry air in its place would, so that any
 * coverage will do; and half covered, any compound will.  The engine says the same. */
Test(joint, where_air_alone_will_do_there_is_no_least_coverage_and_no_poorest_compound)
{
    load(SM_EXAMPLES "/module-good.ini");
    drive.joint.thickness = sm_given(1e-6);
    drive.joint.coverage = 0.5;
    run();
    cr_assert(study.max_thickness.given);
    cr_expect_not(study.min_coverage.given);
    cr_expect_not(study.min_conductivity.given);
    drive.joint.coverage = 1e-6;
    cr_expect_gt(margin_now(), drive.test.required_margin);
    drive.joint.coverage = 0.5;
    drive.joint.conductivity.value = 1e-6;
    cr_expect_gt(margin_now(), drive.test.required_margin);
}

/* A base of which the layer is not known: its area, and no amount of compound. */
Test(joint, a_base_without_a_layer_has_an_area_and_no_amount)
{
    module.mounting.rth_cs_conductivity.given = false;
    module.mounting.rth_cs_thickness.given = false;
    drive.joint.thickness.given = false;
    run();
    NEAR_REL(study.base_area.value, 0.094 * 0.034, 1e-12);
    cr_expect_not(study.compound_volume.given);
    cr_expect_not(study.compound_mass.given);
}

Test(joint, threads_are_read_as_printed)
{
    NEAR(thread_diameter("M6"), 6e-3, 1e-15);
    NEAR(thread_diameter("M2.5x20"), 2.5e-3, 1e-15);
    NEAR(thread_diameter("M10 x 1"), 10e-3, 1e-15);
    static const char *const none[] = { "",   "6",    "M",    "M6a", "1/4-20",
                                        "Mx", "M600", "M0.5", "M-6", "m6" };
    NEAR(thread_diameter(NULL), 0.0, 0.0);
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++)
        NEAR(thread_diameter(none[i]), 0.0, 0.0);
}
