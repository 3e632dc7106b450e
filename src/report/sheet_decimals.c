/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sheet.h"

#include <math.h>
#include <string.h>

/* Of a number without a unit: its digits, decimals at most, and what part of it rounding leaves. */
#define DIGITS 3
#define MOST 4
#define ROUNDING 1e-6

/* Decimals that keep a column's largest number readable: watts, kelvins and volts of this trade are
 * told to a tenth; small numbers keep three digits. */
static int decimals_for(double largest)
{
    static const struct {
        double from;
        int decimals;
    } steps[] = { { 10000.0, 0 }, { 10.0, 1 }, { 1.0, 2 }, { 0.1, 3 }, { 0.01, 4 } };
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        if (largest >= steps[i].from) {
            return steps[i].decimals;
        }
    }
    return 5;
}

/* Decimals that show a number to its third digit, without zeros at the end. */
static int decimals_wanted(double number)
{
    int decimals = 0;
    if (isfinite(number) && fabs(number) > 0.0) {
        const double digit = pow(10.0, floor(log10(fabs(number))) - (DIGITS - 1));
        double shown = digit * nearbyint(number / digit);
        while (decimals < MOST && fabs(shown - nearbyint(shown)) > ROUNDING * fabs(shown)) {
            shown *= 10.0;
            decimals++;
        }
    }
    return decimals;
}

int sheet_decimals(const struct sheet_block *block, size_t column)
{
    const char *unit = block->columns[column].unit;
    if (strcmp(unit, "K") == 0 || strcmp(unit, "degC") == 0) {
        return 1;
    }
    double largest = 0.0;
    bool whole = true;
    int wanted = 0;
    for (size_t i = column; i < block->n_cells; i += block->n_columns) {
        const struct sheet_cell *cell = &block->cells[i];
        if (!cell->text) {
            const int own = decimals_wanted(cell->number);
            wanted = own > wanted ? own : wanted;
            largest = fmax(largest, fabs(cell->number));
            whole = whole && fabs(cell->number - nearbyint(cell->number)) < 1e-9;
        }
    }
    /* without a unit nobody knows what a tenth is worth: the smallest number keeps its digits */
    return unit[0] == '\0' ? wanted : whole ? 0 : decimals_for(largest);
}
