/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Losses and temperatures of an operating point, means and extremes over the output cycle. */
#include "explain/builder.h"
#include "solve/test_point.h"

#include <math.h>

static void tell_losses(const struct ask *ask, const struct sm_chip_result *chip)
{
    const bool igbt = ask->w.chip == SM_IGBT;
    switch ((int)ask->q) {
    case QUANTITY_CONDUCTION:
        say_value(ask, chip->conduction, FORMULA_CONDUCTION);
        break;
    case QUANTITY_TURN_ON:
        say_value(ask, chip->turn_on, FORMULA_TURN_ON);
        break;
    case QUANTITY_TURN_OFF:
        say_value(ask, chip->turn_off, FORMULA_TURN_OFF);
        break;
    case QUANTITY_RECOVERY:
        say_value(ask, chip->recovery, FORMULA_RECOVERY);
        break;
    case QUANTITY_TOTAL:
        say_value(ask, chip->total, igbt ? FORMULA_TOTAL_IGBT : FORMULA_TOTAL_DIODE);
        break;
    case QUANTITY_RMS_CURRENT:
        say_value(ask, chip->i_rms, FORMULA_RMS_CURRENT);
        break;
    default:
        break;
    }
}

static void tell_temperatures(const struct ask *ask, const struct sm_chip_result *chip)
{
    const bool slow = ask->w.site->kind == SITE_TEST && ask->w.site->op.output_hz < SLOW_OUTPUT;
    switch ((int)ask->q) {
    case QUANTITY_TVJ_MEAN:
        say_value(ask, chip->tvj_mean, FORMULA_TVJ_MEAN);
        break;
    case QUANTITY_TVJ_MIN:
        say_value(ask, chip->tvj_min, FORMULA_TVJ_MIN);
        break;
    case QUANTITY_TVJ_MAX:
        say_value(ask, chip->tvj_max, slow ? FORMULA_TVJ_MAX_SLOW : FORMULA_TVJ_MAX);
        break;
    case QUANTITY_CHIP_MARGIN:
        say_value(ask, chip->margin, FORMULA_CHIP_MARGIN);
        break;
    case QUANTITY_CASE:
        say_value(ask, chip->t_case,
                  ask->b->base.joint.form == SM_JOINT_MODULE ? FORMULA_CASE_MODULE
                                                             : FORMULA_CASE_SWITCH);
        break;
    default:
        tell_losses(ask, chip);
        break;
    }
}

void tell_chip(const struct ask *ask)
{
    const struct sm_point *point = &ask->w.site->point;
    if (point->runaway) {
        say_null(ask, WHY_RUNAWAY);
        return;
    }
    switch ((int)ask->q) {
    case QUANTITY_LEAD:
        say_value(ask, point->lead, FORMULA_LEAD);
        break;
    case QUANTITY_MODULE_HEAT:
        say_value(ask, point->module_heat, FORMULA_MODULE_HEAT);
        break;
    case QUANTITY_SINK_HEAT:
        say_value(ask, point->sink_heat, FORMULA_SINK_HEAT);
        break;
    case QUANTITY_SINK:
        say_value(ask, point->t_sink, ask->w.site->marched ? FORMULA_SINK_MARCHED : FORMULA_SINK);
        break;
    case QUANTITY_DROP:
        say_value(ask,
                  fmax(point->chip[SM_IGBT].t_case, point->chip[SM_DIODE].t_case) - point->t_sink,
                  FORMULA_DROP);
        break;
    case QUANTITY_POINT_MARGIN:
        say_value(ask, point->margin, FORMULA_POINT_MARGIN);
        break;
    default:
        tell_temperatures(ask, &point->chip[ask->w.chip]);
        break;
    }
}
