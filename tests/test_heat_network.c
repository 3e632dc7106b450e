/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/heat_network.h"

#include "support/near.h"

#include <criterion/criterion.h>

#define LEAD 3.0 /* W per switch */

static const double loss[SM_CHIP_COUNT] = { 80.0, 25.0 }; /* W per switch */

static struct heat_path path_of(int switches, int parallel, enum sm_joint_form form)
{
    return (struct heat_path){ .t_base = 313.15,
                               .rth_sa = 0.03,
                               .other_heat = 60.0,
                               .same_case_heat = 12.0,
                               .modules = 6 * parallel / switches,
                               .switches = switches,
                               .form = form,
                               .rth_module = form == SM_JOINT_MODULE ? 0.05 : 0.0,
                               .rth_switch = { form == SM_JOINT_MODULE ? 0.0 : 0.09,
                                               form == SM_JOINT_MODULE ? 0.0 : 0.13 } };
}

static struct heat_network_plan plan_of(const struct heat_path *path, double base, bool bridge)
{
    static const double r[] = { 0.05, 0.15 }, tau[] = { 0.003, 0.08 };
    static const double r_diode[] = { 0.35 }, tau_diode[] = { 0.04 };
    struct heat_network_plan plan = {
        .path = path, .sink_capacity = 9500.0, .base_capacity = base, .bridge = bridge
    };
    cr_assert_eq(cauer_of_foster(r, tau, 2, &plan.ladder[SM_IGBT]), SM_OK);
    cr_assert_eq(cauer_of_foster(r_diode, tau_diode, 1, &plan.ladder[SM_DIODE]), SM_OK);
    return plan;
}

/* The heat path's own sums, as they are printed for the steady state: sink from all watts, case
 * from the module's or the chip's own, junction from the sum of R. */
static void expect_settled(int switches, int parallel, enum sm_joint_form form, double base,
                           bool bridge)
{
    struct arena arena;
    struct heat_network heat;
    double power[64], drive[64], state[64], rise[64];
    const struct heat_path path = path_of(switches, parallel, form);
    const struct heat_network_plan plan = plan_of(&path, base, bridge);
    arena_init(&arena);
    cr_assert_eq(heat_network_build(&arena, &plan, &heat), SM_OK);
    cr_assert_leq(heat.net.n, 64);
    heat_network_constant(&heat, LEAD, power);
    for (size_t s = 0; s < heat.n_switches; s++)
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            heat_network_loss(&heat, s, (enum sm_chip_kind)k, loss[k], power);
    network_drive(&heat.net, power, drive);
    network_settle(&heat.net, drive, state);
    network_rise(&heat.net, state, power, rise);
    const double module = switches * (loss[0] + loss[1] + LEAD) + 12.0;
    const double sink = 0.03 * (path.modules * module + 60.0);
    const double jc[] = { 0.2, 0.35 };
    NEAR(rise[heat.sink], sink, 1e-8);
    for (size_t s = 0; s < heat.n_switches; s++)
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            const double joint =
                form == SM_JOINT_MODULE ? path.rth_module * module : path.rth_switch[k] * loss[k];
            NEAR(rise[heat.case_under[s][k]], sink + joint, 1e-8);
            NEAR(rise[heat.junction[s][k]], sink + joint + jc[k] * loss[k], 1e-8);
        }
    arena_release(&arena);
}

Test(heat_network, settles_where_the_sum_of_resistances_says)
{
    static const int circuits[] = { 1, 2, 6 };
    for (int c = 0; c < 3; c++)
        for (int parallel = 1; parallel <= 2; parallel++)
            for (int bridge = 0; bridge <= 1; bridge++) {
                expect_settled(circuits[c], parallel, SM_JOINT_MODULE, 70.0, bridge != 0);
                expect_settled(circuits[c], parallel, SM_JOINT_MODULE, 0.0, bridge != 0);
                expect_settled(circuits[c], parallel, SM_JOINT_PER_SWITCH, 0.0, bridge != 0);
            }
}

/* With equal losses in all switches nothing tells the six apart from the one that stands for them;
 * so at every moment, not only settled. */
Test(heat_network, six_switches_alike_warm_as_the_one_that_stands_for_them)
{
    struct arena arena;
    arena_init(&arena);
    const struct heat_path path = path_of(2, 2, SM_JOINT_MODULE);
    struct heat_network heat[2];
    double rise[2][64];
    for (int bridge = 0; bridge <= 1; bridge++) {
        const struct heat_network_plan plan = plan_of(&path, 70.0, bridge != 0);
        struct heat_network *h = &heat[bridge];
        double power[64], drive[64], state[64] = { 0.0 };
        cr_assert_eq(heat_network_build(&arena, &plan, h), SM_OK);
        heat_network_constant(h, LEAD, power);
        for (size_t s = 0; s < h->n_switches; s++)
            for (int k = 0; k < SM_CHIP_COUNT; k++)
                heat_network_loss(h, s, (enum sm_chip_kind)k, loss[k], power);
        const struct network_step step = network_step_of(&arena, &h->net, 1.5);
        network_drive(&h->net, power, drive);
        network_advance(&h->net, &step, drive, state);
        network_rise(&h->net, state, power, rise[bridge]);
    }
    NEAR(rise[1][heat[1].sink], rise[0][heat[0].sink], 1e-10);
    for (size_t s = 0; s < BRIDGE_SWITCHES; s++)
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            NEAR(rise[1][heat[1].junction[s][k]], rise[0][heat[0].junction[0][k]], 1e-9);
            NEAR(rise[1][heat[1].case_under[s][k]], rise[0][heat[0].case_under[0][k]], 1e-9);
        }
    arena_release(&arena);
}
