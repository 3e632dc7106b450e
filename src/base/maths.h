/* SPDX-License-Identifier: GPL-3.0-or-later
 * Constants of mathematics that C11 does not have, two functions it has too slow, and when two
 * numbers are one. */
#ifndef SM_BASE_MATHS_H
#define SM_BASE_MATHS_H

#include <math.h>
#include <stdbool.h>

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

/* 1: relative distance below which two values are the same typed number. */
#define SAME_NUMBER 1e-9

/* True when two values stand for the same typed number, in whatever units. */
static inline bool same_number(double a, double b)
{
    return fabs(a - b) <= SAME_NUMBER * fmax(fabs(a), fabs(b));
}

#endif
