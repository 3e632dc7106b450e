/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The load run once more, by a second calculation: chips, cases and sink as one network of heat
 * capacities and resistances, marched in time.  The readings of a load run (loadrun.h) let cases
 * and chips follow the sink at once and leave out their ripple; this tells how far that holds. */
#ifndef SWAPMARGIN_NETWORK_H
#define SWAPMARGIN_NETWORK_H

#include "swapmargin/case.h"
#include "swapmargin/error.h"
#include "swapmargin/loadrun.h"
#include "swapmargin/result.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* A chip's thermal impedance as a ladder from junction to case, per switch. */
enum { SM_LADDER_MOST = 12 };
struct sm_ladder {
    size_t n;
    double r[SM_LADDER_MOST]; /* K/W  from its capacity on */
    double c[SM_LADDER_MOST]; /* J/K  c[0] at the junction */
};

/* Times at which both calculations are looked at: the start, then twelve that double up to a
 * sixtieth of the run, then every sixtieth. */
enum { SM_MARKS = 72, SM_MARKS_DOUBLING = 12 };

/* What stands at a moment. */
struct sm_stand {
    double t_sink;                /* K */
    double t_case[SM_CHIP_COUNT]; /* K */
    double tvj_max;               /* K  the hottest junction's, over the output cycle */
};

struct sm_mark {
    double time;             /* s  since the start of the run */
    struct sm_stand network; /* all of it in time */
    struct sm_stand rules;   /* only the sink in time: what the readings are made of */
};

/* Where two curves are farthest apart. */
struct sm_gap {
    double value; /* K  network less rules */
    double time;  /* s */
};

/* One test frequency of the load run, or the overload there. */
struct sm_network_run {
    double output_hz; /* Hz */
    struct sm_mark mark[SM_MARKS];
    size_t n_marks;
    enum sm_untold_id untold; /* why the rest is not told; then the three below do not count */
    struct sm_gap sink;       /* over all marks */
    struct sm_gap tvj;        /* from a sixtieth of the run on: before, chips and cases lag */
    /* s  the first mark from which on the junctions are within SM_FOLLOWS of each other; not given
     * when they are not at the end */
    struct sm_optional follows;
};

#define SM_FOLLOWS 0.5 /* K */

/* A low output frequency in its steady state, inside the output cycle: case and sink ripple too. */
enum { SM_CYCLE_POINTS = 120, SM_CYCLES = 3 };
#define SM_CYCLES_HZ                                                                               \
    {                                                                                              \
        1.0, 2.0, 5.0                                                                              \
    }

struct sm_network_cycle {
    double output_hz; /* Hz */
    enum sm_untold_id untold;
    double time[SM_CYCLE_POINTS];                  /* s  since the phase current rose through 0 */
    double t_sink[SM_CYCLE_POINTS];                /* K */
    double t_case[SM_CHIP_COUNT][SM_CYCLE_POINTS]; /* K  under this switch's chips */
    double tvj[SM_CHIP_COUNT][SM_CYCLE_POINTS];    /* K  of the upper switch of this phase */
    double tvj_max[SM_CHIP_COUNT];                 /* K */
    double rules_tvj_max[SM_CHIP_COUNT];           /* K  case and sink without ripple */
    double sink_ripple;                            /* K  highest less lowest */
    double case_ripple[SM_CHIP_COUNT];             /* K */
};

struct sm_network {
    enum sm_untold_id untold;     /* why there is none; then nothing else counts */
    struct sm_told base_capacity; /* J/K  of a module's case, over what the ladders hold */
    double sink_capacity;         /* J/K */
    size_t places;                /* of the network with one switch for all */
    struct sm_ladder ladder[SM_CHIP_COUNT];
    struct sm_told case_over_sink; /* s  base_capacity times the joint: over a sink that is held */
    double sink_to_air;            /* s  the sink's capacity times its resistance to the air */
    /* s  the same of every other place, added up: what chips and cases delay.  The sum over all
     * places is that of the network's own time constants. */
    double rest_to_air;
    double slowest;              /* s  of the network's own time constants */
    struct sm_network_run *runs; /* owned; one a test frequency, one after the other */
    size_t n_runs;
    struct sm_network_run *overloads; /* owned; one a test frequency, from its settled state */
    size_t n_overloads;               /* 0 without overload_current */
    struct sm_network_cycle *cycles;  /* owned; SM_CYCLES of them */
    size_t n_cycles;
};

void sm_network_init(struct sm_network *network);
void sm_network_release(struct sm_network *network);

/* Given: c from sm_case_assemble(), result of sm_run() for it; network from sm_network_init(); it
 * is filled on SM_OK and left as after init otherwise.  Without sink_capacity there is no network:
 * network->untold says so.  Below 1 Hz the zero-speed hold is not in these temperatures.
 * Errors: SM_ERR_CONVERGE, SM_ERR_MEMORY; one fault is added.
 * Source: docs/method.md, section 17. */
enum sm_status sm_network(const struct sm_case *c, const struct sm_result *result,
                          struct sm_network *network, struct sm_faults *faults);

#ifdef __cplusplus
}
#endif

#endif
