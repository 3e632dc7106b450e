/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One kind of chip (the IGBT or the diode of one switch) as its datasheet describes it: what it
 * drops and what a switching costs at a current and a junction temperature, already scaled to this
 * drive's bus voltage and gate resistors.  Knows nothing of duty, heat or files.
 *
 * Equations: docs/method.md, eq. 3.1 to 3.10. */
#ifndef SM_DEVICE_DEVICE_H
#define SM_DEVICE_DEVICE_H

#include "base/arena.h"
#include "device/curve.h"
#include "swapmargin/case.h"
#include "swapmargin/result.h"

#include <stddef.h>

/* What a family's rows give at one of the device's temperature knots:
 * low * row[k] + high * row[k + 1]; row k alone where it stands at the knot. */
struct blend {
    size_t row;
    bool between;
    double low, high;
};

/* A quantity over current at one or more junction temperatures, linear in temperature between the
 * two nearest rows and beyond the outermost. */
struct family {
    size_t n;
    const double *t;     /* K    rising strictly */
    struct curve *curve; /* one a temperature, all over the same currents */
    struct blend *blend; /* one a temperature knot of the device */
};

/* An energy: curves over current, or one point with an exponent; times factors fixed for a run. */
struct energy {
    bool present;
    struct family family; /* its blends carry the factors; no curves when single_point is true */
    bool single_point;
    double i_ref;                   /* A    of the single point */
    double current_exponent;        /* 1 */
    const double *e_ref;            /* J    one a temperature */
    double temperature_coefficient; /* 1/K  used when there is one temperature */
    double factor;                  /* 1    bus voltage and gate resistor */
};

enum energy_kind { ENERGY_FIRST, ENERGY_SECOND, ENERGY_COUNT }; /* E_on, E_off; diode: E_rr, none */

struct device {
    enum sm_chip_kind kind;
    struct family voltage;              /* V */
    struct energy energy[ENERGY_COUNT]; /* J */
    const double *t_knot; /* K  the loss is linear in temperature between these; n_knots >= 2 */
    size_t n_knots;
    const double *i_break; /* A  where a curve over current changes its polynomial, rising */
    size_t n_breaks;
    bool power_law; /* an energy goes with a power of the current: steep near 0 A */
};

/* What the drive makes of the module's energies. */
struct switching_use {
    double v_dc;                      /* V */
    struct sm_optional rg_on, rg_off; /* ohm */
};

/* Given: a module from the reader.  Returned: the chip's description; on lack of memory
 * arena->failed is set.  Valid: also beyond the tables, on straight
 * lines; which ones, see eq. 3.4 to 3.5. */
struct device device_build(struct arena *arena, const struct sm_module *module,
                           enum sm_chip_kind kind, const struct switching_use *use);

/* On-state voltage, V, at i >= 0 A and a junction temperature in K.  No row goes below 0; the line
 * through two of them may, outside their temperatures. */
double device_voltage(const struct device *device, double i, double t);

/* One energy, J, at i >= 0 A and a junction temperature in K. */
double device_energy(const struct device *device, enum energy_kind kind, double i, double t);

/* The same at n currents and every temperature knot: out[knot * n + j].  Between knots both are
 * linear. */
void device_voltage_at_knots(const struct device *device, const double *i, size_t n, double *out);
void device_energy_at_knots(const struct device *device, enum energy_kind kind, const double *i,
                            size_t n, double *out);

/* Factor of the gate resistor on an energy: E_rg(used)/E_rg(test) of a table over the resistor.
 * Given: a table of >= 2 points, r_used and r_test in ohm, >= 0.  Returned: 1 / on lack of memory.
 */
double gate_resistor_factor(struct arena *arena, const struct sm_list *rg,
                            const struct sm_list *e_rg, double r_used, double r_test);

#endif
