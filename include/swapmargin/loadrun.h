/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The load run: what a technician should read beside the drive, minute by minute, while it runs at
 * one test frequency after the other, and the readings at which to stop. */
#ifndef SWAPMARGIN_LOADRUN_H
#define SWAPMARGIN_LOADRUN_H

#include "swapmargin/case.h"
#include "swapmargin/error.h"
#include "swapmargin/result.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* The band that a reading should lie in, plus and minus: two standard deviations, about 95 % of
 * honest readings.  Those of the model and of the meter are independent and add as squares.  All
 * three are common practice, without a source. */
#define SM_BAND_MODEL 0.05   /* 1  of the rise over ambient: typical curves, and what is left out */
#define SM_BAND_METER 1.0    /* K  a thermocouple, its instrument and its place */
#define SM_BAND_COVERAGE 2.0 /* 1  standard deviations */

/* Why a value is not there; rows of untold.def. */
enum sm_untold_id {
    SM_TOLD, /* it is */
#define UNTOLD(id, text) SM_UNTOLD_##id,
#include "swapmargin/untold.def"
#undef UNTOLD
    SM_UNTOLD_COUNT
};

/* A value, or why there is none. */
struct sm_told {
    enum sm_untold_id untold; /* SM_TOLD: the value counts */
    double value;             /* SI; 0 when not told */
};

/* Readings of a run: at 0, 1, 2, 5, 10, 15, 20, 30, 45 and 60 sixtieths of it. */
enum { SM_READINGS = 10 };

/* Temperatures at one instant, the sink as it is then, all else settled over it. */
struct sm_reading {
    double t_sink;                /* K */
    double t_case[SM_CHIP_COUNT]; /* K */
    double tvj_max;               /* K  the hottest junction's, over the output cycle */
    enum sm_chip_kind hottest;
    double sink_band;                /* K  plus and minus, of what a meter should read */
    double case_band[SM_CHIP_COUNT]; /* K */
    double share; /* 1  of the way from ambient to this run's settled sink; 0 where it has none */
};

/* One test frequency. */
struct sm_load_run {
    double output_hz; /* Hz */
    double i_module;  /* A    rms per module */
    double i_drive;   /* A    rms, what a clamp reads on each motor lead */
    double imbalance; /* A    that any phase may differ from the mean of the three */

    double minute[SM_READINGS];             /* s    since the start of this run */
    struct sm_reading reading[SM_READINGS]; /* the first n_readings of them are told */
    size_t n_readings;
    enum sm_untold_id untold; /* why the rest is not; SM_TOLD when all are */

    enum sm_untold_id settled_untold; /* SM_TOLD: the next one counts */
    struct sm_reading settled;        /* where it would end */

    double v_dc;                 /* V    the bus */
    struct sm_told power;        /* W    from the bus: motor and inverter's losses */
    struct sm_told ripple;       /* V    peak to peak, all line phases there */
    struct sm_told ripple_lost;  /* V    one line phase lost */
    struct sm_told ripple_bound; /* V    the most that no bus capacitor at all would leave */

    /* K    with the hottest junction at tvj_op_max, at this current */
    struct sm_told stop_sink;
    struct sm_told stop_case[SM_CHIP_COUNT];
};

struct sm_loadrun {
    struct sm_load_run *runs; /* owned; one a test frequency, in the file's order */
    size_t n_runs;
};

void sm_loadrun_init(struct sm_loadrun *loadrun);
void sm_loadrun_release(struct sm_loadrun *loadrun);

/* All runs of one case, one after the other with no cooling down between, from ambient on.
 * Given: c from sm_case_assemble(), result of sm_run() for it; loadrun from sm_loadrun_init(); it
 * is filled on SM_OK and left as after init otherwise.
 * Thermal runaway is a result: it ends the readings.
 * Errors: SM_ERR_CONVERGE, SM_ERR_MEMORY; one fault is added.
 * Source: docs/method.md, section 16. */
enum sm_status sm_loadrun(const struct sm_case *c, const struct sm_result *result,
                          struct sm_loadrun *loadrun, struct sm_faults *faults);

#ifdef __cplusplus
}
#endif

#endif
