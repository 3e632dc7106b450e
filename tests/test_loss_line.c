/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/loss_line.h"

#include "solve/stage.h"
#include "support/fixture.h"
#include "support/near.h"

#include <criterion/criterion.h>

struct bench {
    struct fixture f;
    struct arena arena;
    struct stage stage;
    struct operating_point point;
    struct chip_state chips[SM_CHIP_COUNT];
    struct loss_line line;
};

/* The line of a fixture that is made, at 60 Hz. */
static void bench_build(struct bench *b)
{
    arena_init(&b->arena);
    b->stage = stage_build(&b->arena, &b->f.c);
    b->point = operating_point_at(&b->f.drive, 60.0, 1.0);
    cr_assert_eq(electrothermal_prepare(&b->arena, &b->stage, &b->point, b->chips), SM_OK);
    cr_assert_eq(loss_line_build(&b->arena, &b->stage, &b->point, b->chips, &b->line), SM_OK);
}

static void bench_close(struct bench *b)
{
    arena_release(&b->arena);
}

/* Over sinks between those that the line was read off at, the solution itself has the same loss and
 * crest at the same mean junction temperature: 1 mW, 1 mK. */
Test(loss_line, tells_loss_and_crest_of_solutions_that_it_was_not_read_off)
{
    struct bench b;
    fixture_warm(&b.f);
    b.f.module.lead_resistance = 0.5e-3;
    bench_build(&b);
    for (double t_sink = 281.3; t_sink < 400.0; t_sink += 11.7) {
        struct sm_point point;
        cr_assert(!electrothermal_try(&b.stage, &b.point, &t_sink, b.chips, &point));
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            const struct sm_chip_result *chip = &point.chip[k];
            NEAR(curve_at(&b.line.loss[k], chip->tvj_mean), chip->total, 1e-3);
            NEAR(curve_at(&b.line.crest[k], chip->tvj_mean), chip->tvj_max - chip->tvj_mean, 1e-3);
        }
        NEAR(b.line.lead, point.lead, 1e-12);
    }
    bench_close(&b);
}

/* Constant losses raise a mean junction over any sink by the same.  The first sink is 10 K and 1.2
 * times the larger rise below the ambient, the next each 5 K hotter, the last so that the highest
 * junction is within 5 K of 673.15 K, where every one has run away. */
Test(loss_line, begins_below_ambient_and_ends_at_the_last_equilibrium)
{
    struct bench b;
    struct sm_point point;
    fixture_make(&b.f);
    bench_build(&b);
    const double ambient = b.f.drive.cooling.ambient;
    cr_assert(!electrothermal_try(&b.stage, &b.point, &ambient, b.chips, &point));
    double rise[SM_CHIP_COUNT], crest = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        rise[k] = point.chip[k].tvj_mean - point.t_sink;
        crest = fmax(crest, point.chip[k].tvj_max - point.t_sink);
    }
    cr_assert_gt(fabs(rise[SM_IGBT] - rise[SM_DIODE]), 1.0);
    const double first = ambient - 10.0 - 1.2 * fmax(rise[SM_IGBT], rise[SM_DIODE]);
    cr_assert_eq(b.line.n, (size_t)floor((673.15 - crest - first) / 5.0) + 1);
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        for (size_t i = 0; i < b.line.n; i++)
            NEAR(b.line.loss[k].x[i], first + 5.0 * (double)i + rise[k], 1e-3);
        NEAR(b.line.hottest[k], b.line.loss[k].x[b.line.n - 1], 0.0);
    }
    bench_close(&b);
}

/* The runaway fixture: no equilibrium over a sink at ambient, so nothing to tell. */
Test(loss_line, is_empty_where_there_is_no_equilibrium_at_ambient)
{
    struct bench b;
    struct loss_line line;
    fixture_warm(&b.f);
    bench_build(&b);
    b.stage.loss_factor = 40.0;
    cr_assert_eq(loss_line_build(&b.arena, &b.stage, &b.point, b.chips, &line), SM_OK);
    cr_expect_eq(line.n, 0);
    bench_close(&b);
}
