/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The joint from a log: case over sink = R_joint P_mod + offset.
 *
 * The offset is what the two sensors differ by when no heat flows.  Knows nothing of files, models
 * or limits.
 *
 * Equations: docs/method.md, eq. 18.2 to 18.5. */
#ifndef SM_ASSESS_LOG_JOINT_H
#define SM_ASSESS_LOG_JOINT_H

#include "base/arena.h"
#include "swapmargin/error.h"
#include "swapmargin/log.h"

/* Readings with both temperatures, in the order of time. */
struct joint_readings {
    size_t n;
    const double *time;  /* s */
    const double *power; /* W  of one module; 0 in a cold reading */
    const double *rise;  /* K  case over sink */
    const bool *cold;    /* no load: the offset's reading */
    bool *outlier;       /* filled */
    double expected;     /* K/W  what the joint should be */
};

struct joint_fit {
    bool
        settled; /* false: too few readings, or they tell too little: hanging together, scattered */
    bool too_few;
    struct sm_log_estimate rth; /* K/W  per module; of the whole log where it changes */
    struct sm_optional drift;   /* 1  change from begin to end over the value, if it is told */
    enum sm_log_offset offset_from;
    double offset;       /* K */
    double least;        /* K  spread that readings have at least */
    size_t loaded, cold; /* readings used */
};

/* Given: loaded readings have power > 0.
 * Returned: *out; readings->outlier marks what was set aside.
 * Errors: SM_ERR_MEMORY. */
enum sm_status joint_fit(struct arena *arena, const struct joint_readings *readings,
                         struct joint_fit *out);

#endif
