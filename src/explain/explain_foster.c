/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The ripple of the junction: each Foster term over the cycle, and where their sum is extreme. */
#include "base/maths.h"
#include "explain/builder.h"

#include <math.h>

/* One Foster term over the cycle. */
struct term {
    const struct chip_state *chip;
    double r, tau, output_hz; /* K/W, s, Hz */
};

static struct term term_of(const struct ask *ask, size_t k)
{
    return (struct term){ .chip = &ask->w.site->chip[ask->w.chip],
                          .r = ask->b->base.stage.foster_r[ask->w.chip]->v[k],
                          .tau = ask->b->base.stage.foster_tau[ask->w.chip]->v[k],
                          .output_hz = ask->w.site->op.output_hz };
}

/* Duration of a panel over the term's time constant. */
static double panel_ratio(const struct term *term, size_t panel)
{
    return term->chip->cycle.width[panel] / (2.0 * PI * term->output_hz * term->tau);
}

/* State at the fraction v of a panel, from its first state.  p: W at the panel's nodes. */
static double advance(const struct term *term, size_t panel, double v, double x, const double *p)
{
    double weight[PANEL_NODES];
    double sum = x * ripple_weights(panel_ratio(term, panel), v, weight);
    for (int k = 0; k < PANEL_NODES; k++)
        sum += term->r * weight[k] * p[k];
    return sum;
}

/* The march from a first state: the state at each panel's start; returned: at the end. */
static double march(const struct term *term, double x, const double *p, double *starts)
{
    for (size_t panel = 0; panel < term->chip->cycle.n_panels; panel++) {
        if (starts)
            starts[panel] = x;
        x = advance(term, panel, 1.0, x, &p[PANEL_NODES * panel]);
    }
    return x;
}

/* State at the start that repeats after a cycle. */
static double start_of(const struct term *term, const double *p)
{
    const double half = 0.5 / (term->output_hz * term->tau);
    return march(term, 0.0, p, NULL) * exp(-half) / -expm1(-2.0 * half);
}

/* W at every node at the temperatures told. */
static const double *losses(const struct ask *ask)
{
    const struct chip_state *chip = &ask->w.site->chip[ask->w.chip];
    double *p = arena_doubles(ask->b->arena, chip->cycle.n_nodes);
    if (p)
        (void)cycle_losses(&chip->cycle, 1.0, chip->t, p, chip->dp);
    return p;
}

/* --------------------------------------------------------------- the table */

static void add_states(const struct ask *ask, const struct term *term, enum column column,
                       enum formula formula, double start)
{
    const struct cycle *cycle = &term->chip->cycle;
    const double *p = losses(ask);
    double *starts = arena_doubles(ask->b->arena, cycle->n_panels);
    double *x = say_computed(ask, column, formula);
    if (!p || !starts || !x)
        return;
    (void)march(term, start, p, starts);
    for (size_t j = 0; j < cycle->n_nodes; j++) {
        const size_t panel = j / PANEL_NODES;
        x[j] = advance(term, panel, panel_place[j % PANEL_NODES], starts[panel],
                       &p[PANEL_NODES * panel]);
    }
}

static void add_weights(const struct ask *ask, const struct term *term)
{
    static const enum column columns[PANEL_NODES] = { COLUMN_WEIGHT_0, COLUMN_WEIGHT_1,
                                                      COLUMN_WEIGHT_2, COLUMN_WEIGHT_3 };
    static const enum formula formulas[PANEL_NODES] = {
        FORMULA_STEP_WEIGHT_0, FORMULA_STEP_WEIGHT_1, FORMULA_STEP_WEIGHT_2, FORMULA_STEP_WEIGHT_3
    };
    const struct cycle *cycle = &term->chip->cycle;
    double *decay = say_computed(ask, COLUMN_DECAY, FORMULA_STEP_DECAY);
    double *weight[PANEL_NODES];
    for (int k = 0; k < PANEL_NODES; k++)
        weight[k] = say_computed(ask, columns[k], formulas[k]);
    for (size_t j = 0; !ask->b->arena->failed && j < cycle->n_nodes; j++) {
        const double a = cycle->width[j / PANEL_NODES] / (2.0 * PI * term->output_hz * term->tau);
        double w[PANEL_NODES];
        decay[j] = ripple_weights(a, panel_place[j % PANEL_NODES], w);
        for (int k = 0; k < PANEL_NODES; k++)
            weight[k][j] = term->r * w[k];
    }
}

/* A panel's first node takes over from the row before, the others carry on from the first. */
static void add_carried(const struct ask *ask, size_t n)
{
    double *b = say_laid_out(ask, COLUMN_CARRIED);
    for (size_t j = 0; b && j < n; j++) {
        const size_t first = j - j % PANEL_NODES;
        b[j] = (double)(j == first && j > 0 ? j - 1 : first);
    }
}

static void tell_term(const struct ask *ask)
{
    const struct term term = term_of(ask, ask->w.k);
    const double *p = losses(ask);
    say_rows(ask, term.chip->cycle.n_nodes);
    add_weights(ask, &term);
    add_carried(ask, term.chip->cycle.n_nodes);
    add_states(ask, &term, COLUMN_COLD, FORMULA_TERM_COLD, 0.0);
    add_states(ask, &term, COLUMN_STATE, FORMULA_TERM_STATE, p ? start_of(&term, p) : 0.0);
}

/* ------------------------------------------------------------ the extremes */

/* The rise over the case as all terms make it. */
struct swing {
    const struct ask *ask;
    const double *p; /* W  at the nodes */
    double *starts;  /* K  [term * n_panels + panel] */
    size_t n_terms, n_panels;
    double sign; /* 1 for the highest, -1 for the lowest */
};

struct place {
    size_t panel;
    double v;    /* 1  in it */
    double rise; /* K  times the sign */
};

static struct swing swing_of(const struct ask *ask)
{
    struct swing swing = { .ask = ask,
                           .p = losses(ask),
                           .n_terms = ask->b->base.stage.foster_r[ask->w.chip]->n,
                           .n_panels = ask->w.site->chip[ask->w.chip].cycle.n_panels,
                           .sign = ask->w.lowest ? -1.0 : 1.0 };
    swing.starts = arena_doubles(ask->b->arena, swing.n_terms * swing.n_panels);
    for (size_t k = 0; swing.p && swing.starts && k < swing.n_terms; k++) {
        const struct term term = term_of(ask, k);
        (void)march(&term, start_of(&term, swing.p), swing.p, &swing.starts[k * swing.n_panels]);
    }
    return swing;
}

static double term_at(const struct swing *swing, size_t k, size_t panel, double v)
{
    const struct term term = term_of(swing->ask, k);
    return advance(&term, panel, v, swing->starts[k * swing->n_panels + panel],
                   &swing->p[PANEL_NODES * panel]);
}

static struct place place_at(const struct swing *swing, size_t panel, double v)
{
    struct place place = { .panel = panel, .v = v };
    for (size_t k = 0; k < swing->n_terms; k++)
        place.rise += swing->sign * term_at(swing, k, panel, v);
    return place;
}

static struct place better(struct place a, struct place b)
{
    return b.rise > a.rise ? b : a;
}

/* Parts of a panel that are looked at, and halvings of the stretch around the best one. */
enum { PARTS = 16, HALVINGS = 30 };

/* The best of one panel: of its parts' ends, then between both neighbours of that: one hill. */
static struct place best_of_panel(const struct swing *swing, size_t panel)
{
    struct place best = place_at(swing, panel, 0.0);
    for (int i = 1; i <= PARTS; i++)
        best = better(best, place_at(swing, panel, (double)i / PARTS));
    double step = 0.5 / PARTS;
    for (int i = 0; i < HALVINGS; i++, step *= 0.5) {
        best = better(best, place_at(swing, panel, fmax(best.v - step, 0.0)));
        best = better(best, place_at(swing, panel, fmin(best.v + step, 1.0)));
    }
    return best;
}

static struct place extreme_of(const struct swing *swing)
{
    struct place best = best_of_panel(swing, 0);
    for (size_t panel = 1; panel < swing->n_panels; panel++)
        best = better(best, best_of_panel(swing, panel));
    return best;
}

/* One row a term. */
static void tell_extreme(const struct ask *ask, const struct swing *swing, const struct place *at)
{
    say_rows(ask, swing->n_terms);
    double *r = say_computed(ask, COLUMN_EXTREME_R, FORMULA_EXTREME_R);
    double *tau = say_computed(ask, COLUMN_EXTREME_TAU, FORMULA_EXTREME_TAU);
    double *start = say_computed(ask, COLUMN_EXTREME_START, FORMULA_EXTREME_START);
    double *ratio = say_computed(ask, COLUMN_EXTREME_RATIO, FORMULA_EXTREME_RATIO);
    double *rise = say_computed(ask, COLUMN_EXTREME_RISE, FORMULA_EXTREME_RISE);
    for (size_t k = 0; r && tau && start && ratio && rise && k < swing->n_terms; k++) {
        const struct term term = term_of(ask, k);
        r[k] = term.r;
        tau[k] = term.tau;
        start[k] = swing->starts[k * swing->n_panels + at->panel];
        ratio[k] = panel_ratio(&term, at->panel);
        rise[k] = term_at(swing, k, at->panel, at->v);
    }
}

static void tell_swing(const struct ask *ask)
{
    const struct swing swing = swing_of(ask);
    if (!swing.p || !swing.starts)
        return;
    const struct place place = extreme_of(&swing);
    switch ((int)ask->q) {
    case QUANTITY_RISE_MAX:
    case QUANTITY_RISE_MIN:
        say_value(ask, swing.sign * place.rise, FORMULA_RISE);
        break;
    case QUANTITY_EXTREME:
        tell_extreme(ask, &swing, &place);
        break;
    case QUANTITY_AT_ROW:
        say_found(ask, (double)(PANEL_NODES * place.panel), "found by search over all panels");
        break;
    case QUANTITY_AT_PLACE:
        say_found(ask, place.v, "found by search between the nodes");
        break;
    default:
        break;
    }
}

void tell_foster(const struct ask *ask)
{
    if (ask->w.site->point.runaway) {
        say_null(ask, WHY_RUNAWAY);
        return;
    }
    if (ask->q == QUANTITY_TERM) {
        tell_term(ask);
    } else if (ask->q == QUANTITY_TERM_START) {
        const struct term term = term_of(ask, ask->w.k);
        const double *p = losses(ask);
        say_value(ask, p ? start_of(&term, p) : 0.0, FORMULA_TERM_START);
    } else {
        tell_swing(ask);
    }
}
