/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected words: worked out by hand from the rules in sweep_words.c. */
#include <criterion/criterion.h>

#include "report/sweep_words.h"

#include <string.h>

/* Two rows of carrier frequency, Hz, told in kHz, and a crossing between them. */
static void crossing_is(double from, double to, double at, const char *expected)
{
    struct sm_sweep_row rows[2] = { { .value = from }, { .value = to } };
    const struct sm_sweep sweep = { .plan = { .over = SM_SWEEP_SWITCHING_FREQUENCY },
                                    .rows = rows,
                                    .n_rows = 2 };
    struct sheet sheet;
    sheet_init(&sheet);
    const struct sm_sweep_crossing crossing = { 0, true, true, at };
    const char *words = sweep_crossing(&sheet, &sweep, &crossing, "it");
    cr_expect_not_null(strstr(words, expected), "'%s' is not in: %s", expected, words);
    sheet_release(&sheet);
}

Test(sweep_words, an_interpolated_value_has_no_more_digits_than_its_rows_allow)
{
    /* three hundredths of the gap: 0.77 of 25.6 kHz leaves tenths, 0.03 of 1 kHz hundredths,
     * 0.00006 of 2 Hz hundred-thousandths, 3 of 100 kHz none */
    crossing_is(100.0, 25700.0, 8312.3, "falls below it at about 8.3 kHz, interpolated");
    crossing_is(3000.0, 4000.0, 3141.59, "at about 3.14 kHz, interpolated");
    crossing_is(4000.0, 4002.0, 4001.23456, "at about 4.00123 kHz, interpolated");
    crossing_is(100e3, 200e3, 141421.0, "at about 141 kHz, interpolated");
}

Test(sweep_words, rows_have_the_fewest_decimals_that_tell_them_apart)
{
    crossing_is(1000.0, 2000.0, 1500.0, "between the rows at 1 kHz and 2 kHz");
    crossing_is(1500.0, 2000.0, 1750.0, "between the rows at 1.5 kHz and 2.0 kHz");
    /* a third of a kHz: 1.33 misses by 0.0033, below a hundredth of the 0.667 to the next row */
    crossing_is(4000.0 / 3.0, 2000.0, 1500.0, "between the rows at 1.33 kHz and 2.00 kHz");
}
