/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The joint between case and sink. */
#include "explain/builder.h"

#define WHY_PER_SWITCH                                                                             \
    "the joint is given per switch: ask for joint.rth_igbt_k_per_w and joint.rth_diode_k_per_w"
#define WHY_PER_MODULE "the joint is given per module: ask for joint.rth_k_per_w"
#define WHY_NO_LAYER "the files give no layer, and nothing asks for one"

static void tell_module_joint(const struct ask *ask)
{
    const struct sm_joint_result *joint = &ask->w.variant->joint;
    const struct sm_mounting *mounting = &ask->b->c->module->mounting;
    enum formula formula = FORMULA_JOINT_BASE;
    if (mounting->rth_cs.given)
        formula = joint->layer_used ? FORMULA_JOINT_RESCALED : FORMULA_JOINT_PRINTED;
    if (joint->form == SM_JOINT_MODULE)
        say_value(ask, joint->rth_module, formula);
    else
        say_null(ask, WHY_PER_SWITCH);
}

static void tell_chip_joint(const struct ask *ask)
{
    const struct sm_joint_result *joint = &ask->w.variant->joint;
    const struct sm_module *module = ask->b->c->module;
    const struct sm_chip_thermal *thermal =
        ask->w.chip == SM_IGBT ? &module->igbt_thermal : &module->diode_thermal;
    if (joint->form == SM_JOINT_PER_SWITCH)
        say_value(ask, joint->rth_switch[ask->w.chip],
                  thermal->rth_cs_conductivity.given ? FORMULA_SWITCH_RESCALED
                                                     : FORMULA_SWITCH_PRINTED);
    else
        say_null(ask, WHY_PER_MODULE);
}

static void tell_layer(const struct ask *ask)
{
    const struct sm_joint *joint = &ask->w.variant->c.drive->joint;
    if (joint->thickness.given && joint->conductivity.given)
        say_value(
            ask,
            layer_conductance(joint->thickness.value, joint->conductivity.value, joint->coverage),
            FORMULA_LAYER);
    else
        say_null(ask, WHY_NO_LAYER);
}

static void tell_optional(const struct ask *ask, const struct sm_optional *value,
                          enum formula formula)
{
    if (value->given)
        say_value(ask, value->value, formula);
    else
        say_null(ask, WHY_NO_LAYER);
}

void tell_joint(const struct ask *ask)
{
    const struct sm_joint_result *joint = &ask->w.variant->joint;
    switch ((int)ask->q) {
    case QUANTITY_JOINT:
        tell_module_joint(ask);
        break;
    case QUANTITY_JOINT_CHIP:
        tell_chip_joint(ask);
        break;
    case QUANTITY_THICKNESS:
        tell_optional(ask, &joint->thickness, FORMULA_THICKNESS_UM);
        break;
    case QUANTITY_CONDUCTIVITY:
        tell_optional(ask, &joint->conductivity, FORMULA_AS_CONDUCTIVITY);
        break;
    case QUANTITY_COVERAGE:
        say_value(ask, joint->coverage, FORMULA_AS_COVERAGE);
        break;
    case QUANTITY_LAYER:
        tell_layer(ask);
        break;
    default:
        break;
    }
}
