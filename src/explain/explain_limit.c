/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Values that were searched for: how far each alone may go, and what takes the file's value when
 * the point there is looked at. */
#include "explain/builder.h"
#include "swapmargin/quantity.h"

static const char *no_limit(enum sm_limit_state state)
{
    switch (state) {
    case SM_LIMIT_KEPT:
        return "none within the range searched: the margin is kept all over it";
    case SM_LIMIT_SHORT:
        return "none within the range searched: the margin is short all over it";
    case SM_LIMIT_SHORT_ALREADY:
        return "none: the margin is short at the lowest test frequency, where the search begins";
    case SM_LIMIT_NO_LAYER:
        return "the layer's thickness does not enter: R_th(c-s) was used as printed";
    case SM_LIMIT_NO_RANGE:
        return "the lowest test frequency is at or below 1 Hz: there is nothing to search";
    case SM_LIMIT_NOT_COMPUTED:
    case SM_LIMIT_FOUND:
        break;
    }
    return "not computed";
}

static void tell_value(const struct ask *ask)
{
    const struct sm_limit *limit = &ask->b->result->limits[ask->w.k];
    if (limit->state != SM_LIMIT_FOUND)
        say_null(ask, no_limit(limit->state));
    else
        say_value(ask, limit->value,
                  limit->runaway_beyond ? FORMULA_LIMIT_EDGE : FORMULA_LIMIT_FOUND);
}

static void tell_hz(const struct ask *ask)
{
    const struct sm_limit *limit = &ask->b->result->limits[ask->w.k];
    if (limit->state != SM_LIMIT_FOUND)
        say_null(ask, no_limit(limit->state));
    else
        say_value(ask, limit->set_by_hz, FORMULA_LIMIT_HZ);
}

static void tell_allowed(const struct ask *ask)
{
    const struct sm_hold *hold = &ask->b->result->hold;
    if (hold->allowed_current.given)
        say_value(ask, hold->allowed_current.value, FORMULA_HOLD_ALLOWED);
    else
        say_null(ask, "no current within the range searched brings a chip to tvj_op_max");
}

/* SI, as the changed drive has it. */
static double changed_value(const struct variant *v)
{
    switch (v->changed) {
    case SM_DRIVE_LOAD:
        return v->drive.test.load;
    case SM_DRIVE_AMBIENT:
        return v->drive.cooling.ambient;
    case SM_DRIVE_SWITCHING_FREQUENCY:
        return v->drive.rating.switching_frequency;
    case SM_DRIVE_THICKNESS:
        return v->drive.joint.thickness.value;
    case SM_DRIVE_RTH_SA:
        return v->drive.cooling.rth_sa;
    default:
        return v->drive.rating.overload_time.value;
    }
}

static void tell_varied(const struct ask *ask)
{
    const struct variant *v = ask->w.variant;
    say_unit(ask, drive_key_unit((enum sm_drive_key)v->changed));
    say_meaning(ask, drive_key_meaning((enum sm_drive_key)v->changed));
    say_value(ask, changed_value(v), v->given);
}

void tell_limit(const struct ask *ask)
{
    switch ((int)ask->q) {
    case QUANTITY_LIMIT_VALUE:
        tell_value(ask);
        break;
    case QUANTITY_LIMIT_HZ:
        tell_hz(ask);
        break;
    case QUANTITY_HOLD_ALLOWED:
        tell_allowed(ask);
        break;
    default:
        tell_varied(ask);
        break;
    }
}
