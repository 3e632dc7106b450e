/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The zero-speed hold, leg by leg. */
#include "explain/builder.h"
#include "solve/stage.h"

/* One leg as it settled, and the sum over all. */
struct leg {
    double current;            /* A */
    const double *power, *tvj; /* W, K  [SM_CHIP_COUNT] */
};

static struct leg leg_of(const struct sm_hold *hold, bool other)
{
    if (other)
        return (struct leg){ 0.5 * hold->current, hold->other_power, hold->other_tvj };
    return (struct leg){ hold->current, hold->power, hold->tvj };
}

static double lead_heat(const struct builder *b, const struct leg *leg)
{
    return b->base.stage.lead_resistance * leg->current * leg->current;
}

static double leg_heat(const struct builder *b, const struct leg *leg)
{
    return leg->power[SM_IGBT] + leg->power[SM_DIODE] + lead_heat(b, leg);
}

static double bridge_heat(const struct builder *b, const struct sm_hold *hold)
{
    const struct leg hot = leg_of(hold, false), other = leg_of(hold, true);
    return leg_heat(b, &hot) + 2.0 * leg_heat(b, &other);
}

static enum formula case_formula(const struct builder *b)
{
    if (b->base.stage.path.form == SM_JOINT_PER_SWITCH)
        return FORMULA_HOLD_CASE_SWITCH;
    switch (b->base.stage.path.switches) {
    case 1:
        return FORMULA_HOLD_CASE_SINGLE;
    case 6:
        return FORMULA_HOLD_CASE_SIX;
    default:
        return FORMULA_HOLD_CASE_HALF;
    }
}

static void tell_chip_of(const struct ask *ask, const struct leg *leg)
{
    const struct device *device = &ask->b->base.stage.device[ask->w.chip];
    const double i = leg->current, t = leg->tvj[ask->w.chip];
    const struct sm_list *r = ask->b->base.stage.foster_r[ask->w.chip];
    switch ((int)ask->q) {
    case QUANTITY_HOLD_TVJ:
        say_value(ask, t, FORMULA_HOLD_TVJ);
        break;
    case QUANTITY_HOLD_VOLTAGE:
        say_value(ask, device_voltage(device, i, t), FORMULA_NODE_VOLTAGE);
        break;
    case QUANTITY_HOLD_E_ON:
    case QUANTITY_HOLD_E_OFF:
    case QUANTITY_HOLD_E_RR:
        say_value(ask, device_energy(device, ask->w.energy, i, t), FORMULA_ENERGY);
        break;
    case QUANTITY_HOLD_LOSS:
        say_value(ask, leg->power[ask->w.chip],
                  ask->w.chip == SM_IGBT ? FORMULA_HOLD_LOSS_IGBT : FORMULA_HOLD_LOSS_DIODE);
        break;
    case QUANTITY_HOLD_CASE:
        say_value(ask, t - foster_sum(r->v, r->n) * leg->power[ask->w.chip], case_formula(ask->b));
        break;
    default:
        break;
    }
}

void tell_hold(const struct ask *ask)
{
    const struct sm_hold *hold = &ask->w.variant->hold;
    const struct leg leg = leg_of(hold, ask->w.other_leg);
    if (ask->q == QUANTITY_HOLD_CURRENT) {
        say_value(ask, leg.current,
                  ask->w.other_leg ? FORMULA_HOLD_OTHER_CURRENT : FORMULA_HOLD_HOT_CURRENT);
        return;
    }
    if (hold->runaway) {
        say_null(ask, WHY_RUNAWAY);
        return;
    }
    switch ((int)ask->q) {
    case QUANTITY_HOLD_MARGIN:
        say_value(ask, hold->margin, FORMULA_HOLD_MARGIN);
        break;
    case QUANTITY_HOLD_SINK:
        say_value(ask, hold->t_sink, FORMULA_HOLD_SINK);
        break;
    case QUANTITY_HOLD_LEAD:
        say_value(ask, lead_heat(ask->b, &leg), FORMULA_HOLD_LEAD);
        break;
    case QUANTITY_HOLD_LEG:
        say_value(ask, leg_heat(ask->b, &leg), FORMULA_HOLD_LEG);
        break;
    case QUANTITY_HOLD_BRIDGE:
        say_value(ask, bridge_heat(ask->b, hold), FORMULA_HOLD_BRIDGE);
        break;
    default:
        tell_chip_of(ask, &leg);
        break;
    }
}
