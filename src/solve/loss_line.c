/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/loss_line.h"

#include <math.h>

enum { LINE_MOST = 128 }; /* solutions */

/* K: from one held sink to the next; losses bend little over that (tests/test_loss_line.c). */
#define LINE_STEP 5.0

/* 1, K: how far below the ambient the first sink is, over the rise that a cold junction has: so far
 * that the mean junction is below ambient, where a run starts. */
#define LINE_BELOW 1.2
#define LINE_SPARE 10.0

/* K: the next mean junction must be so much hotter, or the line has turned back. */
#define LINE_LEAST 1e-3

struct samples {
    size_t n;
    double t[SM_CHIP_COUNT][LINE_MOST], loss[SM_CHIP_COUNT][LINE_MOST];
    double crest[SM_CHIP_COUNT][LINE_MOST];
};

/* Adds a solution; false where the mean junction is no hotter than the one before. */
static bool sample_add(struct samples *s, const struct sm_point *point)
{
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        if (s->n > 0 && point->chip[k].tvj_mean < s->t[k][s->n - 1] + LINE_LEAST)
            return false;
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        const struct sm_chip_result *chip = &point->chip[k];
        s->t[k][s->n] = chip->tvj_mean;
        s->loss[k][s->n] = chip->total;
        s->crest[k][s->n] = chip->tvj_max - chip->tvj_mean;
    }
    s->n++;
    return true;
}

/* K: the first sink, below ambient. */
static double first_sink(const struct stage *stage, const struct sm_point *point)
{
    double rise = 0.0;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        rise = fmax(rise, point->chip[k].tvj_mean - point->t_sink);
    return stage->path.t_base - LINE_BELOW * rise - LINE_SPARE;
}

static void samples_take(const struct stage *stage, const struct operating_point *point,
                         struct chip_state *chips, struct samples *s)
{
    struct sm_point solved;
    double t_sink = stage->path.t_base;
    if (electrothermal_try(stage, point, &t_sink, chips, &solved))
        return;
    for (t_sink = first_sink(stage, &solved); s->n < LINE_MOST; t_sink += LINE_STEP)
        if (electrothermal_try(stage, point, &t_sink, chips, &solved) || !sample_add(s, &solved))
            return;
}

enum sm_status loss_line_build(struct arena *arena, const struct stage *stage,
                               const struct operating_point *point, struct chip_state *chips,
                               struct loss_line *out)
{
    struct samples *s = arena_bytes(arena, sizeof *s);
    if (!s)
        return SM_ERR_MEMORY;
    samples_take(stage, point, chips, s);
    *out = (struct loss_line){ .n = s->n > 1 ? s->n : 0,
                               .lead = point_lead_heat(stage, chips[SM_IGBT].i_rms,
                                                       chips[SM_DIODE].i_rms) };
    for (int k = 0; out->n > 0 && k < SM_CHIP_COUNT; k++) {
        out->loss[k] = curve_build(arena, s->t[k], s->loss[k], s->n, false);
        out->crest[k] = curve_build(arena, s->t[k], s->crest[k], s->n, false);
        out->hottest[k] = s->t[k][s->n - 1];
    }
    return arena->failed ? SM_ERR_MEMORY : SM_OK;
}
