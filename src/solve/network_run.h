/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One run of the load machine, or one overload, by both calculations at once: the whole network in
 * time, and the sink in time with all else settled over it. */
#ifndef SM_SOLVE_NETWORK_RUN_H
#define SM_SOLVE_NETWORK_RUN_H

#include "solve/mean_network.h"

struct network_run {
    const struct stage *stage;
    struct operating_point point;
    double sink_capacity; /* J/K */
    double duration;      /* s */
};

/* Given: the network as it stands at the start, *t_sink of the rules then, K; scratch is cleared.
 * Returned: *out; network and *t_sink as they stand at the end.  Runaway is a result.
 * Errors: SM_ERR_MEMORY. */
enum sm_status network_run_solve(struct arena *scratch, const struct network_run *run,
                                 struct mean_network *network, double *t_sink,
                                 struct sm_network_run *out);

#endif
