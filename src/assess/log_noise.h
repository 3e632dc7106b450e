/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How far an estimate may be off when its readings hang together.
 *
 * A log's readings are no independent draws: a gust over the sink or a slow sensor shows in many of
 * them, and the textbook's standard error is then too small.  The errors are taken to share less
 * and less with the time between two readings, as exp(-t / tau).  tau and their size are the ones
 * for which the residuals of such a fit would be as alike, from one to the next, and as large as
 * they were found.  Long logs are averaged first, so that what is slow shows and what is quick does
 * not hide it.
 *
 * Equations: docs/method.md, eq. 18.6 to 18.9. */
#ifndef SM_ASSESS_LOG_NOISE_H
#define SM_ASSESS_LOG_NOISE_H

#include "swapmargin/log.h"

#include <stddef.h>

enum { LOG_PARAMETERS = 3 }; /* at most */

/* 1: degrees of freedom that an interval needs (common practice). */
#define LOG_LEAST_FREEDOM 4.0

/* One number for each parameter. */
struct log_vector {
    double at[LOG_PARAMETERS];
};

/* An estimate that is a weighted sum of the readings, parameter a = sum over i of w[i].at[a] y[i].
 */
struct log_fit {
    size_t n;                   /* readings */
    size_t p;                   /* parameters, 1 ... LOG_PARAMETERS */
    const struct log_vector *x; /* how reading i follows parameter a */
    const struct log_vector *w; /* weight of reading i in the estimate of a */
    const double *residual;     /* of reading i, in its unit */
    const double *time;         /* s  never falls */
    double least;               /* in the residuals' unit: below it they are the display's */
    double claim;               /* in it too: below it they follow, though they hang together */
};

struct log_error {
    double std_error;   /* of the first parameter */
    double freedom;     /* 1  degrees of freedom behind it */
    double correlation; /* 1  of two readings (or averages) that follow each other */
};

/* Given: residuals of that estimate.  Without more readings than parameters freedom is 0.
 * Residuals within `least` hide what they have in common: an error of that size in all readings,
 * one for those that raise the estimate and one for those that lower it, is taken in its place.
 * So is an error of the size that they have, where they hang together too much to tell freedom, but
 * stay within `claim`: a line that misses by so little is followed, by as much as it misses.
 * Valid: errors whose correlation falls within a small part of the log; where it does not, freedom
 * is small, and the estimate should not be believed.
 * Source: G. V. Bayley, J. M. Hammersley, The "effective" number of independent observations in an
 * autocorrelated time series, 1946; F. E. Satterthwaite, An approximate distribution of estimates
 * of variance components, 1946 (both from memory, derived again). */
struct log_error log_error_of(const struct log_fit *fit);

/* What an estimate is made of. */
struct log_found {
    double value, std_error, freedom;
    double expected; /* what it should be, > 0 */
};

/* An estimate with its intervals, of which 95 % cover the truth: from the readings alone, and with
 * the model's own error, 5 %, added as squares.
 * Returned: false when it tells nothing: fewer than LOG_LEAST_FREEDOM, or an interval from the
 * readings alone that is wider than both the value and what is expected. */
bool log_estimate_make(const struct log_found *found, struct sm_log_estimate *out);

#endif
