/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/limits.h"

#include "solve/hold.h"
#include "solve/root.h"
#include "solve/stage.h"
#include "solve/test_point.h"

#include <math.h>

/* K: how near to the required margin the one at the limit is. */
#define MARGIN_ACCURACY 1e-4

/* 1, of the way from one end of a range to the other: the first step of a search, how much longer a
 * step may be than the one before, and how finely the edge of equilibrium is found. */
#define FIRST_STEP 0.02
#define LONGER 4.0
#define EDGE_WIDTH 1e-7

/* 1: how much farther than foreseen a step goes, so that it passes the limit. */
#define BEYOND 1.2

/* K: frequencies whose margins differ by less are equally strict, and the first of them is told. */
#define SAME_EXCESS (3.0 * MARGIN_ACCURACY)

/* K: a limit whose margin is farther from the required one is an edge of equilibrium. */
#define EDGE_EXCESS (10.0 * MARGIN_ACCURACY)

/* K: stands for the margin where there is no equilibrium; below any that there can be. */
#define NO_EQUILIBRIUM (-1000.0)

/* -------------------------------------------------------------- ranges */

/* SI: a limit is searched as far as a sweep over the same value may go. */
enum range_id {
#define SWEEP(id, ...) RANGE_##id,
#include "swapmargin/sweep.def"
#undef SWEEP
    RANGE_COUNT
};

static const struct range {
    double low, high;
} ranges[RANGE_COUNT] = {
#define SWEEP(id, name, dimension, unit, low, high, head, title) [RANGE_##id] = { low, high },
#include "swapmargin/sweep.def"
#undef SWEEP
};

/* The way of one value from where it is cool (0) to where it is hot (1); temperatures evenly, all
 * else by equal ratios. */
struct way {
    double cool, hot; /* SI */
    bool even;
};

/* The ends are met to the last digit: below 1 Hz another rule begins. */
static double way_value(const struct way *way, double u)
{
    if (u >= 1.0)
        return way->hot;
    return way->even ? way->cool + (way->hot - way->cool) * u
                     : way->cool * pow(way->hot / way->cool, u);
}

static double way_place(const struct way *way, double value)
{
    return way->even ? (value - way->cool) / (way->hot - way->cool)
                     : log(value / way->cool) / log(way->hot / way->cool);
}

static size_t lowest_test_frequency(const struct sm_drive *drive)
{
    const struct sm_list *f = &drive->test.frequencies;
    size_t lowest = 0;
    for (size_t i = 1; i < f->n; i++)
        lowest = f->v[i] < f->v[lowest] ? i : lowest;
    return lowest;
}

static double lowest_output_now(const struct sm_drive *drive)
{
    return drive->test.frequencies.v[lowest_test_frequency(drive)];
}

static struct way way_of(enum sm_limit_id id, const struct sm_case *c)
{
    const double rated = c->drive->rating.output_current;
    const struct range *load = &ranges[RANGE_LOAD], *layer = &ranges[RANGE_JOINT_THICKNESS],
                       *carrier = &ranges[RANGE_SWITCHING_FREQUENCY];
    const struct way ways[SM_LIMIT_COUNT] = {
        [SM_LIMIT_LOAD_CURRENT] = { load->low * rated, load->high * rated, false },      /* A */
        [SM_LIMIT_AMBIENT] = { ranges[RANGE_AMBIENT].low, c->module->tvj_op_max, true }, /* K */
        [SM_LIMIT_SWITCHING] = { carrier->low, carrier->high, false },                   /* Hz */
        [SM_LIMIT_JOINT_THICKNESS] = { layer->low, layer->high, false },                 /* m */
        [SM_LIMIT_RTH_SA] = { 1e-5, 100.0, false },                                      /* K/W */
        [SM_LIMIT_LOWEST_OUTPUT] = { lowest_output_now(c->drive), 1.0, false },          /* Hz */
    };
    return ways[id];
}

static double value_now(enum sm_limit_id id, const struct sm_drive *drive)
{
    const double values[SM_LIMIT_COUNT] = {
        [SM_LIMIT_LOAD_CURRENT] = drive->test.load * drive->rating.output_current,
        [SM_LIMIT_AMBIENT] = drive->cooling.ambient,
        [SM_LIMIT_SWITCHING] = drive->rating.switching_frequency,
        [SM_LIMIT_JOINT_THICKNESS] = drive->joint.thickness.value,
        [SM_LIMIT_RTH_SA] = drive->cooling.rth_sa,
        [SM_LIMIT_LOWEST_OUTPUT] = lowest_output_now(drive),
    };
    return values[id];
}

void limit_put(enum sm_limit_id id, double value, struct sm_drive *drive)
{
    switch (id) {
    case SM_LIMIT_LOAD_CURRENT:
        drive->test.load = value / drive->rating.output_current;
        break;
    case SM_LIMIT_AMBIENT:
        drive->cooling.ambient = value;
        break;
    case SM_LIMIT_SWITCHING:
        drive->rating.switching_frequency = value;
        break;
    case SM_LIMIT_JOINT_THICKNESS:
        drive->joint.thickness.value = value;
        break;
    case SM_LIMIT_RTH_SA:
        drive->cooling.rth_sa = value;
        break;
    case SM_LIMIT_LOWEST_OUTPUT: /* a frequency of its own, nothing of the drive */
    case SM_LIMIT_COUNT:
        break;
    }
}

/* Whether the chips of a test frequency stay as they were prepared: only the heat path changes. */
static bool keeps_chips(enum sm_limit_id id)
{
    return id == SM_LIMIT_AMBIENT || id == SM_LIMIT_JOINT_THICKNESS || id == SM_LIMIT_RTH_SA;
}

/* -------------------------------------------------------------- margin */

/* Both chips of one test frequency. */
struct pair {
    struct chip_state chip[SM_CHIP_COUNT];
};

/* A place of the way, and what is found there. */
struct place {
    double u;
    double excess; /* K  margin above the required one */
    enum sm_chip_kind worst;
};

struct search {
    struct arena *scratch;
    const struct sm_case *c;
    const struct stage *stage;
    struct pair *prepared; /* one a test frequency */
    enum sm_limit_id id;
    struct way way;
    size_t at;         /* test frequency looked at */
    struct place best; /* nearest to the required margin so far */
    enum sm_status status;
};

/* The point as the verdict would see it with the value changed. */
static enum sm_status point_solve(struct search *s, double value, struct sm_point *point)
{
    struct sm_drive drive = *s->c->drive;
    struct stage stage = *s->stage;
    struct pair own;
    struct pair *pair = &own;
    struct sm_hold hold = { .runaway = false };
    limit_put(s->id, value, &drive);
    stage.path = stage_path(&drive, s->c->module);
    const double hz = s->id == SM_LIMIT_LOWEST_OUTPUT ? value : drive.test.frequencies.v[s->at];
    const struct operating_point operating = operating_point_at(&drive, hz, drive.test.load);
    enum sm_status status = SM_OK;
    arena_clear(s->scratch);
    if (keeps_chips(s->id))
        pair = &s->prepared[s->at];
    else
        status = electrothermal_prepare(s->scratch, &stage, &operating, own.chip);
    if (status == SM_OK)
        (void)electrothermal_try(&stage, &operating, NULL, pair->chip, point);
    if (status == SM_OK && hz < SLOW_OUTPUT)
        status = hold_try(s->scratch, &stage, &drive, hold_current(&drive), &hold);
    if (status == SM_OK)
        test_point_hold(&hold, stage.tvj_op_max, point);
    return status;
}

static struct place place_of(const struct search *s, double u, const struct sm_point *point)
{
    const double excess =
        point->runaway ? NO_EQUILIBRIUM : point->margin - s->c->drive->test.required_margin;
    return (struct place){ .u = u, .excess = excess, .worst = point->worst };
}

static bool kept(const struct place *place)
{
    return place->excess >= 0.0;
}

/* -------------------------------------------------------------- search */

static struct place look(struct search *s, double u)
{
    struct sm_point point = { .runaway = true };
    s->status = point_solve(s, way_value(&s->way, u), &point);
    const struct place place = place_of(s, u, &point);
    if (fabs(place.excess) < fabs(s->best.excess))
        s->best = place;
    return place;
}

static double excess_at(double u, void *context)
{
    struct search *s = context;
    const struct place place = look(s, u);
    return s->status == SM_OK ? place.excess : HUGE_VAL;
}

/* The next step, from what the last one brought: as far as the straight line through both foretells
 * the limit, and a little farther. */
static double next_step(const struct place *from, const struct place *to)
{
    const double step = fabs(to->u - from->u), change = fabs(to->excess - from->excess);
    const double foretold = change > 0.0 ? BEYOND * step * fabs(to->excess) / change : HUGE_VAL;
    return fmin(fmax(foretold, FIRST_STEP), LONGER * step);
}

/* Walks from *before towards the limit until it is passed: then it lies between *before and *after.
 * Returned: false when the end of the way comes first, at *before. */
static bool bracket(struct search *s, struct place *before, struct place *after)
{
    const double direction = kept(before) ? 1.0 : -1.0, end = kept(before) ? 1.0 : 0.0;
    double step = FIRST_STEP;
    while (direction * (end - before->u) > 0.0) {
        *after = look(s, fmin(fmax(before->u + direction * step, 0.0), 1.0));
        if (s->status != SM_OK)
            return false;
        if (kept(after) != kept(before))
            return true;
        step = next_step(before, after);
        *before = *after;
    }
    return false;
}

/* The limit at the frequency looked at, from a place that is known; it is written there.  KEPT: the
 * hot end; SHORT: the cool one. */
static enum sm_limit_state limit_at(struct search *s, struct place *place)
{
    struct place before = *place, after = *place;
    s->best = *place;
    if (!bracket(s, &before, &after)) {
        *place = before;
        if (kept(&before))
            return SM_LIMIT_KEPT;
        /* of a fan a lower frequency may well be cooler than the one where the search begins */
        return s->id == SM_LIMIT_LOWEST_OUTPUT ? SM_LIMIT_SHORT_ALREADY : SM_LIMIT_SHORT;
    }
    const struct place *low = kept(&before) ? &before : &after;
    const struct place *high = kept(&before) ? &after : &before;
    const struct root_search root = { .f = excess_at,
                                      .context = s,
                                      .low = low->u,
                                      .high = high->u,
                                      .f_low = low->excess,
                                      .f_high = high->excess,
                                      .tolerance = MARGIN_ACCURACY,
                                      .width = EDGE_WIDTH };
    double u = 0.0;
    const enum sm_status status = root_find(&root, &u);
    if (s->status == SM_OK)
        s->status = status;
    *place = s->best;
    return SM_LIMIT_FOUND;
}

/* The place that the result already tells, moved into the range where it lies outside. */
static struct place place_now(struct search *s, const struct sm_point *point)
{
    const double u = way_place(&s->way, value_now(s->id, s->c->drive));
    if (u >= 0.0 && u <= 1.0)
        return place_of(s, u, point);
    return look(s, fmin(fmax(u, 0.0), 1.0));
}

static void limit_tell(const struct search *s, const struct place *place, struct sm_limit *out)
{
    out->value = way_value(&s->way, place->u);
    out->runaway_beyond = fabs(place->excess) > EDGE_EXCESS;
    out->set_by_hz =
        s->id == SM_LIMIT_LOWEST_OUTPUT ? out->value : s->c->drive->test.frequencies.v[s->at];
    out->set_by = place->worst;
}

/* Test frequencies in the order they are looked at: `first`, then the others. */
static size_t in_turn(size_t first, size_t k)
{
    if (k == 0)
        return first;
    return k <= first ? k - 1 : k;
}

/* The strictest limit of n test frequencies, `first` and after it the others. */
static enum sm_status strictest(struct search *s, size_t first, size_t n,
                                const struct sm_result *result, struct sm_limit *out)
{
    s->at = first;
    struct place place = place_now(s, &result->points[first]);
    for (size_t k = 0; k < n && s->status == SM_OK && out->state != SM_LIMIT_SHORT; k++) {
        s->at = in_turn(first, k);
        if (k > 0)
            place = look(s, place.u);
        if (s->status != SM_OK || (k > 0 && place.excess > -SAME_EXCESS))
            continue;
        out->state = limit_at(s, &place);
        if (s->status == SM_OK && out->state == SM_LIMIT_FOUND)
            limit_tell(s, &place, out);
    }
    return s->status;
}

static enum sm_status limit_solve(struct search *s, const struct sm_result *result,
                                  struct sm_limit *out)
{
    const struct sm_drive *drive = s->c->drive;
    s->way = way_of(s->id, s->c);
    *out = (struct sm_limit){ .low = fmin(s->way.cool, s->way.hot),
                              .high = fmax(s->way.cool, s->way.hot) };
    if (s->id == SM_LIMIT_JOINT_THICKNESS && !result->joint.layer_used)
        out->state = SM_LIMIT_NO_LAYER;
    else if (s->id == SM_LIMIT_LOWEST_OUTPUT && !(s->way.cool > s->way.hot))
        out->state = SM_LIMIT_NO_RANGE;
    else if (s->id == SM_LIMIT_LOWEST_OUTPUT)
        return strictest(s, lowest_test_frequency(drive), 1, result, out);
    else
        return strictest(s, result->worst_point, drive->test.frequencies.n, result, out);
    return SM_OK;
}

enum sm_status limits_solve(struct arena *arena, struct arena *scratch, const struct sm_case *c,
                            const struct stage *stage, const struct sm_result *result,
                            struct sm_limit *limits)
{
    const struct sm_list *f = &c->drive->test.frequencies;
    struct search s = { .scratch = scratch, .c = c, .stage = stage };
    s.prepared = arena_bytes(arena, f->n * sizeof *s.prepared);
    if (!s.prepared)
        return SM_ERR_MEMORY;
    for (size_t i = 0; i < f->n; i++) {
        const struct operating_point point =
            operating_point_at(c->drive, f->v[i], c->drive->test.load);
        const enum sm_status status =
            electrothermal_prepare(arena, stage, &point, s.prepared[i].chip);
        if (status != SM_OK)
            return status;
    }
    enum sm_status status = SM_OK;
    for (int id = 0; id < SM_LIMIT_COUNT && status == SM_OK; id++) {
        s.id = (enum sm_limit_id)id;
        status = limit_solve(&s, result, &limits[id]);
    }
    return status;
}
