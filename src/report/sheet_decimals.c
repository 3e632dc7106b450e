/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sheet.h"

#include <math.h>
#include <string.h>

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

int sheet_decimals(const struct sheet_block *block, size_t column)
{
    const char *unit = block->columns[column].unit;
    if (strcmp(unit, "K") == 0 || strcmp(unit, "degC") == 0) {
        return 1;
    }
    double largest = 0.0;
    bool whole = true;
    for (size_t i = column; i < block->n_cells; i += block->n_columns) {
        const struct sheet_cell *cell = &block->cells[i];
        if (!cell->text) {
            largest = fmax(largest, fabs(cell->number));
            whole = whole && fabs(cell->number - nearbyint(cell->number)) < 1e-9;
        }
    }
    return whole ? 0 : decimals_for(largest);
}
