/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sm_network(): the whole second calculation of a load run, against closed forms and against the
 * rules of the first, over generated cases. */
#include "swapmargin/network.h"

#include "support/fixture.h"
#include "support/near.h"
#include "swapmargin/engine.h"

#include <criterion/criterion.h>

static void given(struct sm_optional *key, double value)
{
    *key = sm_given(value);
}

/* What sm_network() says of a fixture; to be released. */
static struct sm_network network_of(struct fixture *f)
{
    struct sm_result result;
    struct sm_network network;
    sm_result_init(&result);
    sm_network_init(&network);
    cr_assert_eq(sm_run(&f->c, &result, NULL), SM_OK);
    cr_assert_eq(sm_network(&f->c, &result, &network, NULL), SM_OK);
    sm_result_release(&result);
    return network;
}

/* Chips that store next to nothing and constant losses: the sink is the exponential of any RC, the
 * case stands at its own rise over it and the junction at that of the steady state. */
Test(load_network, constant_losses_give_the_closed_form_exponential)
{
    struct fixture f;
    struct sm_result result;
    fixture_make(&f);
    given(&f.drive.cooling.sink_capacity, 9500.0);
    f.foster_tau[0][0] = f.foster_tau[1][0] = 1e-7;
    struct sm_network network = network_of(&f);
    sm_result_init(&result);
    cr_assert_eq(sm_run(&f.c, &result, NULL), SM_OK);
    const struct sm_point *p = &result.points[0];
    const double tau = 9500.0 * f.drive.cooling.rth_sa, t_a = f.drive.cooling.ambient;
    NEAR(network.sink_to_air, tau, 1e-9);
    NEAR(network.slowest, tau, 1e-4);
    cr_assert_eq(network.runs[0].n_marks, SM_MARKS);
    for (int k = 0; k < SM_MARKS; k++) {
        const struct sm_mark *mark = &network.runs[0].mark[k];
        const double sink = t_a - (p->t_sink - t_a) * expm1(-mark->time / tau);
        NEAR(mark->network.t_sink, sink, 1e-4);
        NEAR(mark->network.t_case[SM_IGBT] - sink,
             k == 0 ? f.module.mounting.rth_cs.value * p->lead * 2.0
                    : p->chip[SM_IGBT].t_case - p->t_sink,
             1e-4);
        if (k > 0)
            NEAR(mark->network.tvj_max - sink, p->chip[p->worst].tvj_max - p->t_sink, 1e-4);
    }
    sm_result_release(&result);
    sm_network_release(&network);
}

static double uniform(unsigned *seed, double low, double high)
{
    *seed = *seed * 1103515245u + 12345u;
    return low + (high - low) * (double)(*seed >> 8) / (double)(1u << 24);
}

/* A drive that a shop may meet: chips, joint and sink within a factor of two or three of the
 * fixture, its losses following temperature. */
static void generate(struct fixture *f, unsigned *seed)
{
    static const int circuits[] = { SM_CIRCUIT_SINGLE, SM_CIRCUIT_HALF_BRIDGE,
                                    SM_CIRCUIT_SIX_PACK };
    fixture_warm(f);
    f->module.circuit = circuits[(int)uniform(seed, 0.0, 2.999)];
    f->drive.rating.output_current = uniform(seed, 30.0, 90.0);
    f->drive.cooling.rth_sa = uniform(seed, 0.015, 0.06);
    f->module.mounting.rth_cs.value = uniform(seed, 0.02, 0.1);
    for (int k = 0; k < 2; k++) {
        f->foster_r[k][0] *= uniform(seed, 0.5, 1.5);
        f->foster_tau[k][0] *= uniform(seed, 0.3, 3.0);
    }
    given(&f->drive.cooling.sink_capacity, exp(uniform(seed, log(2e3), log(2e5))));
    if (uniform(seed, 0.0, 1.0) < 0.7)
        given(&f->module.mounting.base_capacity, exp(uniform(seed, log(3.0), log(200.0))));
}

/* Chips that store next to nothing, losses that follow temperature: nothing delays the sink, and
 * both calculations march the same, each in its own way.  A small sink, 15 s, in a run of 40 of
 * them.  0.4 mK: the network's losses are those of the middle of a step, an eighth of the time gone
 * and a fiftieth of the sink's at most. */
Test(load_network, without_heat_in_chips_both_calculations_march_the_same_sink)
{
    struct fixture f;
    fixture_warm(&f);
    given(&f.drive.cooling.sink_capacity, 500.0);
    f.drive.test.duration = 600.0;
    f.foster_tau[0][0] = f.foster_tau[1][0] = 1e-7;
    struct sm_network network = network_of(&f);
    for (size_t i = 0; i < network.n_runs; i++) {
        cr_assert_eq(network.runs[i].n_marks, SM_MARKS);
        for (int k = 0; k < SM_MARKS; k++) {
            const struct sm_mark *mark = &network.runs[i].mark[k];
            NEAR(mark->network.t_sink, mark->rules.t_sink, 4e-4);
        }
    }
    sm_network_release(&network);
}

/* Where chips and cases together have less than a hundredth of the sink's time constant, the rules
 * are within 0.5 K at each of their readings after the start: in two thirds of these drives. */
Test(load_network, rules_are_within_half_a_kelvin_where_the_case_is_a_hundred_times_faster)
{
    unsigned seed = 3;
    int fast = 0;
    for (int n = 0; n < 60; n++) {
        struct fixture f;
        generate(&f, &seed);
        struct sm_network network = network_of(&f);
        cr_assert_eq(network.untold, SM_TOLD);
        for (size_t i = 0; i < network.n_runs; i++) {
            const struct sm_network_run *run = &network.runs[i];
            if (run->untold != SM_TOLD || network.rest_to_air >= 0.01 * network.sink_to_air)
                continue;
            fast++;
            cr_expect_lt(fabs(run->sink.value), 0.5, "set %d", n);
            cr_expect_lt(fabs(run->tvj.value), 0.5, "set %d", n);
            cr_expect(run->follows.given);
        }
        sm_network_release(&network);
    }
    cr_expect_gt(fast, 30, "%d", fast);
}

/* What the sink lacks is what chips and cases have stored: the sum of C times rise, and no place
 * rises by more than all the heat times its resistance to the air.  So it lacks no more than P
 * tau_rest / C_s, which is tau_rest / tau_s of the way to where it settles. */
Test(load_network, delay_of_the_sink_is_bounded_by_the_share_of_chips_and_cases)
{
    unsigned seed = 11;
    for (int n = 0; n < 40; n++) {
        struct fixture f;
        generate(&f, &seed);
        f.drive.test.duration = 86400.0;
        struct sm_network network = network_of(&f);
        const struct sm_network_run *run = &network.runs[0];
        if (run->untold == SM_TOLD) {
            const double share = network.rest_to_air / network.sink_to_air;
            const double way = run->mark[SM_MARKS - 1].rules.t_sink - f.drive.cooling.ambient;
            cr_expect_leq(run->sink.value, 1e-3);
            cr_expect_leq(-run->sink.value, share * way + 2e-3, "set %d", n);
        }
        sm_network_release(&network);
    }
}

/* A base as slow as the sink is another matter, and is told. */
Test(load_network, a_slow_base_is_found_out)
{
    struct fixture f;
    fixture_make(&f);
    given(&f.drive.cooling.sink_capacity, 1000.0);
    given(&f.module.mounting.base_capacity, 1000.0);
    struct sm_network network = network_of(&f);
    cr_expect_lt(network.runs[0].tvj.value, -2.0);
    NEAR(network.case_over_sink.value, 50.0, 1e-9);
    sm_network_release(&network);
}

/* Sums: 1 over the rates, and capacity times resistance to the air place by place, by hand: base
 * 3 x 60 J/K over joint / 3 and sink; the chips' one rung each, six of each, over R_jc / 6 too. */
Test(load_network, time_constants_are_capacities_times_resistances)
{
    struct fixture f;
    fixture_make(&f);
    given(&f.drive.cooling.sink_capacity, 9500.0);
    given(&f.module.mounting.base_capacity, 60.0);
    struct sm_network network = network_of(&f);
    const double joint = 0.05 / 3.0, sink = 0.03;
    const double igbt = 6.0 * 0.05 / 0.2, diode = 6.0 * 0.04 / 0.35;
    NEAR(network.rest_to_air,
         180.0 * (joint + sink) + igbt * (0.2 / 6.0 + joint + sink) +
             diode * (0.35 / 6.0 + joint + sink),
         1e-6);
    sm_network_release(&network);
}

Test(load_network, the_next_run_goes_on_from_where_the_one_before_ended)
{
    struct fixture f;
    fixture_warm(&f);
    given(&f.drive.cooling.sink_capacity, 9500.0);
    struct sm_network network = network_of(&f);
    NEAR(network.runs[1].mark[0].network.t_sink, network.runs[0].mark[SM_MARKS - 1].network.t_sink,
         1e-9);
    NEAR(network.runs[1].mark[0].time, 0.0, 0.0);
    NEAR(network.runs[1].mark[SM_MARKS_DOUBLING].time, 60.0, 1e-9);
    NEAR(network.runs[1].mark[SM_MARKS - 1].time, 3600.0, 1e-9);
    sm_network_release(&network);
}

/* From cold the junction lags at first; the mark told is the first of those near to the end. */
Test(load_network, follows_from_the_first_mark_that_stays_near)
{
    struct fixture f;
    fixture_warm(&f);
    given(&f.drive.cooling.sink_capacity, 9500.0);
    struct sm_network network = network_of(&f);
    const struct sm_network_run *run = &network.runs[0];
    cr_assert(run->follows.given);
    cr_expect_gt(run->follows.value, 0.0);
    for (int k = 0; k < SM_MARKS; k++) {
        const struct sm_mark *mark = &run->mark[k];
        const double gap = fabs(mark->network.tvj_max - mark->rules.tvj_max);
        if (mark->time >= run->follows.value)
            cr_expect_leq(gap, SM_FOLLOWS);
        else if (k + 1 < SM_MARKS && run->mark[k + 1].time >= run->follows.value)
            cr_expect_gt(gap, SM_FOLLOWS);
    }
    sm_network_release(&network);
}

/* An overload starts where the test load has settled, and ends where a check says, less what chips
 * and base still lag. */
Test(load_network, overload_starts_settled_and_ends_near_the_checks)
{
    struct fixture f;
    struct sm_result result;
    fixture_warm(&f);
    given(&f.drive.cooling.sink_capacity, 9500.0);
    given(&f.drive.rating.overload_current, 1.5);
    given(&f.drive.rating.overload_time, 60.0);
    struct sm_network network = network_of(&f);
    sm_result_init(&result);
    cr_assert_eq(sm_run(&f.c, &result, NULL), SM_OK);
    cr_assert_eq(network.n_overloads, 2);
    for (int i = 0; i < 2; i++) {
        const struct sm_mark *mark = network.overloads[i].mark;
        NEAR(mark[0].network.t_sink, result.points[i].t_sink, 1e-6);
        NEAR(mark[0].network.t_case[SM_IGBT], result.points[i].chip[SM_IGBT].t_case, 1e-6);
        NEAR(mark[SM_MARKS - 1].rules.tvj_max, result.overload[i].tvj_max, 1e-3);
        NEAR(mark[SM_MARKS - 1].network.tvj_max, result.overload[i].tvj_max, 0.2);
        cr_expect_lt(mark[1].network.tvj_max, mark[1].rules.tvj_max - 1.0);
    }
    sm_result_release(&result);
    sm_network_release(&network);
}

Test(load_network, without_sink_capacity_there_is_none_but_the_ladders)
{
    struct fixture f;
    fixture_make(&f);
    struct sm_network network = network_of(&f);
    cr_expect_eq(network.untold, SM_UNTOLD_NO_SINK_CAPACITY);
    cr_expect_eq(network.n_runs, 0);
    cr_expect_eq(network.ladder[SM_IGBT].n, 1);
    NEAR(network.ladder[SM_DIODE].c[0], 0.04 / 0.35, 1e-12);
    sm_network_release(&network);
}

/* Per switch there is no common base; a capacity for it is not used, and that is said. */
Test(load_network, a_joint_per_switch_has_no_base)
{
    struct fixture f;
    fixture_warm(&f);
    given(&f.drive.cooling.sink_capacity, 9500.0);
    given(&f.module.mounting.base_capacity, 60.0);
    f.module.mounting.rth_cs.given = false;
    given(&f.module.igbt_thermal.rth_cs, 0.1);
    given(&f.module.diode_thermal.rth_cs, 0.15);
    struct sm_network network = network_of(&f);
    cr_expect_eq(network.base_capacity.untold, SM_UNTOLD_NO_BASE);
    cr_expect_eq(network.runs[0].untold, SM_TOLD);
    cr_expect_lt(fabs(network.runs[0].tvj.value), 0.5);
    sm_network_release(&network);
}

/* Twelve terms less than a millionth apart are one, and the network is that of one.  Those a little
 * farther apart would need capacities that no part has: no network then, and that is said. */
Test(load_network, terms_too_much_alike_are_one_or_refused)
{
    struct fixture f;
    double r[12], tau[12];
    for (double apart = 1e-7; apart < 0.2; apart *= 100.0) {
        fixture_warm(&f);
        given(&f.drive.cooling.sink_capacity, 9500.0);
        struct sm_network one = network_of(&f);
        for (int i = 0; i < 12; i++) {
            r[i] = 0.2 / 12.0;
            tau[i] = 0.05 * pow(1.0 + apart, i - 5.5);
        }
        f.module.igbt_thermal.foster_r = (struct sm_list){ .v = r, .n = 12 };
        f.module.igbt_thermal.foster_tau = (struct sm_list){ .v = tau, .n = 12 };
        struct sm_network network = network_of(&f);
        cr_expect_eq(network.untold, apart < 1e-6 ? SM_TOLD : SM_UNTOLD_LADDER);
        if (network.untold == SM_TOLD)
            NEAR(network.runs[0].tvj.value, one.runs[0].tvj.value, 1e-4);
        sm_network_release(&network);
        sm_network_release(&one);
    }
}

/* Losses that leave no equilibrium end the curves; the run after has no start. */
Test(load_network, runaway_ends_the_curves)
{
    struct fixture f;
    fixture_make(&f);
    f.drive.cooling.ambient = 273.15;
    given(&f.drive.cooling.sink_capacity, 9500.0);
    for (int j = 0; j < 2; j++) {
        f.v_igbt[1][j] *= 7.0;
        f.v_diode[1][j] *= 7.0;
    }
    struct sm_network network = network_of(&f);
    cr_expect_eq(network.runs[0].untold, SM_UNTOLD_RUNAWAY);
    cr_expect_lt(network.runs[0].n_marks, SM_MARKS);
    cr_expect_eq(network.runs[1].untold, SM_UNTOLD_RUN_BEFORE);
    cr_expect_eq(network.cycles[0].untold, SM_UNTOLD_RUNAWAY);
    sm_network_release(&network);
}

/* A sink of 5 ms in a run of a day: the steps double with the time gone, not with the sink, or
 * there would be a thousand million of them.  All ends where everything has settled. */
Test(load_network, a_sink_that_follows_at_once_takes_no_more_steps_than_any_other, .timeout = 60)
{
    struct fixture f;
    fixture_warm(&f);
    given(&f.drive.cooling.sink_capacity, 10.0);
    f.drive.cooling.rth_sa = 0.0005;
    f.drive.test.duration = 86400.0;
    struct sm_network network = network_of(&f);
    cr_assert_eq(network.runs[0].untold, SM_TOLD);
    const struct sm_mark *end = &network.runs[0].mark[SM_MARKS - 1];
    NEAR(end->network.t_sink, end->rules.t_sink, 1e-3);
    NEAR(end->network.tvj_max, end->rules.tvj_max, 1e-2);
    sm_network_release(&network);
}

/* Time constants from a nanosecond to a quarter of an hour are more than double precision can part:
 * the slowest rate came out as noise.  It is said, and the rest of the load run stands. */
Test(load_network, time_constants_too_far_apart_are_told_as_such)
{
    struct fixture f;
    double r[2] = { 0.1, 0.1 }, tau[2] = { 1e-6, 1000.0 };
    for (int k = 0; k < 2; k++, tau[0] = 1e-9) {
        fixture_warm(&f);
        given(&f.drive.cooling.sink_capacity, 9500.0);
        f.module.igbt_thermal.foster_r = (struct sm_list){ .v = r, .n = 2 };
        f.module.igbt_thermal.foster_tau = (struct sm_list){ .v = tau, .n = 2 };
        struct sm_network network = network_of(&f);
        cr_expect_eq(network.untold, k == 0 ? SM_TOLD : SM_UNTOLD_RATES_APART);
        sm_network_release(&network);
    }
}
