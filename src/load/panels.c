/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/panels.h"

#include "base/maths.h"
#include "load/modulation.h"

#include <math.h>

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

/* 1: part of the usual width that panels of a slow cycle have: the junction's temperature follows
 * the loss there, not only its mean. */
#define SLOW_SHARE (5.0 / 6.0)

/* 1: a datasheet point below this part of the peak is not cut at.  The loss goes with more than the
 * current there, and what a bend of the curve moves with the square of the angle that it spans. */
#define FAINT 0.05

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
        if (device->i_break[j] < FAINT * i_peak)
            continue;
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

/* ---------------------------------------------------------- the panels */

struct edges {
    double *left;  /* rad, one a panel */
    double *width; /* rad */
    size_t n;      /* panels */
};

/* Cuts between -pi/2 and pi/2 -> panels: doubles merged, wide gaps divided evenly, so that many
 * panels have one width. */
static void edges_from_cuts(const struct cuts *cuts, double widest, struct edges *edges)
{
    double left = -PI / 2.0;
    for (size_t i = 0; i <= cuts->n; i++) {
        const double gap = (i < cuts->n ? cuts->psi[i] : PI / 2.0) - left;
        if (gap < SAME_CUT)
            continue;
        const size_t parts = (size_t)ceil(gap / widest);
        const double width = gap / (double)parts;
        for (size_t k = 0; k < parts; k++) {
            edges->left[edges->n] = left + width * (double)k;
            edges->width[edges->n++] = width;
        }
        left += gap;
    }
}

static size_t cuts_room(const struct device *device, size_t n_devices)
{
    const size_t kinks = 4; /* one a sixth of a cycle, at both ends of the half too */
    size_t room = kinks * (1 + (size_t)after_jump.steps);
    for (size_t k = 0; k < n_devices; k++)
        room += 2 * (device[k].n_breaks + (device[k].power_law ? (size_t)near_zero.steps : 0));
    return room;
}

static bool nodes_allocate(struct arena *arena, struct panels *panels)
{
    panels->psi = arena_doubles(arena, panels->n_nodes);
    panels->current = arena_doubles(arena, panels->n_nodes);
    panels->duty = arena_doubles(arena, panels->n_nodes);
    panels->weight = arena_doubles(arena, panels->n_nodes);
    panels->switching = arena_doubles(arena, panels->n_nodes);
    return !arena->failed;
}

/* The point's angle as sums and products: theta = phi + psi. */
struct phase {
    double cos_phi, sin_phi;
};

/* What the load does at node j, whose psi is set. */
static void node_fill(struct panels *panels, size_t j, const struct modulation_stretch *stretch,
                      const struct phase *phase, const struct operating_point *point)
{
    const double c = cos(panels->psi[j]), s = sin(panels->psi[j]);
    const double cos_theta = phase->cos_phi * c - phase->sin_phi * s;
    const double sin_theta = phase->sin_phi * c + phase->cos_phi * s;
    panels->current[j] = c > 0.0 ? point->i_peak * c : 0.0; /* cos(pi/2) rounds below 0 */
    panels->duty[j] = 0.5 * (1.0 + modulation_value(stretch, point->m, cos_theta, sin_theta));
    panels->switching[j] = stretch->held ? 0.0 : point->switching_hz;
}

static void panel_fill(struct panels *panels, size_t panel, double left, const struct phase *phase,
                       const struct operating_point *point)
{
    const double width = panels->width[panel];
    const struct modulation_stretch stretch =
        modulation_stretch_at(point->scheme, point->phi + left + 0.5 * width);
    for (size_t k = 0; k < PANEL_NODES; k++) {
        const size_t j = PANEL_NODES * panel + k;
        panels->psi[j] = left + width * panel_place[k];
        panels->weight[j] = panel_mean_weight[k] * width / (2.0 * PI);
        node_fill(panels, j, &stretch, phase, point);
    }
}

struct panels panels_even(struct arena *arena, const struct operating_point *point, size_t n)
{
    struct panels even = { .n_nodes = n };
    const struct phase phase = { cos(point->phi), sin(point->phi) };
    const double width = PI / (double)n, start = point->phi - PI / 2.0;
    const double moved = width * round(start / width) - start;
    if (!nodes_allocate(arena, &even))
        return even;
    for (size_t j = 0; j < n; j++) {
        even.psi[j] = width * ((double)j + 0.5) - PI / 2.0 + moved;
        even.weight[j] = 0.5 / (double)n;
        const struct modulation_stretch stretch =
            modulation_stretch_at(point->scheme, point->phi + even.psi[j]);
        node_fill(&even, j, &stretch, &phase, point);
    }
    return even;
}

struct panels panels_build(struct arena *arena, const struct device *device, size_t n_devices,
                           const struct operating_point *point, double widest)
{
    struct panels panels = { .n_panels = 0 };
    const double width = point->output_hz < SLOW_CYCLE ? SLOW_SHARE * widest : widest;
    const size_t room = cuts_room(device, n_devices);
    const size_t most = room + 1 + (size_t)ceil(PI / width);
    struct cuts cuts = { .psi = arena_doubles(arena, room) };
    struct edges edges = { .left = arena_doubles(arena, most),
                           .width = arena_doubles(arena, most) };
    if (arena->failed)
        return panels;
    add_modulation_cuts(&cuts, point);
    for (size_t k = 0; k < n_devices; k++)
        add_device_cuts(&cuts, &device[k], point->i_peak);
    cuts_sort(&cuts);
    edges_from_cuts(&cuts, width, &edges);
    panels.n_panels = edges.n;
    panels.n_nodes = PANEL_NODES * edges.n;
    panels.width = edges.width;
    const struct phase phase = { cos(point->phi), sin(point->phi) };
    if (nodes_allocate(arena, &panels))
        for (size_t p = 0; p < edges.n; p++)
            panel_fill(&panels, p, edges.left[p], &phase, point);
    return panels;
}
