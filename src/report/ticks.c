/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/ticks.h"

#include <math.h>

/* 1: share of a step by which rounding may miss a multiple of it. */
#define SLACK 1e-9

double ticks_round(double x)
{
    const double power = pow(10.0, floor(log10(x)));
    const double lead = x / power * (1.0 - SLACK);
    return power * (lead <= 1.0 ? 1.0 : lead <= 2.0 ? 2.0 : lead <= 5.0 ? 5.0 : 10.0);
}

static int decimals_of(double step)
{
    const double digits = ceil(-log10(step) - SLACK);
    return digits > 0.0 ? (int)digits : 0;
}

static size_t count_within(double low, double high, double step)
{
    return (size_t)(floor(high / step + SLACK) - ceil(low / step - SLACK) + 1.0);
}

static double step_of(double low, double high, size_t most)
{
    double step = ticks_round((high - low) / (double)most);
    while (count_within(low, high, step) > most) {
        step = ticks_round(1.5 * step);
    }
    return step;
}

struct ticks ticks_even(double low, double high, size_t most)
{
    const double step = step_of(low, high, most < TICKS_MOST ? most : TICKS_MOST);
    struct ticks ticks = { .n = 0, .decimals = decimals_of(step) };
    for (double k = ceil(low / step - SLACK); k * step <= high + SLACK * step; k += 1.0) {
        ticks.at[ticks.n++] = k * step + 0.0; /* never a negative zero */
    }
    return ticks;
}

void ticks_widen(double *low, double *high, size_t most)
{
    const double step = step_of(*low, *high, most);
    *low = step * floor(*low / step + SLACK);
    *high = step * ceil(*high / step - SLACK);
}

/* Those of the leads times each power of ten, every `stride` powers, that lie within. */
static struct ticks leads_within(double low, double high, size_t leads, int stride)
{
    static const double lead[] = { 1.0, 2.0, 5.0 };
    struct ticks ticks = { .n = 0 };
    const int first = stride * (int)floor(floor(log10(low)) / stride);
    for (int power = first; pow(10.0, power) <= high * (1.0 + SLACK); power += stride) {
        for (size_t i = 0; i < leads && ticks.n < TICKS_MOST; i++) {
            const double at = lead[i] * pow(10.0, power);
            if (at >= low * (1.0 - SLACK) && at <= high * (1.0 + SLACK)) {
                ticks.at[ticks.n++] = at;
            }
        }
    }
    ticks.decimals = ticks.n > 0 ? decimals_of(ticks.at[0]) : 0;
    return ticks;
}

struct ticks ticks_decades(double low, double high, size_t most)
{
    struct ticks ticks = leads_within(low, high, 3, 1);
    for (int stride = 1; ticks.n > most; stride++) {
        ticks = leads_within(low, high, 1, stride);
    }
    return ticks;
}
