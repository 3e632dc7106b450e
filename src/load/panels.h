/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Half a cycle of conduction cut into panels in which everything is smooth, and what the load does
 * at the panels' nodes.  Panels end where the modulation bends or jumps and where the current
 * passes a datasheet point of either chip.
 *
 * The upper IGBT conducts while the phase current is positive: psi from -pi/2 to pi/2 about the
 * current's peak.  The upper diode carries the negative half; half-wave symmetry of every scheme
 * makes it the same half cycle with 1 - d for d: one set of panels serves both. */
#ifndef SM_LOAD_PANELS_H
#define SM_LOAD_PANELS_H

#include "base/arena.h"
#include "base/panel.h"
#include "device/device.h"
#include "load/operating_point.h"

#include <stddef.h>

struct panels {
    size_t n_panels;
    size_t n_nodes;    /* node j belongs to panel j / PANEL_NODES */
    double *width;     /* rad, one a panel; they add up to pi */
    double *psi;       /* rad, one a node, from the current's peak */
    double *current;   /* A   i_peak cos psi */
    double *duty;      /* 1   of the upper switch */
    double *weight;    /* 1   mean over the cycle = sum of weight * value */
    double *switching; /* Hz  0 while the leg is held */
};

/* rad: panels this wide keep the quadrature's error of a junction temperature below 0.5 mK
 * (tests/test_electrothermal.c shows it against panels a quarter as wide). */
#define PANELS_WIDEST (3.14159265358979323846 / 10.0)

/* Given: the devices that will be loaded, 1 or more; an operating point; widest, rad: no panel is
 * wider (PANELS_WIDEST as a rule).  On lack of memory arena->failed is set. */
struct panels panels_build(struct arena *arena, const struct device *device, size_t n_devices,
                           const struct operating_point *point, double widest);

/* The same half cycle as n equal stretches without panels, each with one node in its middle: for
 * who marches through it in steps.  They end where the modulation bends or jumps, so the first
 * begins within half a stretch of where conduction does.  n_panels is 0 and width NULL.  n: a
 * multiple of PANEL_NODES and of 6. */
struct panels panels_even(struct arena *arena, const struct operating_point *point, size_t n);

#endif
