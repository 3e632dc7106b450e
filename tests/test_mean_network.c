/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/mean_network.h"

#include "solve/stage.h"
#include "support/fixture.h"
#include "support/near.h"

#include <criterion/criterion.h>

#define HZ 60.0
#define SINK 2000.0 /* J/K */
#define BASE 60.0   /* J/K */

struct bench {
    struct fixture f;
    struct arena arena;
    struct stage stage;
    struct operating_point point;
    struct chip_state chips[SM_CHIP_COUNT];
    struct loss_line line;
    struct mean_network network;
};

/* The fixture whose losses follow temperature, at 60 Hz. */
static void bench_open(struct bench *b)
{
    fixture_warm(&b->f);
    arena_init(&b->arena);
    b->stage = stage_build(&b->arena, &b->f.c);
    b->point = operating_point_at(&b->f.drive, HZ, 1.0);
    cr_assert_eq(electrothermal_prepare(&b->arena, &b->stage, &b->point, b->chips), SM_OK);
    cr_assert_eq(loss_line_build(&b->arena, &b->stage, &b->point, b->chips, &b->line), SM_OK);
    struct heat_network_plan plan = { .path = &b->stage.path,
                                      .sink_capacity = SINK,
                                      .base_capacity = BASE };
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        cr_assert_eq(cauer_of_foster(b->stage.foster_r[k]->v, b->stage.foster_tau[k]->v,
                                     b->stage.foster_r[k]->n, &plan.ladder[k]),
                     SM_OK);
    cr_assert_eq(mean_network_open(&b->arena, &plan, &b->network), SM_OK);
}

static void bench_close(struct bench *b)
{
    arena_release(&b->arena);
}

/* No line, no march: losses are not known anywhere. */
Test(mean_network, is_not_marched_without_losses)
{
    struct bench b;
    const struct loss_line none = { .n = 0 };
    bench_open(&b);
    const struct network_step step = network_step_of(&b.arena, &b.network.heat.net, 1.0);
    cr_expect(!mean_network_march(&b.network, &step, 1, &none));
    bench_close(&b);
}

/* dT/dt of every place by the assembled matrices, losses at the temperatures of this instant. */
static void slope(const struct bench *b, const double *t, double *out)
{
    const struct network *net = &b->network.heat.net;
    double power[8];
    heat_network_constant(&b->network.heat, b->line.lead, power);
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const double t_j = b->network.t_ambient + t[b->network.heat.junction[0][k]];
        heat_network_loss(&b->network.heat, 0, (enum sm_chip_kind)k,
                          curve_at(&b->line.loss[k], t_j), power);
    }
    for (size_t i = 0; i < net->n; i++) {
        double heat = power[i];
        for (size_t j = 0; j < net->n; j++)
            heat -= net->conductance[i * net->n + j] * t[j];
        out[i] = heat / net->capacity[i];
    }
}

static void runge_kutta(const struct bench *b, double h, double *t)
{
    const size_t n = b->network.heat.net.n;
    static const double share[] = { 0.0, 0.5, 0.5, 1.0 }, weight[] = { 1.0, 2.0, 2.0, 1.0 };
    double k[8] = { 0.0 }, sum[8] = { 0.0 };
    for (int s = 0; s < 4; s++) {
        double at[8];
        for (size_t i = 0; i < n; i++)
            at[i] = t[i] + share[s] * h * k[i];
        slope(b, at, k);
        for (size_t i = 0; i < n; i++)
            sum[i] += weight[s] * k[i];
    }
    for (size_t i = 0; i < n; i++)
        t[i] += h / 6.0 * sum[i];
}

/* A minute from cold by the classical Runge-Kutta rule in steps of 5 ms (an eighth of the fastest
 * time constant: its error is far below), against exact steps of 10 ms with the losses at their
 * middle: 5 mK while the chips jump up, 1 mK after. */
Test(mean_network, agrees_with_a_runge_kutta_march_of_the_assembled_matrices)
{
    struct bench b;
    bench_open(&b);
    double t[8] = { 0.0 }, rise[8];
    const struct heat_network *heat = &b.network.heat;
    const struct network_step step = network_step_of(&b.arena, &heat->net, 0.01);
    cr_assert_leq(heat->net.n, 8);
    for (int k = 1; k <= 6000; k++) {
        for (int j = 0; j < 2; j++)
            runge_kutta(&b, 0.005, t);
        cr_assert(mean_network_march(&b.network, &step, 1, &b.line));
        network_rise(&heat->net, b.network.state, b.network.power, rise);
        for (size_t i = 0; i < heat->net.n; i++)
            NEAR(rise[i], t[i], k < 200 ? 5e-3 : 1e-3);
    }
    bench_close(&b);
}

/* Heat in, of all steps, is what left through the sink's resistance and what is stored, with losses
 * that change all the time.  What left is summed by Simpson's rule over pairs of steps: the sink
 * bends by far less than 1e-6 of its rise over 20 ms. */
Test(mean_network, heat_in_is_heat_out_and_stored)
{
    struct bench b;
    double rise[8];
    bench_open(&b);
    const struct heat_network *heat = &b.network.heat;
    const double h = 0.01, rth_sa = b.stage.path.rth_sa;
    const struct network_step step = network_step_of(&b.arena, &heat->net, h);
    double in = 0.0, sum = 0.0, sink = 0.0;
    for (int k = 1; k <= 60000; k++) {
        cr_assert(mean_network_march(&b.network, &step, 1, &b.line));
        for (size_t i = 0; i < heat->net.n; i++)
            in += b.network.power[i] * h;
        sink = network_rise_at(&heat->net, b.network.state, b.network.power, heat->sink);
        sum += (k % 2 == 1 ? 4.0 : 2.0) * sink;
    }
    const double out = h / 3.0 * (sum - sink) / rth_sa;
    network_rise(&heat->net, b.network.state, b.network.power, rise);
    NEAR_REL(out + network_stored(&heat->net, rise), in, 1e-7);
    cr_expect_gt(network_stored(&heat->net, rise), 0.05 * in);
    bench_close(&b);
}

/* Long enough, and it stands where the periodic steady state of the case stands. */
Test(mean_network, ends_in_the_equilibrium_of_losses_and_temperatures)
{
    struct bench b;
    struct sm_point settled;
    bench_open(&b);
    cr_assert_eq(electrothermal_settle(&b.stage, &b.point, NULL, b.chips, &settled), SM_OK);
    const struct network_step step = network_step_of(&b.arena, &b.network.heat.net, 1.0);
    cr_assert(mean_network_march(&b.network, &step, 2000, &b.line));
    const struct sm_stand stand = mean_network_stand(&b.network, &b.line);
    NEAR(stand.t_sink, settled.t_sink, 2e-3);
    NEAR(stand.t_case[SM_IGBT], settled.chip[SM_IGBT].t_case, 2e-3);
    NEAR(stand.tvj_max, settled.chip[settled.worst].tvj_max, 3e-3);
    bench_close(&b);
}

/* And there it stays. */
Test(mean_network, settled_under_a_point_stands_still)
{
    struct bench b;
    struct sm_point settled;
    bench_open(&b);
    cr_assert_eq(electrothermal_settle(&b.stage, &b.point, NULL, b.chips, &settled), SM_OK);
    mean_network_settle(&b.network, &settled);
    const struct network_step step = network_step_of(&b.arena, &b.network.heat.net, 10.0);
    cr_assert(mean_network_march(&b.network, &step, 100, &b.line));
    NEAR(mean_network_stand(&b.network, &b.line).t_sink, settled.t_sink, 2e-3);
    bench_close(&b);
}
