/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the example drive with its original module does at another site. */
#ifndef SM_TESTS_PUBLISHED_EXAMPLE_H
#define SM_TESTS_PUBLISHED_EXAMPLE_H

/* K: how much cooler the air must be at 2000 m than at 1000 m for the same highest junction. */
double example_altitude_kelvins(void);

/* 1: largest current at a site over that at 40 degC and 1000 m, the junction as hot at both. */
double example_current_share(double t_ambient, double altitude);

#endif
