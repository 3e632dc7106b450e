/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the drive asks of one module at one output frequency.
 *
 * Equations: docs/method.md, eq. 2.1 to 2.10. */
#ifndef SM_LOAD_OPERATING_POINT_H
#define SM_LOAD_OPERATING_POINT_H

#include "swapmargin/case.h"

#include <stdbool.h>

/* 1: a line 10 % above its rated voltage (common practice; the usual tolerance of a supply). */
#define HIGH_LINE 1.1

struct operating_point {
    double output_hz;    /* Hz   > 0 */
    double switching_hz; /* Hz */
    enum sm_modulation scheme;
    double v_dc;                 /* V */
    double v_requested;          /* V    line to line rms asked for */
    double v_out;                /* V    line to line rms reached */
    double modulation_requested; /* 1 */
    double m;                    /* 1    modulation index reached */
    double i_drive;              /* A    rms */
    double i_module;             /* A    rms per module */
    double i_peak;               /* A    of one module */
    double power_factor;         /* 1    -1 ... 1 */
    double phi;                  /* rad  0 ... pi, current lags voltage */
    bool fan_floor;              /* the fan load's current is the no-load current */
};

/* V: bus voltage under load: as given, or 3 sqrt2 / pi of a three-phase line, sqrt2 of a
 * single-phase one. */
double drive_bus_voltage(const struct sm_rating *rating);

/* V: highest continuous bus: the largest of the above, a line 10 % high at no load, and for a
 * regenerating load the overvoltage trip when no bus voltage is given. */
double drive_highest_bus(const struct sm_drive *drive);

/* True when the power factor is negative at any of its points. */
bool drive_regenerates(const struct sm_drive *drive);

/* Power factor at f: linear between its rows, constant beyond. */
double drive_power_factor(const struct sm_load *load, double output_hz);

/* Given: output_hz > 0; load, a share of output_current (the drive's test load as a rule). */
struct operating_point operating_point_at(const struct sm_drive *drive, double output_hz,
                                          double load);

/* The same with the drive's rms current given, whatever load and torque say. */
struct operating_point operating_point_with_current(const struct sm_drive *drive, double output_hz,
                                                    double i_drive);

#endif
