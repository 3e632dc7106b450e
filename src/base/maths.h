/* SPDX-License-Identifier: GPL-3.0-or-later
 * Constants of mathematics that C11 does not have, and two functions it has too slow. */
#ifndef SM_BASE_MATHS_H
#define SM_BASE_MATHS_H

#define PI 3.14159265358979323846
#define SQRT2 1.41421356237309504880
#define SQRT3 1.73205080756887729353

/* fmax() and fmin() for numbers that are none of them NaN: one instruction in a loop. */
static inline double larger(double a, double b)
{
    return a > b ? a : b;
}

static inline double smaller(double a, double b)
{
    return a < b ? a : b;
}

#endif
