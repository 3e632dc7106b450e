/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A whole run of the library on a bridge described in the few numbers that textbooks use. */
#ifndef SM_TESTS_PUBLISHED_LEG_H
#define SM_TESTS_PUBLISHED_LEG_H

#include "swapmargin/case.h"
#include "swapmargin/result.h"

/* v = v0 + r i and E = a + b i + c i^2, whatever the temperature. */
struct leg {
    enum sm_modulation scheme;
    double m, power_factor;            /* 1 */
    double i_peak;                     /* A */
    double switching_hz;               /* Hz */
    double v0[SM_CHIP_COUNT];          /* V */
    double r[SM_CHIP_COUNT];           /* ohm */
    double e_on[3], e_off[3], e_rr[3]; /* J, J/A, J/A2 */
    int circuit;                       /* enum sm_circuit */
    double rth_jc[SM_CHIP_COUNT];      /* K/W  per switch */
    double rth_cs;                     /* K/W  per module */
    double rth_sa;                     /* K/W  whole drive */
    double t_ambient;                  /* K */
};

enum leg_answer {
    IGBT_CONDUCTION, /* W */
    IGBT_SWITCHING,  /* W */
    DIODE_CONDUCTION,
    DIODE_RECOVERY,
    INVERTER,  /* W  of all modules */
    CASE,      /* K */
    IGBT_MEAN, /* K  junction */
    DIODE_MEAN
};

/* One number of sm_run() on it; NaN when the run fails. */
double leg_answer(const struct leg *leg, enum leg_answer answer);

/* A stack that carries `watts` in each of six single switches; kelvin. */
struct stack {
    double watts;
    double rth_jc, rth_cs, rth_sa; /* K/W  of one switch; rth_sa its own share of the sink */
    double t_ambient;              /* degC */
};

/* degC: of the case or the junction. */
double stack_case(const struct stack *stack);
double stack_junction(const struct stack *stack);

#endif
