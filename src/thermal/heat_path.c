/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/heat_path.h"

#include <math.h>

double layer_conductance(double thickness, double conductivity, double coverage)
{
    return (coverage * conductivity + (1.0 - coverage) * AIR_CONDUCTIVITY) / thickness;
}

/* The printed R_th(c-s), carried over from its reference layer to the one applied. */
static double rescaled(double rth_cs, const struct sm_optional *k_ref,
                       const struct sm_optional *t_ref, double h_joint)
{
    return rth_cs * (k_ref->value / t_ref->value) / h_joint;
}

struct sm_joint_result joint_of(const struct sm_joint *joint, const struct sm_module *module)
{
    const struct sm_mounting *m = &module->mounting;
    const struct sm_chip_thermal *chip[SM_CHIP_COUNT] = { &module->igbt_thermal,
                                                          &module->diode_thermal };
    const bool layer = joint->conductivity.given && joint->thickness.given;
    const double h = layer ? layer_conductance(joint->thickness.value, joint->conductivity.value,
                                               joint->coverage)
                           : 0.0;
    struct sm_joint_result result = { .thickness = joint->thickness,
                                      .conductivity = joint->conductivity,
                                      .coverage = joint->coverage };
    if (m->rth_cs.given) {
        result.layer_used = m->rth_cs_conductivity.given;
        result.rth_module = result.layer_used ? rescaled(m->rth_cs.value, &m->rth_cs_conductivity,
                                                         &m->rth_cs_thickness, h)
                                              : m->rth_cs.value;
        return result;
    }
    if (chip[SM_IGBT]->rth_cs.given && chip[SM_DIODE]->rth_cs.given) {
        result.form = SM_JOINT_PER_SWITCH;
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            const bool reference = chip[k]->rth_cs_conductivity.given;
            result.layer_used = result.layer_used || reference;
            result.rth_switch[k] =
                reference ? rescaled(chip[k]->rth_cs.value, &chip[k]->rth_cs_conductivity,
                                     &chip[k]->rth_cs_thickness, h)
                          : chip[k]->rth_cs.value;
        }
        return result;
    }
    result.layer_used = true;
    result.rth_module = 1.0 / (h * m->base_width.value * m->base_length.value);
    return result;
}

double standard_air_density(double h)
{
    return ISA_RHO0 * pow(1.0 - ISA_LAPSE * h / ISA_T0, ISA_EXPONENT);
}

double sink_resistance(const struct sm_cooling *cooling)
{
    const double exponent =
        cooling->air == SM_AIR_FORCED ? DENSITY_EXPONENT_FORCED : DENSITY_EXPONENT_NATURAL;
    const double thinner = standard_air_density(0.0) / standard_air_density(cooling->altitude);
    return cooling->rth_sa * pow(thinner, exponent);
}

double module_heat(const struct heat_path *path, const double power[SM_CHIP_COUNT], double lead)
{
    return path->switches * (power[SM_IGBT] + power[SM_DIODE] + lead) + path->same_case_heat;
}

double sink_heat(const struct heat_path *path, double module_w)
{
    return path->modules * module_w + path->other_heat;
}
