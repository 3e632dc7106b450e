/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What holds for the whole drive. */
#include "explain/builder.h"

static void tell_bus(const struct ask *ask)
{
    const struct sm_rating *rating = &ask->b->c->drive->rating;
    enum formula formula = FORMULA_BUS_THREE_PHASE;
    if (rating->dc_bus_voltage.given)
        formula = FORMULA_BUS_GIVEN;
    else if (rating->line_phases == 1)
        formula = FORMULA_BUS_SINGLE_PHASE;
    say_value(ask, drive_bus_voltage(rating), formula);
}

static void tell_air(const struct ask *ask)
{
    const bool forced = ask->b->c->drive->cooling.air == SM_AIR_FORCED;
    say_value(ask, forced ? DENSITY_EXPONENT_FORCED : DENSITY_EXPONENT_NATURAL,
              forced ? FORMULA_AIR_FORCED : FORMULA_AIR_NATURAL);
}

static void tell_margin(const struct ask *ask)
{
    if (ask->b->result->runaway)
        say_null(ask, WHY_RUNAWAY);
    else
        say_value(ask, ask->b->result->margin, FORMULA_MARGIN);
}

void tell_case(const struct ask *ask)
{
    const struct sm_drive *drive = ask->b->c->drive;
    const struct sm_result *result = ask->b->result;
    switch ((int)ask->q) {
    case QUANTITY_BUS:
        tell_bus(ask);
        break;
    case QUANTITY_AMBIENT:
        say_value(ask, drive->cooling.ambient, FORMULA_AS_AMBIENT);
        break;
    case QUANTITY_RTH_SA:
        say_value(ask, ask->w.variant->stage.path.rth_sa, FORMULA_RTH_SA);
        break;
    case QUANTITY_REQUIRED:
        say_value(ask, drive->test.required_margin, FORMULA_AS_REQUIRED);
        break;
    case QUANTITY_MODULES:
        say_value(ask, result->module_count, FORMULA_MODULES);
        break;
    case QUANTITY_TVJ_OP:
        say_value(ask, ask->b->c->module->tvj_op_max, FORMULA_AS_TVJ_OP);
        break;
    case QUANTITY_AIR_DENSITY:
        say_value(ask, standard_air_density(drive->cooling.altitude), FORMULA_AIR_DENSITY);
        break;
    case QUANTITY_AIR_EXPONENT:
        tell_air(ask);
        break;
    case QUANTITY_MARGIN:
        tell_margin(ask);
        break;
    default:
        break;
    }
}
