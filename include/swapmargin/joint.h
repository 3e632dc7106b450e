/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The joint under the module, for whoever spreads the compound: what the layer costs, how bad it
 * may be, how much compound it takes, what the screws press it to, and what bare metal would do. */
#ifndef SWAPMARGIN_JOINT_H
#define SWAPMARGIN_JOINT_H

#include "swapmargin/case.h"
#include "swapmargin/error.h"
#include "swapmargin/result.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* A compound to compare with: a row of the compound table, or any. */
struct sm_joint_compound {
    const char *name;    /* borrowed */
    double conductivity; /* W/(m.K)  > 0 */
};

/* The margin that a layer would leave, smallest over the test frequencies. */
struct sm_joint_margin {
    bool runaway;
    double margin; /* K  0 when runaway */
};

/* Thicknesses and coverages that are tried. */
enum { SM_JOINT_THICKNESSES = 6, SM_JOINT_COVERAGES = 5 };

/* m: how far apart faces may stand that are flat within what makers allow, 50 um over 100 mm. */
#define SM_JOINT_GAPE 50e-6

struct sm_joint_study {
    struct sm_result result; /* of the case as it is, with its limits */

    /* All of a layer that enters the resistance; absent where it was printed without one. */
    struct sm_optional max_thickness;    /* m        at the conductivity and coverage given */
    struct sm_optional min_coverage;     /* 1        at the thickness and conductivity given */
    struct sm_optional min_conductivity; /* W/(m.K)  at the thickness and coverage given */

    struct sm_optional base_area; /* m2  of one module */
    struct sm_optional
        compound_volume;              /* m3  of one module, for the thickness and coverage given */
    struct sm_optional compound_mass; /* kg  of one module */

    struct sm_optional pressure;           /* Pa  mean over the base */
    bool pressure_of_screws;               /* worked out from screws and torque; else as typed */
    double screw_torque;                   /* N.m  behind it */
    struct sm_optional expected_thickness; /* m  what this pressure makes of a usual compound */
    struct sm_optional expected_thin, expected_thick; /* m  of soft and stiff ones */

    struct sm_optional bare_rth;     /* K/W  one module on bare metal, asperities and air */
    struct sm_optional bare_contact; /* W/(m2.K)  of it the asperities */
    struct sm_optional bare_gap;     /* W/(m2.K)  of it the air */
    struct sm_optional gaping_rth;   /* K/W  one module over SM_JOINT_GAPE of still air */

    double thickness[SM_JOINT_THICKNESSES]; /* m */
    struct sm_joint_margin *by_compound; /* owned; [compound * SM_JOINT_THICKNESSES + thickness] */
    size_t n_compounds;                  /* 0 where no layer enters */
    double coverage[SM_JOINT_COVERAGES]; /* 1 */
    struct sm_joint_margin by_coverage[SM_JOINT_COVERAGES];
};

void sm_joint_init(struct sm_joint_study *study);
void sm_joint_release(struct sm_joint_study *study);

/* Given: c from sm_case_assemble(); compounds[n] to compare with; study from sm_joint_init(),
 * filled on SM_OK and left as after init otherwise.  It borrows from c and compounds. Errors: those
 * of sm_run() and sm_run_limits(). */
enum sm_status sm_joint(const struct sm_case *c, const struct sm_joint_compound *compounds,
                        size_t n, struct sm_joint_study *study, struct sm_faults *faults);

#ifdef __cplusplus
}
#endif

#endif
