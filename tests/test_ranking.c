/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/compare.h"

#include "support/fixture.h"
#include "support/near.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

static struct sm_candidate one(enum sm_standing standing, struct sm_optional margin,
                               struct sm_optional price)
{
    return (struct sm_candidate){ .standing = standing, .margin = margin, .price = price };
}

/* The order asked for: verdict, then the larger margin with none last, then the lower price with
 * none last. */
Test(ranking, verdict_before_margin_before_price)
{
    const struct sm_optional none = { .given = false };
    const struct sm_candidate sorted[] = {
        one(SM_STANDING_APPROVE, sm_given(16.0), none),
        one(SM_STANDING_CONDITIONAL, sm_given(50.0), none),
        one(SM_STANDING_CONDITIONAL, sm_given(20.0), sm_given(10.0)),
        one(SM_STANDING_CONDITIONAL, sm_given(20.0), sm_given(11.0)),
        one(SM_STANDING_CONDITIONAL, sm_given(20.0), none),
        one(SM_STANDING_REJECT, sm_given(-5.0), sm_given(1.0)),
        one(SM_STANDING_REJECT, none, sm_given(1.0)),
        one(SM_STANDING_UNREADABLE, none, none),
    };
    const size_t n = sizeof sorted / sizeof sorted[0];
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++) {
            const int order = sm_candidate_order(&sorted[i], &sorted[j]);
            cr_expect(i < j ? order < 0 : i > j ? order > 0 : order == 0, "%zu against %zu", i, j);
        }
}

static void solve(struct fixture *f, struct sm_candidate *candidate)
{
    struct sm_faults faults;
    struct sm_result result;
    sm_faults_init(&faults);
    sm_result_init(&result);
    cr_assert_eq(sm_run(&f->c, &result, &faults), SM_OK);
    sm_candidate_of(&f->c, &result, candidate);
    const struct sm_point *worst = &result.points[result.worst_point];
    if (!result.runaway) {
        NEAR(candidate->margin.value, result.margin, 0.0);
        NEAR(candidate->worst_hz, worst->output_hz, 0.0);
        /* three half-bridges: six times what one switch loses (energy balance) */
        const double six =
            6.0 * (worst->chip[SM_IGBT].total + worst->chip[SM_DIODE].total + worst->lead);
        NEAR_REL(candidate->losses.value, six, 1e-12);
    }
    sm_result_release(&result);
    sm_faults_release(&faults);
}

/* What stands behind the last point of a result is none of it. */
Test(ranking, a_candidate_has_the_points_of_its_result_and_no_more)
{
    struct sm_point points[SM_CANDIDATE_POINTS];
    struct fixture f;
    struct sm_candidate candidate;
    struct sm_result result;
    fixture_make(&f);
    sm_result_init(&result);
    for (size_t i = 0; i < SM_CANDIDATE_POINTS; i++)
        points[i] = (struct sm_point){ .output_hz = 10.0 * (double)(i + 1), .margin = 5.0 };
    points[1].runaway = true;
    result.points = points;
    result.n_points = 3;
    sm_candidate_of(&f.c, &result, &candidate);
    cr_expect_eq(candidate.n_points, 3);
    for (size_t i = 0; i < SM_CANDIDATE_POINTS; i++) {
        NEAR(candidate.points[i].output_hz, i < 3 ? points[i].output_hz : 0.0, 0.0);
        cr_expect_eq(candidate.points[i].margin.given, i == 0 || i == 2, "%zu", i);
    }
}

Test(ranking, a_set_costs_what_all_modules_of_the_drive_cost)
{
    struct fixture f;
    fixture_make(&f);
    f.module.price = sm_given(40.0);
    f.drive.test.required_margin = 1.0;
    struct sm_candidate candidate;
    solve(&f, &candidate);
    NEAR(candidate.price_set.value, 120.0, 0.0); /* three half-bridges */
    NEAR_REL(candidate.price_per_kelvin.value, 120.0 / (candidate.margin.value - 1.0), 1e-12);
}

Test(ranking, nothing_is_paid_per_kelvin_where_no_kelvin_is_above_the_required_margin)
{
    struct fixture f;
    fixture_make(&f);
    f.module.price = sm_given(40.0);
    f.drive.test.required_margin = 99.0;
    struct sm_candidate candidate;
    solve(&f, &candidate);
    cr_expect(candidate.price_set.given && !candidate.price_per_kelvin.given);
}

Test(ranking, runaway_has_no_margin_and_no_losses)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.cooling.rth_sa = 20.0;
    for (int row = 0; row < 2; row++) {
        f.v_igbt[1][row] *= 1.5; /* losses that grow with temperature */
        f.e_off[1][row] *= 2.0;
    }
    struct sm_candidate candidate;
    solve(&f, &candidate);
    cr_expect_eq(candidate.standing, SM_STANDING_REJECT);
    cr_expect(!candidate.margin.given && !candidate.losses.given);
    cr_expect(candidate.n_points == 2 && !candidate.points[0].margin.given);
}

/* A covers two drives, B and C one of the rest each, D nothing new: worked by hand. */
Test(ranking, the_stocking_list_takes_what_adds_most)
{
    const bool covers[4 * 4] = {
        false, true,  false, false, /* B */
        true,  false, true,  false, /* A */
        true,  false, false, false, /* D */
        false, false, true,  true,  /* C */
    };
    bool scratch[4] = { true, true, true, true }; /* whatever stood there */
    size_t chosen[4], gain[4];
    const size_t n = sm_stocking_list(covers, 4, 4, scratch, chosen, gain);
    cr_assert_eq(n, 3u);
    cr_expect(chosen[0] == 1 && gain[0] == 2);
    cr_expect(chosen[1] == 0 && gain[1] == 1);
    cr_expect(chosen[2] == 3 && gain[2] == 1);
}

Test(ranking, nothing_covered_gives_an_empty_list)
{
    const bool covers[2] = { false, false };
    bool scratch[1];
    size_t chosen[2], gain[2];
    cr_expect_eq(sm_stocking_list(covers, 2, 1, scratch, chosen, gain), 0u);
    cr_expect_eq(sm_stocking_list(covers, 0, 1, scratch, chosen, gain), 0u);
}
