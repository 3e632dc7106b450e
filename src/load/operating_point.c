/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/operating_point.h"

#include "base/maths.h"
#include "load/modulation.h"

#include <math.h>

/* 1: mean of a six-pulse rectified line over its rms line-to-line voltage. */
#define SIX_PULSE_MEAN (3.0 * SQRT2 / PI)

double drive_bus_voltage(const struct sm_rating *rating)
{
    if (rating->dc_bus_voltage.given)
        return rating->dc_bus_voltage.value;
    return (rating->line_phases == 1 ? SQRT2 : SIX_PULSE_MEAN) * rating->line_voltage;
}

bool drive_regenerates(const struct sm_drive *drive)
{
    for (size_t i = 0; i < drive->load.power_factor.n; i++)
        if (drive->load.power_factor.row[i].values.v[0] < 0.0)
            return true;
    return false;
}

double drive_highest_bus(const struct sm_drive *drive)
{
    const struct sm_rating *rating = &drive->rating;
    const double high = fmax(drive_bus_voltage(rating), SQRT2 * HIGH_LINE * rating->line_voltage);
    if (drive_regenerates(drive) && !rating->dc_bus_voltage.given && rating->overvoltage_trip.given)
        return fmax(high, rating->overvoltage_trip.value);
    return high;
}

double drive_power_factor(const struct sm_load *load, double output_hz)
{
    const struct sm_row *row = load->power_factor.row;
    const size_t n = load->power_factor.n;
    if (output_hz <= row[0].at)
        return row[0].values.v[0];
    for (size_t i = 1; i < n; i++)
        if (output_hz < row[i].at) {
            const double share = (output_hz - row[i - 1].at) / (row[i].at - row[i - 1].at);
            return row[i - 1].values.v[0] + share * (row[i].values.v[0] - row[i - 1].values.v[0]);
        }
    return row[n - 1].values.v[0];
}

static double speed_share(const struct sm_rating *rating, double output_hz)
{
    return fmin(output_hz / rating->base_frequency, 1.0);
}

struct operating_point operating_point_with_current(const struct sm_drive *drive, double output_hz,
                                                    double i_drive)
{
    const struct sm_rating *rating = &drive->rating;
    struct operating_point point = {
        .output_hz = output_hz,
        .switching_hz = rating->switching_frequency,
        .scheme = (enum sm_modulation)rating->modulation,
        .v_dc = drive_bus_voltage(rating),
        .v_requested = rating->output_voltage * speed_share(rating, output_hz),
        .i_drive = i_drive,
        .i_module = i_drive / rating->parallel,
        .power_factor = drive_power_factor(&drive->load, output_hz),
    };
    const double volts_per_m = SQRT3 * point.v_dc / (2.0 * SQRT2);
    point.modulation_requested = point.v_requested / volts_per_m;
    point.m = fmin(point.modulation_requested, modulation_limit(point.scheme));
    point.v_out = point.m * volts_per_m;
    point.i_peak = SQRT2 * point.i_module;
    point.phi = acos(point.power_factor);
    return point;
}

struct operating_point operating_point_at(const struct sm_drive *drive, double output_hz,
                                          double load)
{
    double i_drive = load * drive->rating.output_current;
    bool floored = false;
    if (drive->load.torque == SM_TORQUE_FAN) {
        const double share = speed_share(&drive->rating, output_hz);
        i_drive *= share * share;
        floored = i_drive < drive->load.no_load_current;
        if (floored)
            i_drive = drive->load.no_load_current;
    }
    struct operating_point point = operating_point_with_current(drive, output_hz, i_drive);
    point.fan_floor = floored;
    return point;
}
