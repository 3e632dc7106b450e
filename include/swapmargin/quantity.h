/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Quantities as people write them: strict numbers with units, in and out.
 *
 * Inside the library every double is SI (A, V, W, J, s, m, Hz, K/W); an absolute temperature is in
 * kelvin.  Conversion happens here and nowhere else. */
#ifndef SWAPMARGIN_QUANTITY_H
#define SWAPMARGIN_QUANTITY_H

#include "swapmargin/error.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum sm_dimension {
    SM_DIM_NONE, /* a pure number, as such or in % */
    SM_DIM_CURRENT,
    SM_DIM_VOLTAGE,
    SM_DIM_POWER,
    SM_DIM_FREQUENCY,
    SM_DIM_TIME,
    SM_DIM_RESISTANCE,
    SM_DIM_INDUCTANCE,
    SM_DIM_CAPACITANCE,
    SM_DIM_CHARGE,
    SM_DIM_ENERGY,
    SM_DIM_RTH,          /* thermal resistance, K/W */
    SM_DIM_CONDUCTIVITY, /* thermal conductivity, W/(m.K) */
    SM_DIM_LENGTH,
    SM_DIM_AREA,
    SM_DIM_TORQUE,
    SM_DIM_PRESSURE,
    SM_DIM_HEAT_CAPACITY, /* J/K */
    SM_DIM_PER_KELVIN,    /* 1/K */
    SM_DIM_TEMPERATURE,   /* absolute, K inside */
    SM_DIM_DIFFERENCE,    /* a temperature difference, K */
    SM_DIM_DENSITY,       /* kg/m3 */
    SM_DIM_PLAIN,         /* a pure number, not in % */
    SM_DIM_COUNT
};

/* A list of SI values.  Owned by the struct it stands in. */
struct sm_list {
    double *v;
    size_t n;
};

/* Reads "0.085 K/W", "25 degC", "85 %" or a list "10 20 50 A" (numbers parted by blanks, or by a
 * comma and a blank; one unit after the last).
 * Given: text (UTF-8), dimension, place (for the fault).
 * Returned: out->v holds n >= 1 SI values, owned by the caller (free(out->v)); untouched on error.
 * Errors: SM_ERR_VALUE (no number, not finite, comma between digits, missing, unknown or wrong
 * unit), SM_ERR_MEMORY; each adds one fault at `place`. */
enum sm_status sm_quantity_parse_list(const char *text, enum sm_dimension dimension,
                                      const struct sm_place *place, struct sm_list *out,
                                      struct sm_faults *faults);

/* The same for exactly one value. */
enum sm_status sm_quantity_parse(const char *text, enum sm_dimension dimension,
                                 const struct sm_place *place, double *out,
                                 struct sm_faults *faults);

/* SI value -> number in `unit` (a symbol of the unit table, e.g. "degC", "mohm", "um", "%").
 * Returned: false when the unit is unknown; then *out is untouched. */
bool sm_quantity_to_unit(double si, const char *unit, double *out);

/* Writes a number with n significant digits, without an exponent where that stays readable, "."
 * as the decimal point whatever the locale.  Given: 1 <= digits <= 17, size >= 32. */
void sm_number_format(char *buffer, size_t size, double number, int digits);

#ifdef __cplusplus
}
#endif

#endif
