/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/noise.h"

#include <criterion/criterion.h>
#include <gsl/gsl_randist.h>
#include <math.h>

gsl_rng *noise_seeded(unsigned long seed)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    cr_assert_not_null(rng);
    gsl_rng_set(rng, seed);
    return rng;
}

void noise_fill(gsl_rng *rng, double sigma, double rho, double *out, size_t n)
{
    for (size_t i = 0; i < n; i++)
        out[i] = i == 0 ? gsl_ran_gaussian(rng, sigma)
                        : rho * out[i - 1] + gsl_ran_gaussian(rng, sigma * sqrt(1.0 - rho * rho));
}

void noise_covers(const char *what, int covered, int runs, double low, double high)
{
    const double percent = 100.0 * covered / runs;
    cr_expect(percent >= low && percent <= high, "%s: %.1f %% covered, expected %.0f to %.0f %%",
              what, percent, low, high);
}
