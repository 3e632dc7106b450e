/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Round numbers for the axis of a picture. */
#ifndef SWAPMARGIN_REPORT_TICKS_H
#define SWAPMARGIN_REPORT_TICKS_H

#include <stddef.h>

enum { TICKS_MOST = 24 };

struct ticks {
    double at[TICKS_MOST]; /* rising */
    size_t n;
    int decimals; /* that tell them apart; of a logarithmic axis what the smallest one needs */
};

/* The smallest of 1, 2, 5 times a power of ten that is not below x > 0. */
double ticks_round(double x);

/* Multiples of one round step within low ... high, at most `most` of them (2 ... TICKS_MOST).
 * Given: finite low < high. */
struct ticks ticks_even(double low, double high, size_t most);

/* Widens low ... high to multiples of the step that ticks_even() would take. */
void ticks_widen(double *low, double *high, size_t most);

/* 1, 2 and 5 times powers of ten within low ... high; powers of ten alone where those would be more
 * than `most`; every so many of them where that is still too much.  Given: 0 < low < high. */
struct ticks ticks_decades(double low, double high, size_t most);

#endif
