/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a meter on the bus should read at one settled operating point: the ripple with all line
 * phases there, with one lost, and with no bus capacitor at all.
 *
 * Equations: docs/method.md, eq. 16.6 to 16.8. */
#ifndef SM_LOAD_BUS_READING_H
#define SM_LOAD_BUS_READING_H

#include "swapmargin/case.h"
#include "swapmargin/loadrun.h"

/* What one run's bus reads. */
struct bus_reading {
    struct sm_told power;        /* W  from the bus */
    struct sm_told ripple;       /* V  peak to peak */
    struct sm_told ripple_lost;  /* V  one line phase lost */
    struct sm_told ripple_bound; /* V  no capacitor at all */
};

/* Given: a drive and one of its solved points; modules: how many there are in it.  The rectifier's
 * own losses, and what a choke or the line's inductance smooth, are left out. */
struct bus_reading bus_reading_of(const struct sm_drive *drive, const struct sm_point *point,
                                  int modules);

#endif
