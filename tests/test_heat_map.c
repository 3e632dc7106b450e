/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The map against the solution that it stands for. */
#include "solve/heat_map.h"

#include "solve/stage.h"
#include "support/near.h"
#include "swapmargin/input.h"

#include <criterion/criterion.h>

struct world {
    struct arena arena, scratch;
    struct sm_tables tables;
    struct sm_drive drive;
    struct sm_module module;
    struct sm_case c;
    struct stage stage;
    struct heat_map map;
};

static const struct heat_bounds bounds = { 5.0, 90.0, 120.0, 290.0, 380.0 };

static void open_world(struct world *w, double rth_joint)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    sm_tables_init(&w->tables);
    sm_drive_init(&w->drive);
    sm_module_init(&w->module);
    arena_init(&w->arena);
    arena_init(&w->scratch);
    cr_assert_eq(sm_tables_load(NULL, &w->tables, &faults), SM_OK);
    cr_assert_eq(sm_drive_load(SM_EXAMPLES "/drive.ini", NULL, &w->tables, &w->drive, &faults),
                 SM_OK);
    cr_assert_eq(sm_module_load(SM_EXAMPLES "/module-good.ini", &w->module, &faults), SM_OK);
    cr_assert_eq(sm_case_assemble(&w->drive, &w->module, NULL, &w->c, &faults), SM_OK);
    w->stage = stage_build(&w->arena, &w->c);
    w->stage.path.form = SM_JOINT_MODULE;
    w->stage.path.rth_module = rth_joint;
    cr_assert_eq(heat_map_open(&w->arena, &w->scratch, &w->stage, &w->drive, &bounds, &w->map),
                 SM_OK);
}

static void close_world(struct world *w)
{
    arena_release(&w->scratch);
    arena_release(&w->arena);
    sm_module_release(&w->module);
    sm_drive_release(&w->drive);
    sm_tables_release(&w->tables);
}

static double solved(struct world *w, double hz, double current, double held)
{
    const struct operating_point at = operating_point_with_current(&w->drive, hz, current);
    struct sm_point point;
    arena_clear(&w->scratch);
    cr_assert_eq(electrothermal_solve(&w->scratch, &w->stage, &at, &held, &point, NULL), SM_OK);
    cr_assert_not(point.runaway);
    return point.module_heat;
}

/* 0.1 %, as promised: a fiftieth of what the model itself may be off. */
Test(heat_map, is_within_a_thousandth_of_the_solution)
{
    static const double hz[] = { 5.0, 29.97, 59.6, 60.0, 60.4, 90.0 };
    static const double current[] = { 15.4, 40.0, 77.0, 119.0 };
    static const double held[] = { 290.0, 322.4, 351.0, 380.0 };
    for (int joint = 0; joint < 2; joint++) {
        struct world w;
        open_world(&w, joint ? 0.05 : 0.0);
        for (size_t f = 0; f < 6; f++)
            for (size_t i = 0; i < 4; i++)
                for (size_t t = 0; t < 4; t++) {
                    const double h = 0.5;
                    double heat = 0.0, slope = 0.0;
                    cr_assert(heat_map_at(&w.map, hz[f], current[i], held[t], &heat, &slope));
                    NEAR_REL(heat, solved(&w, hz[f], current[i], held[t]), 1e-3);
                    /* a chord of 5 K against the tangent, and a bend at the temperature of each
                     * table: within 10 %; the slope only carries the heat over the error of a
                     * reading */
                    const double want = (solved(&w, hz[f], current[i], held[t] + h) -
                                         solved(&w, hz[f], current[i], held[t] - h)) /
                                        (2.0 * h);
                    NEAR_REL(slope, want, 0.10);
                }
        close_world(&w);
    }
}

Test(heat_map, without_current_nothing_is_lost_but_what_others_lose_in_the_case)
{
    struct world w;
    double heat = 1.0, slope = 1.0;
    open_world(&w, 0.0);
    w.stage.path.same_case_heat = 12.0;
    cr_assert(heat_map_at(&w.map, 60.0, 0.0, 300.0, &heat, &slope));
    NEAR(heat, 12.0, 1e-12);
    NEAR(slope, 0.0, 1e-12);
    close_world(&w);
}

Test(heat_map, tells_where_there_is_no_equilibrium)
{
    struct world w;
    double heat = 1.0, slope = 1.0;
    open_world(&w, 2.0); /* a joint of sand */
    cr_expect_not(heat_map_at(&w.map, 60.0, 119.0, 380.0, &heat, &slope));
    cr_expect_not(w.map.out_of_memory);
    close_world(&w);
}
