/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/thermistor.h"

#include "support/near.h"

#include <criterion/criterion.h>

#define ZERO 273.15 /* K */

static struct sm_thermistor of(double r25, double b25_50, double b25_80, double b25_100)
{
    return (struct sm_thermistor){ .r25 = sm_given(r25),
                                   .b25_50 = { b25_50 > 0.0, b25_50 },
                                   .b25_80 = { b25_80 > 0.0, b25_80 },
                                   .b25_100 = { b25_100 > 0.0, b25_100 } };
}

static double celsius(const struct sm_thermistor *thermistor, double ohm)
{
    double t = 0.0;
    cr_assert(thermistor_temperature(thermistor, ohm, &t), "%g", ohm);
    return t - ZERO;
}

/* Resistances worked out from R = R25 exp(B (1/T - 1/298.15 K)) by hand (derived): 0.01 K for their
 * five digits.  B of a module's thermistor: value from memory. */
Test(thermistor, resistance_and_temperature_go_by_the_definition_of_b)
{
    static const double table[][2] = { { 0, 14090 },  { 25, 5000 },   { 50, 2082.8 },
                                       { 80, 857.7 }, { 100, 513.9 }, { 125, 291.2 },
                                       { 150, 176.5 } };
    const struct sm_thermistor b50 = of(5000, 3375, 0, 0), b80 = of(5000, 0, 3411, 0),
                               b100 = of(5000, 0, 0, 3433);
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        NEAR(celsius(&b50, table[i][1]), table[i][0], 0.02);
        NEAR_REL(thermistor_resistance(&b50, table[i][0] + ZERO), table[i][1], 1e-3);
    }
    NEAR(celsius(&b80, 841.7), 80.0, 0.01);
    NEAR(celsius(&b100, 494.2), 100.0, 0.01);
}

/* 1/T = A + B ln(R/R25) + C ln^2 + D ln^3 of a 10 kohm part with B25/85 = 3977 K, Vishay
 * NTCLE100E3: coefficients read in a public program; the maker's forward set, from memory, agrees
 * to 0.02 K.  One B value is exact where it was told, at 25 and 85 degC; in between it strays by
 * 0.6 K, at 0 and 125 degC by up to 1.5 K. */
Test(thermistor, one_b_value_strays_from_a_real_part_by_little_within_its_range)
{
    static const double a = 3.354016e-3, b = 2.569850e-4, c = 2.620131e-6, d = 6.383091e-8;
    static const struct {
        double ohm, tolerance;
    } rows[] = { { 32554.8, 1.2 }, { 10000, 0.01 },  { 3605.3, 0.6 },
                 { 1480.9, 0.6 },  { 1070.3, 0.05 }, { 338.7, 1.5 } };
    const struct sm_thermistor part = of(10000, 0, 3977, 0);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const double x = log(rows[i].ohm / 10000.0);
        const double real = 1.0 / (a + x * (b + x * (c + x * d))) - ZERO;
        NEAR(celsius(&part, rows[i].ohm), real, rows[i].tolerance);
    }
}

Test(thermistor, what_no_module_can_read_is_no_temperature)
{
    const struct sm_thermistor part = of(5000, 3375, 0, 0);
    double t = 1.0;
    cr_expect_not(thermistor_temperature(&part, 1.0, &t));
    cr_expect_not(thermistor_temperature(&part, 1e7, &t));
    NEAR(t, 1.0, 0.0);
    /* a B so small that the temperature would be below 0 K */
    const struct sm_thermistor odd = of(1e6, 100, 0, 0);
    cr_expect_not(thermistor_temperature(&odd, 1.0, &t));
}

Test(thermistor, is_known_with_r25_and_any_b)
{
    const struct sm_thermistor none = of(5000, 0, 0, 0), any = of(5000, 0, 0, 3433);
    struct sm_thermistor no_r = any;
    no_r.r25.given = false;
    cr_expect_not(thermistor_is_known(&none));
    cr_expect_not(thermistor_is_known(&no_r));
    cr_expect(thermistor_is_known(&any));
}
