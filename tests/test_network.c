/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/network.h"

#include "support/near.h"

#include <criterion/criterion.h>

struct bench {
    struct arena arena;
    struct network net;
    double power[4], drive[4], state[4], rise[4];
};

/* Junction 0 - case 1 - sink 2 - air; every place with a capacity, unless a test takes it away. */
static const double capacity[] = { 0.5, 40.0, 3000.0 };
static const double resistance[] = { 0.2, 0.05, 0.1 };

static void bench_open(struct bench *b, double case_capacity)
{
    *b = (struct bench){ .power = { 100.0, 20.0, 30.0 } };
    arena_init(&b->arena);
    b->net = network_new(&b->arena, 3);
    network_store(&b->net, 0, capacity[0]);
    network_store(&b->net, 1, case_capacity);
    network_store(&b->net, 2, capacity[2]);
    network_join(&b->net, 0, 1, resistance[0]);
    network_join(&b->net, 1, 2, resistance[1]);
    network_ground(&b->net, 2, resistance[2]);
    cr_assert_eq(network_find_modes(&b->arena, &b->net), SM_OK);
    network_drive(&b->net, b->power, b->drive);
}

static void bench_close(struct bench *b)
{
    arena_release(&b->arena);
}

/* The assembled matrix, by hand. */
Test(network, conductances_are_those_of_the_links)
{
    struct bench b;
    bench_open(&b, capacity[1]);
    const double want[] = { 5.0, -5.0, 0.0, -5.0, 25.0, -20.0, 0.0, -20.0, 30.0 };
    for (int k = 0; k < 9; k++)
        NEAR(b.net.conductance[k], want[k], 1e-12);
    bench_close(&b);
}

/* 150 W through 0.1 K/W; 120 W through 0.05 on top; 100 W through 0.2 on top. */
static void expect_settled(const struct bench *b)
{
    NEAR(b->rise[2], 15.0, 1e-9);
    NEAR(b->rise[1], 15.0 + 6.0, 1e-9);
    NEAR(b->rise[0], 15.0 + 6.0 + 20.0, 1e-9);
}

Test(network, settles_at_powers_times_resistances)
{
    struct bench b;
    bench_open(&b, capacity[1]);
    network_settle(&b.net, b.drive, b.state);
    network_rise(&b.net, b.state, b.power, b.rise);
    expect_settled(&b);
    bench_close(&b);
}

Test(network, a_case_without_capacity_settles_alike_and_has_no_mode)
{
    struct bench b;
    bench_open(&b, 0.0);
    cr_assert_eq(b.net.n_modes, 2);
    network_settle(&b.net, b.drive, b.state);
    network_rise(&b.net, b.state, b.power, b.rise);
    expect_settled(&b);
    bench_close(&b);
}

/* Without capacity at the case it is what its neighbours and its own 20 W make it at once:
 * (T0/0.2 + T2/0.05 + 20)/(5 + 20), here at the start with everything cold: 0.8 K. */
Test(network, a_case_without_capacity_follows_at_once)
{
    struct bench b;
    bench_open(&b, 0.0);
    NEAR(network_rise_at(&b.net, b.state, b.power, 1), 0.8, 1e-12);
    const struct network_step step = network_step_of(&b.arena, &b.net, 0.05);
    network_advance(&b.net, &step, b.drive, b.state);
    network_rise(&b.net, b.state, b.power, b.rise);
    NEAR(b.rise[1], (b.rise[0] * 5.0 + b.rise[2] * 20.0 + 20.0) / 25.0, 1e-12);
    bench_close(&b);
}

/* One RC: 1 - exp(-t/tau), however the time is cut. */
Test(network, one_place_is_the_exponential_in_steps_of_any_width)
{
    struct arena arena;
    arena_init(&arena);
    struct network net = network_new(&arena, 1);
    network_store(&net, 0, 200.0);
    network_ground(&net, 0, 0.5);
    cr_assert_eq(network_find_modes(&arena, &net), SM_OK);
    NEAR_REL(net.rate[0], 0.01, 1e-14);
    for (int parts = 1; parts <= 1000; parts *= 10) {
        double power = 80.0, drive, state = 0.0;
        const struct network_step step = network_step_of(&arena, &net, 150.0 / parts);
        network_drive(&net, &power, &drive);
        for (int k = 0; k < parts; k++)
            network_advance(&net, &step, &drive, &state);
        NEAR_REL(network_rise_at(&net, &state, &power, 0), 40.0 * -expm1(-1.5), 1e-12);
    }
    arena_release(&arena);
}

/* Rates of two equal RCs in a chain (R = C = 1), by hand: (3 -+ sqrt 5)/2. */
Test(network, rates_of_a_chain_of_two_are_those_of_the_golden_section)
{
    struct arena arena;
    arena_init(&arena);
    struct network net = network_new(&arena, 2);
    network_store(&net, 0, 1.0);
    network_store(&net, 1, 1.0);
    network_join(&net, 0, 1, 1.0);
    network_ground(&net, 1, 1.0);
    cr_assert_eq(network_find_modes(&arena, &net), SM_OK);
    NEAR(net.rate[0], (3.0 - sqrt(5.0)) / 2.0, 1e-14);
    NEAR(net.rate[1], (3.0 + sqrt(5.0)) / 2.0, 1e-14);
    arena_release(&arena);
}

/* What goes in and does not leave through the sink's resistance is stored.  What leaves is summed
 * by Simpson's rule over steps of 0.01 s of a curve whose fastest part takes 0.1 s to settle. */
static void expect_energy_balance(double case_capacity)
{
    struct bench b;
    bench_open(&b, case_capacity);
    const double h = 0.01;
    const struct network_step half = network_step_of(&b.arena, &b.net, 0.5 * h);
    double left = 0.0, end = 0.0;
    for (int k = 0; k < 30000; k++) {
        const double start = end;
        network_advance(&b.net, &half, b.drive, b.state);
        const double middle = network_rise_at(&b.net, b.state, b.power, 2);
        network_advance(&b.net, &half, b.drive, b.state);
        end = network_rise_at(&b.net, b.state, b.power, 2);
        left += h / 6.0 * (start + 4.0 * middle + end) / resistance[2];
    }
    network_rise(&b.net, b.state, b.power, b.rise);
    const double in = 150.0 * 300.0;
    NEAR_REL(left + network_stored(&b.net, b.rise), in, 1e-9);
    bench_close(&b);
}

Test(network, heat_in_is_heat_out_and_stored)
{
    expect_energy_balance(capacity[1]);
    expect_energy_balance(0.0);
}

/* A capacity that shrinks away ends in a place without one. */
Test(network, no_capacity_is_the_limit_of_a_small_one)
{
    double last = HUGE_VAL;
    for (double c = 1.0; c > 1e-4; c /= 10.0) {
        struct bench small, none;
        bench_open(&small, c);
        bench_open(&none, 0.0);
        const struct network_step a = network_step_of(&small.arena, &small.net, 0.3);
        const struct network_step b = network_step_of(&none.arena, &none.net, 0.3);
        network_advance(&small.net, &a, small.drive, small.state);
        network_advance(&none.net, &b, none.drive, none.state);
        network_rise(&small.net, small.state, small.power, small.rise);
        network_rise(&none.net, none.state, none.power, none.rise);
        double worst = 0.0;
        for (int k = 0; k < 3; k++)
            worst = fmax(worst, fabs(small.rise[k] - none.rise[k]));
        cr_expect_lt(worst, 0.2 * last);
        last = worst;
        bench_close(&none);
        bench_close(&small);
    }
    cr_expect_lt(last, 1e-3);
}

/* Reciprocity: what 1 W at a does at b is what 1 W at b does at a, at any time. */
Test(network, one_watt_here_does_there_what_one_watt_there_does_here)
{
    struct bench b;
    bench_open(&b, 0.0);
    const struct network_step step = network_step_of(&b.arena, &b.net, 2.0);
    for (size_t from = 0; from < 3; from++)
        for (size_t to = 0; to < 3; to++) {
            double rise[2];
            for (int way = 0; way < 2; way++) {
                double power[3] = { 0.0 }, drive[3], state[3] = { 0.0 };
                power[way == 0 ? from : to] = 1.0;
                network_drive(&b.net, power, drive);
                network_advance(&b.net, &step, drive, state);
                rise[way] = network_rise_at(&b.net, state, power, way == 0 ? to : from);
            }
            NEAR(rise[0], rise[1], 1e-12);
        }
    bench_close(&b);
}

Test(network, a_place_without_a_way_to_the_air_is_refused)
{
    struct arena arena;
    arena_init(&arena);
    struct network afloat = network_new(&arena, 2);
    network_store(&afloat, 0, 1.0);
    network_store(&afloat, 1, 1.0);
    network_ground(&afloat, 0, 1.0);
    cr_expect_eq(network_find_modes(&arena, &afloat), SM_ERR_DOMAIN);
    struct network empty = network_new(&arena, 1);
    network_ground(&empty, 0, 1.0);
    cr_expect_eq(network_find_modes(&arena, &empty), SM_ERR_DOMAIN);
    arena_release(&arena);
}
