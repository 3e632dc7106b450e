/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/bus_reading.h"

#include "base/maths.h"
#include "load/rectifier.h"

static struct sm_told untold(enum sm_untold_id why)
{
    return (struct sm_told){ .untold = why };
}

static struct sm_told told(double value)
{
    return (struct sm_told){ .value = value };
}

static struct sm_told ripple_of(const struct rectifier *rectifier)
{
    const struct bus_shape bus = rectifier_bus(rectifier);
    return bus.collapses ? untold(SM_UNTOLD_COLLAPSES) : told(bus.ripple);
}

/* W: to the motor, and what the modules lose of it; others in their cases are no inverter's. */
static double power_of(const struct sm_drive *drive, const struct sm_point *point, int modules)
{
    const double motor = SQRT3 * point->v_out * point->i_drive * point->power_factor;
    return motor + modules * (point->module_heat - drive->cooling.same_case_heat);
}

static struct bus_reading all_untold(enum sm_untold_id why)
{
    return (struct bus_reading){ untold(why), untold(why), untold(why), untold(why) };
}

struct bus_reading bus_reading_of(const struct sm_drive *drive, const struct sm_point *point,
                                  int modules)
{
    const struct sm_rating *rating = &drive->rating;
    if (point->power_factor < 0.0)
        return all_untold(SM_UNTOLD_REGENERATES);
    if (point->runaway)
        return all_untold(SM_UNTOLD_RUNAWAY);
    const bool single = rating->line_phases == 1;
    struct rectifier bridge = { .line_voltage = rating->line_voltage,
                                .line_frequency = rating->line_frequency,
                                .pulses = single ? PULSES_ONE_LINE_VOLTAGE : PULSES_THREE_PHASE,
                                .power = power_of(drive, point, modules) };
    struct bus_reading out = { .power = told(bridge.power), .ripple_bound = ripple_of(&bridge) };
    bridge.capacitance = rating->bus_capacitance.value;
    out.ripple = out.ripple_lost = untold(SM_UNTOLD_NO_BUS_CAPACITANCE);
    if (rating->bus_capacitance.given)
        out.ripple = ripple_of(&bridge);
    bridge.pulses = PULSES_ONE_LINE_VOLTAGE;
    if (single)
        out.ripple_lost = untold(SM_UNTOLD_SINGLE_PHASE);
    else if (rating->bus_capacitance.given)
        out.ripple_lost = ripple_of(&bridge);
    return out;
}
