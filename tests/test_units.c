/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "quantity/units.h"

#include "support/near.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

Test(units, every_row_goes_there_and_back)
{
    for (size_t i = 0; i < unit_count(); i++) {
        const struct unit *unit = unit_at(i);
        if (unit->foreign)
            continue;
        char text[80];
        double si = 0.0, back = 0.0;
        (void)snprintf(text, sizeof text, "12.5 %s", unit->symbol);
        cr_assert_eq(sm_quantity_parse(text, unit->dimension, NULL, &si, NULL), SM_OK, "%s", text);
        NEAR_REL(si, 12.5 * unit->factor + unit->offset, 1e-15);
        cr_assert(sm_quantity_to_unit(si, unit->symbol, &back), "%s", unit->symbol);
        /* 273.15 and 459.67 leave rounding of their own size */
        NEAR(back, 12.5, unit->offset > 0.0 ? 1e-12 : 1e-14);
    }
}

/* Factors against their definitions: SI Brochure, 9th ed. (2019), prefixes, minute, hour, day; NIST
 * SP 811 (2008), appendix B, for inch, pound-force inch and psi (value from memory). */
Test(units, factors_are_those_of_the_standards)
{
    static const struct {
        const char *text;
        enum sm_dimension dimension;
        double si;
    } rows[] = {
        { "1 kV", SM_DIM_VOLTAGE, 1e3 },
        { "1 mohm", SM_DIM_RESISTANCE, 1e-3 },
        { "1 nH", SM_DIM_INDUCTANCE, 1e-9 },
        { "1 uC", SM_DIM_CHARGE, 1e-6 },
        { "1 min", SM_DIM_TIME, 60.0 },
        { "1 h", SM_DIM_TIME, 3600.0 },
        { "1 d", SM_DIM_TIME, 86400.0 },
        { "1 wk", SM_DIM_TIME, 604800.0 },
        { "1 in", SM_DIM_LENGTH, 0.0254 },
        { "1 mil", SM_DIM_LENGTH, 2.54e-5 },
        { "1 lbf.in", SM_DIM_TORQUE, 0.112985 },
        { "1 in-lb", SM_DIM_TORQUE, 0.112985 },
        { "1 psi", SM_DIM_PRESSURE, 6894.757 },
        { "1 bar", SM_DIM_PRESSURE, 1e5 },
        { "1 K/kW", SM_DIM_RTH, 1e-3 },
        { "1 g/cm3", SM_DIM_DENSITY, 1e3 },
        { "0.3 %/K", SM_DIM_PER_KELVIN, 0.003 },
        { "32 degF", SM_DIM_TEMPERATURE, 273.15 },
        { "212 degF", SM_DIM_TEMPERATURE, 373.15 },
        { "-40 degF", SM_DIM_TEMPERATURE, 233.15 },
        { "25 C", SM_DIM_TEMPERATURE, 298.15 },
        { "300 K", SM_DIM_TEMPERATURE, 300.0 },
        { "15 K", SM_DIM_DIFFERENCE, 15.0 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double si = 0.0;
        cr_assert_eq(sm_quantity_parse(rows[i].text, rows[i].dimension, NULL, &si, NULL), SM_OK,
                     "%s", rows[i].text);
        NEAR_REL(si, rows[i].si, 5e-6); /* six digits printed, the first may be a 1 */
    }
}

Test(units, no_symbol_stands_twice_for_one_dimension)
{
    for (size_t i = 0; i < unit_count(); i++) {
        for (size_t k = 0; k < i; k++)
            cr_assert_not(strcmp(unit_at(i)->symbol, unit_at(k)->symbol) == 0 &&
                              unit_at(i)->dimension == unit_at(k)->dimension,
                          "%s", unit_at(i)->symbol);
    }
}

static bool known(const char *symbol)
{
    for (size_t i = 0; i < unit_count(); i++) {
        if (strcmp(unit_at(i)->symbol, symbol) == 0)
            return true;
    }
    return false;
}

/* Else a milli would be taken for a mega, or the reverse, by the leniency about letter case. */
Test(units, milli_and_mega_stand_together)
{
    for (size_t i = 0; i < unit_count(); i++) {
        char other[40];
        (void)snprintf(other, sizeof other, "%s", unit_at(i)->symbol);
        /* "min" is a minute, no thousandth of an inch */
        if (!strchr("mM", other[0]) || !known(other + 1) || strcmp(other, "min") == 0)
            continue;
        other[0] = other[0] == 'm' ? 'M' : 'm';
        cr_assert(known(other), "%s is there, %s is not", unit_at(i)->symbol, other);
    }
}

Test(units, another_letter_case_counts_only_where_nothing_else_can_be_meant)
{
    static const struct {
        const char *symbol;
        enum sm_dimension dimension;
        enum unit_match match;
    } rows[] = {
        { "khz", SM_DIM_FREQUENCY, UNIT_FOUND },
        { "KHZ", SM_DIM_FREQUENCY, UNIT_FOUND },
        { "Ohm", SM_DIM_RESISTANCE, UNIT_FOUND },
        { "OHM", SM_DIM_RESISTANCE, UNIT_FOUND },
        { "mOhm", SM_DIM_RESISTANCE, UNIT_FOUND },
        { "MOHM", SM_DIM_RESISTANCE, UNIT_AMBIGUOUS },
        { "k/w", SM_DIM_RTH, UNIT_FOUND },
        { "DEGC", SM_DIM_TEMPERATURE, UNIT_FOUND },
        { "MHZ", SM_DIM_FREQUENCY, UNIT_AMBIGUOUS },
        { "mHz", SM_DIM_FREQUENCY, UNIT_OTHER },
        { "mv", SM_DIM_VOLTAGE, UNIT_AMBIGUOUS },
        { "MV", SM_DIM_VOLTAGE, UNIT_OTHER },
        { "US", SM_DIM_TIME, UNIT_AMBIGUOUS },
        { "S", SM_DIM_TIME, UNIT_OTHER },
        { "nm", SM_DIM_TORQUE, UNIT_OTHER },
        { "Nm", SM_DIM_TORQUE, UNIT_FOUND },
        { "Nm", SM_DIM_LENGTH, UNIT_OTHER },
        { "k", SM_DIM_DIFFERENCE, UNIT_OTHER },
        { "MJ", SM_DIM_ENERGY, UNIT_OTHER },
        { "xyz", SM_DIM_ENERGY, UNIT_UNKNOWN },
        { "MPA", SM_DIM_PRESSURE, UNIT_AMBIGUOUS },
        { "Min", SM_DIM_TIME, UNIT_FOUND },
        { "w/(M.k)", SM_DIM_CONDUCTIVITY, UNIT_FOUND },
        { "", SM_DIM_VOLTAGE, UNIT_UNKNOWN },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct unit *unit = NULL;
        cr_assert_eq(unit_find(rows[i].symbol, rows[i].dimension, &unit), rows[i].match, "%s",
                     rows[i].symbol);
        if (rows[i].match == UNIT_FOUND)
            cr_assert_eq(unit->dimension, rows[i].dimension, "%s", rows[i].symbol);
    }
}

Test(units, folds_the_signs_of_datasheets)
{
    static const struct {
        const char *text, *folded;
    } rows[] = {
        { "\xC2\xB5s", "us" },
        { "\xCE\xBCs", "us" },
        { "m\xCE\xA9", "mohm" },
        { "m\xE2\x84\xA6", "mohm" },
        { "\xC2\xB0"
          "C",
          "degC" },
        { "\xE2\x84\x83", "degC" },
        { "W/(m\xC2\xB7K)", "W/(m.K)" },
        { "5\xC2\xA0V", "5 V" },
        { "\xE2\x88\x92"
          "10",
          "-10" },
        { "cm\xC2\xB2", "cm2" },
        { "kg/m\xC2\xB3", "kg/m3" },
        { "5\tV", "5 V" },
    };
    char folded[32];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cr_assert(unit_fold(rows[i].text, folded, sizeof folded));
        cr_assert_str_eq(folded, rows[i].folded);
    }
    cr_assert_not(unit_fold("123456", folded, 6));
    cr_assert(unit_fold("123456", folded, 7));
}

Test(units, every_dimension_has_a_name_and_units)
{
    for (int d = 0; d < SM_DIM_COUNT; d++) {
        struct sm_text text;
        sm_text_init(&text);
        units_list((enum sm_dimension)d, &text);
        cr_assert_eq(text.length > 0, d != SM_DIM_PLAIN, "%d", d); /* which has none */
        cr_assert(dimension_name((enum sm_dimension)d));
        sm_text_release(&text);
    }
}
