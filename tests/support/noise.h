/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Errors of made-up readings, the same for the same seed everywhere. */
#ifndef SM_TESTS_NOISE_H
#define SM_TESTS_NOISE_H

#include <gsl/gsl_rng.h>
#include <stddef.h>

/* A generator for one seed; gsl_rng_free(). */
gsl_rng *noise_seeded(unsigned long seed);

/* n errors of standard deviation sigma, each correlated with the one before by rho. */
void noise_fill(gsl_rng *rng, double sigma, double rho, double *out, size_t n);

/* How many of `runs` intervals covered the truth, in per cent; the test fails outside of low ...
 * high. */
void noise_covers(const char *what, int covered, int runs, double low, double high);

#endif
