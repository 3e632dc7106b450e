/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The heatsink from a log: R_sa, C_s and the temperature it starts with, for which
 *
 *   C_s dT_s/dt = heat(T_s) - (T_s - T_a) / R_sa
 *
 * driven by the logged heat and ambient, comes nearest to the logged sink temperature.  Knows
 * nothing of files, models or limits.
 *
 * Equations: docs/method.md, eq. 18.10 to 18.13. */
#ifndef SM_ASSESS_LOG_SINK_H
#define SM_ASSESS_LOG_SINK_H

#include "base/arena.h"
#include "swapmargin/error.h"
#include "swapmargin/log.h"

/* What drives the sink and what was read of it, in the order of time. */
struct sink_readings {
    size_t n;
    const double *time;    /* s */
    const double *heat;    /* W    into a sink of 0 K, on the straight line through ... */
    const double *slope;   /* W/K  ... the heat over the sink's temperature near what was read */
    const double *ambient; /* K */
    const double *t_sink;  /* K */
    bool *outlier;         /* filled */
    double expected;       /* K/W  what the heatsink should be */
};

struct sink_fit {
    bool settled;               /* the rest counts; too short a log has it all the same */
    bool too_few;               /* readings: not settled */
    bool too_short;             /* fewer than two time constants: not settled */
    struct sm_log_estimate rth; /* K/W */
    double capacity;            /* J/K */
    struct sm_optional
        capacity_error;   /* 1  standard error of its logarithm, where it can be told */
    double time_constant; /* s    R_sa C_s */
    double t_start;       /* K    at the first reading */
    double duration;      /* s    that was looked at */
    size_t used;          /* readings */
};

/* Returned: *out; readings->outlier marks what was set aside; its heat drives the sink all the
 * same.
 * Errors: SM_ERR_MEMORY. */
enum sm_status sink_fit(struct arena *arena, const struct sink_readings *readings,
                        struct sink_fit *out);

/* The sink's temperature at each reading's time, K; each step is exact for heat, slope and ambient
 * that stay at the mean of its two ends. */
void sink_follow(const struct sink_readings *readings, double rth, double capacity, double t_start,
                 double *t_sink);

#endif
