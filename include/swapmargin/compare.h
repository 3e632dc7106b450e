/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Comparing candidates: what a buyer needs of each result, the order of a list, and the few modules
 * that cover most drives.  Computing them is sm_run() in a loop. */
#ifndef SWAPMARGIN_COMPARE_H
#define SWAPMARGIN_COMPARE_H

#include "swapmargin/case.h"
#include "swapmargin/result.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* The verdicts of enum sm_verdict, best first, and the one of a file that cannot be read. */
enum sm_standing {
    SM_STANDING_APPROVE = SM_APPROVE,
    SM_STANDING_CONDITIONAL = SM_CONDITIONAL,
    SM_STANDING_REJECT = SM_REJECT,
    SM_STANDING_UNREADABLE,
    SM_STANDING_COUNT
};

/* Most test frequencies of a drive. */
enum { SM_CANDIDATE_POINTS = 16 };

/* Margin at one test frequency; absent when there is no equilibrium. */
struct sm_candidate_point {
    double output_hz;
    struct sm_optional margin; /* K */
};

struct sm_candidate {
    enum sm_standing standing;
    struct sm_optional margin; /* K    smallest; absent for runaway and unreadable */
    struct sm_candidate_point points[SM_CANDIDATE_POINTS];
    size_t n_points;                     /* 0 when unreadable */
    double worst_hz;                     /* Hz   0 when unreadable */
    enum sm_chip_kind worst_chip;        /* means something where `margin` is given */
    struct sm_optional losses;           /* W    all modules at worst_hz, without other heat */
    struct sm_optional price;            /* one currency, per piece */
    struct sm_optional price_set;        /* all modules in the drive */
    struct sm_optional lead_time;        /* s */
    struct sm_optional price_per_kelvin; /* price_set per K above the required margin */
    size_t conditions;                   /* points that a person must settle */
};

/* The candidate of a case that sm_run() has solved. */
void sm_candidate_of(const struct sm_case *c, const struct sm_result *result,
                     struct sm_candidate *candidate);

/* A candidate whose module file cannot be read. */
void sm_candidate_unreadable(struct sm_candidate *candidate);

/* Whether a candidate can be used: approve, and conditional unless strict. */
bool sm_standing_usable(enum sm_standing standing, bool strict);

/* Below 0 when a stands before b, absent values last: the smaller first, for sign -1 the larger. */
int sm_optional_order(struct sm_optional a, struct sm_optional b, double sign);

/* Below 0 when a stands before b: approve, conditional, reject, unreadable; then the larger margin
 * (absent last), then the lower price (absent last).  0 when these are alike: the caller
 * decides by file name. */
int sm_candidate_order(const struct sm_candidate *a, const struct sm_candidate *b);

/* The stocking list: modules chosen one by one, each time the one that covers most of the drives
 * not yet covered; ties go to the first.  A greedy choice: never more than ln(n_drives) + 1 times
 * the smallest list (V. Chvatal, Math. Oper. Res. 4 (1979) 233; value from memory), as a rule
 * equal. Given: covers[module * n_drives + drive].  chosen, gain: room for n_modules. Returned: how
 * many were chosen; chosen[] their numbers, gain[] the drives that each adds. scratch: room for
 * n_drives, its contents lost. */
size_t sm_stocking_list(const bool *covers, size_t n_modules, size_t n_drives, bool *scratch,
                        size_t *chosen, size_t *gain);

#ifdef __cplusplus
}
#endif

#endif
