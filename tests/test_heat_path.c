/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/heat_path.h"

#include "support/fixture.h"
#include "support/near.h"

#include <criterion/criterion.h>

static double layer_rth(double t, double k, double area)
{
    return 1.0 / (layer_conductance(t, k, 1.0) * area);
}

/* Mitsubishi HCM-1002-H, target specification p. 4/7: 100 um of grease at 1 W/(m.K) give 6.0 K/kW;
 * the wetted area that follows, 0.01667 m2, must give the same back.  Rashid, Power Electronics,
 * 4th ed., Ex. 17.2 (public transcription): foil 0.3 mm, 1.1 W/(m.K), 1 cm2: 2.7 K/W. */
Test(heat_path, layers_equal_published_values)
{
    NEAR(layer_rth(100e-6, 1.0, 0.0166667), 6.0e-3, 1e-7);
    NEAR(layer_rth(0.3e-3, 1.1, 1e-4), 2.7, 0.05);
}

/* Still air: 0.026 W/(m.K) near 27 degC (Incropera et al., table A.4: 0.0263 at 300 K; value from
 * memory).  A layer that covers half conducts half as well, plus what the air adds. */
Test(heat_path, uncovered_share_conducts_as_air)
{
    NEAR_REL(layer_conductance(50e-6, 1.0, 0.5), (0.5 + 0.5 * 0.026) / 50e-6, 1e-12);
    NEAR_REL(layer_conductance(50e-6, 2.0, 1.0), 40000.0, 1e-12);
}

Test(heat_path, printed_joint_scales_with_its_reference_layer)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.joint.thickness.value = 160e-6; /* twice the reference */
    struct sm_joint_result joint = joint_of(&f.drive.joint, &f.module);
    NEAR_REL(joint.rth_module, 0.10, 1e-12);
    f.drive.joint.conductivity.value = 1.6; /* and twice as good */
    joint = joint_of(&f.drive.joint, &f.module);
    NEAR_REL(joint.rth_module, 0.05, 1e-12);
    cr_assert(joint.layer_used);
    f.module.mounting.rth_cs_conductivity.given = f.module.mounting.rth_cs_thickness.given = false;
    joint = joint_of(&f.drive.joint, &f.module);
    NEAR_REL(joint.rth_module, 0.05, 1e-12);
    cr_assert_not(joint.layer_used);
}

Test(heat_path, joint_from_the_base_area_and_per_switch)
{
    struct fixture f;
    fixture_make(&f);
    f.module.mounting =
        (struct sm_mounting){ .base_width = { true, 0.062 }, .base_length = { true, 0.106 } };
    struct sm_joint_result joint = joint_of(&f.drive.joint, &f.module);
    NEAR_REL(joint.rth_module, 80e-6 / (0.8 * 0.062 * 0.106), 1e-12);
    cr_assert(joint.layer_used);
    cr_assert_eq(joint.form, SM_JOINT_MODULE);
    f.module.igbt_thermal.rth_cs = (struct sm_optional){ true, 0.06 };
    f.module.diode_thermal.rth_cs = (struct sm_optional){ true, 0.11 };
    joint = joint_of(&f.drive.joint, &f.module);
    cr_assert_eq(joint.form, SM_JOINT_PER_SWITCH);
    NEAR_REL(joint.rth_switch[SM_DIODE], 0.11, 1e-12);
}

/* Each switch's printed joint by its own reference layer, where it has one: 80 um at 0.8 W/(m.K) is
 * applied, twice and four times the resistance of the reference layers here. */
Test(heat_path, printed_joints_per_switch_scale_each_with_its_own_reference)
{
    struct fixture f;
    fixture_make(&f);
    f.module.mounting.rth_cs.given = false;
    struct sm_chip_thermal *chip[] = { &f.module.igbt_thermal, &f.module.diode_thermal };
    for (int with = 0; with < 4; with++) {
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            const bool reference = (with >> k & 1) != 0;
            chip[k]->rth_cs = sm_given(0.06 + 0.05 * k);
            chip[k]->rth_cs_conductivity = (struct sm_optional){ reference, 1.6 };
            chip[k]->rth_cs_thickness = (struct sm_optional){ reference, k ? 40e-6 : 80e-6 };
        }
        const struct sm_joint_result joint = joint_of(&f.drive.joint, &f.module);
        cr_assert_eq(joint.form, SM_JOINT_PER_SWITCH);
        cr_expect_eq(joint.layer_used, with != 0);
        NEAR_REL(joint.rth_switch[SM_IGBT], with & 1 ? 0.12 : 0.06, 1e-12);
        NEAR_REL(joint.rth_switch[SM_DIODE], with & 2 ? 0.44 : 0.11, 1e-12);
    }
    /* one of the two printed is none: the base's area */
    chip[1]->rth_cs.given = false;
    f.module.mounting.base_width = sm_given(0.062);
    f.module.mounting.base_length = sm_given(0.106);
    const struct sm_joint_result joint = joint_of(&f.drive.joint, &f.module);
    cr_expect_eq(joint.form, SM_JOINT_MODULE);
    cr_expect(joint.layer_used);
    NEAR_REL(joint.rth_module, 80e-6 / (0.8 * 0.062 * 0.106), 1e-12);
}

/* US Standard Atmosphere 1976 (the same as ISO 2533 here), densities tabled over geometric
 * altitude. 5e-4: the formula takes the altitude as geopotential, which shifts density by up to
 * 0.04 % here. */
Test(heat_path, air_density_equals_the_standard_atmosphere)
{
    static const double rows[][2] = { { 0, 1.2250 },    { 500, 1.1673 },  { 1000, 1.1117 },
                                      { 1500, 1.0581 }, { 2000, 1.0066 }, { 2500, 0.9570 },
                                      { 3000, 0.9093 }, { 4000, 0.8193 }, { 5000, 0.7364 } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        NEAR_REL(standard_air_density(rows[i][0]), rows[i][1], 5e-4);
}

/* Hand: 0.8217 is the density ratio at 2000 m; forced air 0.8217^-0.8, natural 0.8217^-0.5. */
Test(heat_path, sink_resistance_rises_with_altitude)
{
    struct sm_cooling cooling = { .rth_sa = 0.1, .altitude = 2000.0, .air = SM_AIR_FORCED };
    NEAR(sink_resistance(&cooling), 0.1 * pow(0.8217, -0.8), 1e-5);
    cooling.air = SM_AIR_NATURAL;
    NEAR(sink_resistance(&cooling), 0.1 * pow(0.8217, -0.5), 1e-5);
    cooling.altitude = 0.0;
    NEAR(sink_resistance(&cooling), 0.1, 1e-15);
}

Test(heat_path, heat_adds_up)
{
    const struct heat_path path = {
        .other_heat = 200.0, .same_case_heat = 12.0, .modules = 3, .switches = 2
    };
    const double power[SM_CHIP_COUNT] = { 60.0, 20.0 };
    const double module = module_heat(&path, power, 1.5);
    NEAR(module, 2.0 * 81.5 + 12.0, 1e-12);
    NEAR(sink_heat(&path, module), 3.0 * 175.0 + 200.0, 1e-12);
}
