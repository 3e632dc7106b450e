/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/cycle.h"

#include "base/maths.h"
#include "device/segment.h"
#include "load/modulation.h"

#include <math.h>
#include <string.h>

/* rad: two cuts nearer than this are one; far below what a mean could notice. */
#define SAME_CUT 1e-9

/* Panels that shrink towards a place where something is steep: the widest of them, how much each
 * is narrower than the one before, and how many. */
struct grading {
    double from;  /* rad */
    double ratio; /* 1 */
    int steps;    /* 1 */
};

/* A power of the current is steep near 0 A. */
static const struct grading near_zero = { .from = 0.2, .ratio = 4.0, .steps = 7 };

/* After a jump of the loss a short time constant settles within few degrees of a slow cycle, and
 * the loss follows that temperature.  In a fast cycle the plain panels are short enough. */
static const struct grading after_jump = { .from = 0.5, .ratio = 1.6, .steps = 14 };
#define SLOW_CYCLE 20.0 /* Hz */

/* ------------------------------------------------------------ the cuts */

struct cuts {
    double *psi; /* rad, rising after cuts_sort */
    size_t n;
};

static void cut_add(struct cuts *cuts, double psi)
{
    if (psi > -PI / 2.0 + SAME_CUT && psi < PI / 2.0 - SAME_CUT)
        cuts->psi[cuts->n++] = psi;
}

/* Cuts after a place (side 1) or before it (side -1), ever nearer to it. */
static void cut_add_graded(struct cuts *cuts, double psi, double side,
                           const struct grading *grading)
{
    double distance = grading->from;
    for (int j = 0; j < grading->steps; j++, distance /= grading->ratio)
        cut_add(cuts, psi + side * distance);
}

static void add_modulation_cuts(struct cuts *cuts, const struct operating_point *point)
{
    double first = 0.0, step = 0.0;
    if (!modulation_kinks(point->scheme, &first, &step))
        return;
    const double start = point->phi - PI / 2.0; /* theta where conduction starts */
    double theta = first + step * ceil((start - first) / step);
    for (; theta < start + PI; theta += step) {
        cut_add(cuts, theta - point->phi);
        if (point->scheme == SM_MOD_CLAMPED && point->output_hz < SLOW_CYCLE)
            cut_add_graded(cuts, theta - point->phi, 1.0, &after_jump);
    }
}

static void add_device_cuts(struct cuts *cuts, const struct device *device, double i_peak)
{
    for (size_t j = 0; j < device->n_breaks && device->i_break[j] < i_peak; j++) {
        const double psi = acos(device->i_break[j] / i_peak);
        cut_add(cuts, psi);
        cut_add(cuts, -psi);
    }
    if (!device->power_law)
        return;
    cut_add_graded(cuts, -PI / 2.0, 1.0, &near_zero);
    cut_add_graded(cuts, PI / 2.0, -1.0, &near_zero);
}

static void cuts_sort(struct cuts *cuts)
{
    for (size_t i = 1; i < cuts->n; i++) {
        const double value = cuts->psi[i];
        size_t j = i;
        for (; j > 0 && cuts->psi[j - 1] > value; j--)
            cuts->psi[j] = cuts->psi[j - 1];
        cuts->psi[j] = value;
    }
}

/* Cuts between -pi/2 and pi/2 -> panel edges: doubles merged, wide gaps divided evenly. */
static size_t edges_from_cuts(const struct cuts *cuts, double widest, double *edge)
{
    size_t n = 0;
    edge[n++] = -PI / 2.0;
    for (size_t i = 0; i <= cuts->n; i++) {
        const double left = edge[n - 1];
        const double right = i < cuts->n ? cuts->psi[i] : PI / 2.0;
        if (right - left < SAME_CUT)
            continue;
        const size_t parts = (size_t)ceil((right - left) / widest);
        for (size_t k = 1; k <= parts; k++)
            edge[n++] = left + (right - left) * (double)k / (double)parts;
    }
    edge[n - 1] = PI / 2.0;
    return n;
}

static double *panel_edges(struct arena *arena, const struct device *device,
                           const struct operating_point *point, double widest, size_t *n_edges)
{
    const size_t kinks = 4; /* one a sixth of a cycle, at both ends of the half too */
    const size_t room =
        kinks * (1 + (size_t)after_jump.steps) + 2 * (device->n_breaks + (size_t)near_zero.steps);
    struct cuts cuts = { .psi = arena_doubles(arena, room) };
    double *edge = arena_doubles(arena, room + 2 + (size_t)ceil(PI / widest));
    if (!cuts.psi || !edge)
        return NULL;
    add_modulation_cuts(&cuts, point);
    add_device_cuts(&cuts, device, point->i_peak);
    cuts_sort(&cuts);
    *n_edges = edges_from_cuts(&cuts, widest, edge);
    return edge;
}

/* ----------------------------------------------------------- the nodes */

struct nodes {
    double *width, *psi, *current, *duty, *weight, *switching;
};

static bool nodes_allocate(struct arena *arena, size_t n_panels, struct nodes *nodes)
{
    const size_t n = PANEL_NODES * n_panels;
    nodes->width = arena_doubles(arena, n_panels);
    nodes->psi = arena_doubles(arena, n);
    nodes->current = arena_doubles(arena, n);
    nodes->duty = arena_doubles(arena, n);
    nodes->weight = arena_doubles(arena, n);
    nodes->switching = arena_doubles(arena, n);
    return !arena->failed;
}

static void panel_fill(const struct nodes *nodes, size_t panel, double left, double right,
                       const struct operating_point *point, enum sm_chip_kind kind)
{
    const double inside = point->phi + 0.5 * (left + right);
    const bool held = modulation_held(point->scheme, inside);
    nodes->width[panel] = right - left;
    for (size_t k = 0; k < PANEL_NODES; k++) {
        const size_t j = PANEL_NODES * panel + k;
        const double psi = left + (right - left) * panel_place[k];
        const double reference =
            modulation_reference(point->scheme, point->m, point->phi + psi, inside);
        const double upper = 0.5 * (1.0 + reference);
        nodes->psi[j] = psi;
        nodes->current[j] = fmax(point->i_peak * cos(psi), 0.0); /* cos(pi/2) rounds below 0 */
        nodes->duty[j] = kind == SM_IGBT ? upper : 1.0 - upper;
        nodes->weight[j] = panel_mean_weight[k] * (right - left) / (2.0 * PI);
        nodes->switching[j] = held ? 0.0 : point->switching_hz;
    }
}

/* ---------------------------------------------------------- the losses */

/* The loss tables while they are filled: [knot * n_nodes + node]. */
struct loss_tables {
    double *loss[LOSS_COUNT];
    double *at_knots; /* one value a knot, scratch */
    size_t n_nodes;
};

static void node_losses(const struct device *device, const struct nodes *nodes, size_t j,
                        const struct loss_tables *tables)
{
    const double i = nodes->current[j];
    const double conducts = nodes->duty[j] * i;
    const double switches = nodes->switching[j];
    device_voltage_at_knots(device, i, tables->at_knots);
    for (size_t k = 0; k < device->n_knots; k++)
        tables->loss[LOSS_CONDUCTION][k * tables->n_nodes + j] = conducts * tables->at_knots[k];
    for (size_t m = 0; m < ENERGY_COUNT; m++) {
        if (!device->energy[m].present)
            continue;
        device_energy_at_knots(device, (enum energy_kind)m, i, tables->at_knots);
        for (size_t k = 0; k < device->n_knots; k++)
            tables->loss[LOSS_FIRST + m][k * tables->n_nodes + j] = switches * tables->at_knots[k];
    }
}

static void losses_build(struct arena *arena, const struct device *device,
                         const struct nodes *nodes, struct cycle *cycle)
{
    const size_t size = device->n_knots * cycle->n_nodes;
    struct loss_tables tables = { .n_nodes = cycle->n_nodes };
    for (size_t m = 0; m < LOSS_COUNT; m++)
        cycle->loss[m] = tables.loss[m] = arena_doubles(arena, size);
    double *total = arena_doubles(arena, size);
    tables.at_knots = arena_doubles(arena, device->n_knots);
    if (arena->failed)
        return;
    for (size_t j = 0; j < cycle->n_nodes; j++)
        node_losses(device, nodes, j, &tables);
    for (size_t q = 0; q < size; q++)
        total[q] = tables.loss[LOSS_CONDUCTION][q] + tables.loss[LOSS_FIRST][q] +
                   tables.loss[LOSS_SECOND][q];
    cycle->total = total;
}

struct cycle cycle_build(struct arena *arena, const struct device *device,
                         const struct operating_point *point, double widest)
{
    struct cycle cycle = { .n_knots = device->n_knots, .t_knot = device->t_knot };
    struct nodes nodes;
    size_t n_edges = 0;
    const double *edge = panel_edges(arena, device, point, widest, &n_edges);
    if (!edge || !nodes_allocate(arena, n_edges - 1, &nodes))
        return cycle;
    cycle.n_panels = n_edges - 1;
    cycle.n_nodes = PANEL_NODES * cycle.n_panels;
    for (size_t p = 0; p < cycle.n_panels; p++)
        panel_fill(&nodes, p, edge[p], edge[p + 1], point, device->kind);
    cycle.width = nodes.width;
    cycle.psi = nodes.psi;
    cycle.current = nodes.current;
    cycle.duty = nodes.duty;
    cycle.weight = nodes.weight;
    losses_build(arena, device, &nodes, &cycle);
    return cycle;
}

/* ---------------------------------------------------------- evaluation */

double cycle_mean(const struct cycle *cycle, const double *values)
{
    double sum = 0.0;
    for (size_t j = 0; j < cycle->n_nodes; j++)
        sum += cycle->weight[j] * values[j];
    return sum;
}

double cycle_rms_current(const struct cycle *cycle)
{
    double sum = 0.0;
    for (size_t j = 0; j < cycle->n_nodes; j++)
        sum += cycle->weight[j] * cycle->duty[j] * cycle->current[j] * cycle->current[j];
    return sqrt(sum);
}

/* Value at node j and temperature t of a table [knot][node]; its slope too when asked. */
static double table_at(const struct cycle *cycle, const double *table, size_t j, double t,
                       double *slope)
{
    const size_t k = segment_of(cycle->t_knot, cycle->n_knots, t);
    const double low = table[k * cycle->n_nodes + j], high = table[(k + 1) * cycle->n_nodes + j];
    if (slope)
        *slope = segment_slope(cycle->t_knot, k, low, high);
    return segment_value(cycle->t_knot, k, low, high, t);
}

double cycle_mean_loss(const struct cycle *cycle, enum loss_kind kind, const double *t)
{
    double sum = 0.0;
    for (size_t j = 0; j < cycle->n_nodes; j++)
        sum += cycle->weight[j] * table_at(cycle, cycle->loss[kind], j, t[j], NULL);
    return sum;
}

void cycle_losses(const struct cycle *cycle, double factor, const double *t, double *p, double *dp)
{
    for (size_t j = 0; j < cycle->n_nodes; j++) {
        double slope = 0.0;
        p[j] = factor * table_at(cycle, cycle->total, j, t[j], &slope);
        dp[j] = factor * slope;
    }
}
