/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The numbers in the rules of the electrical fit, each with its source. */
#ifndef SM_ASSESS_CHECK_CONSTANTS_H
#define SM_ASSESS_CHECK_CONSTANTS_H

/* 1, of V_CES: common practice for a bus that stands there for years; cf. the advice of makers to
 * stay below 60 to 67 % for the sake of cosmic radiation (value from memory). */
#define BUS_SHARE 0.65
#define BUS_SHARE_MOST 0.8

/* 1, of V_CES: common practice. */
#define PEAK_SHARE 0.9

/* 1: the steepest slope of the falling current over its mean from 90 % to 10 %; common practice. */
#define STEEPEST 1.5

/* V rms: added to the line voltage for the test of basic insulation, IEC 61800-5-1:2007 (value from
 * memory).  The line-to-line voltage stands for the standard's system voltage: the safe side. */
#define INSULATION_ADDED 1200.0

/* 1: what one of several modules in parallel carries over its share (common practice). */
#define UNEQUAL_SHARING 1.1

/* 1, of I_C,nom: the current that a module is made to turn off (common practice: the data sheets'
 * I_CRM and RBSOA). */
#define PEAK_RATING 2.0

/* V: how far the turn-on voltage may be from that of the curves (common practice). */
#define CURVE_VOLTAGE_REACH 1.0

/* 1: margin on the sum of delays, as makers' notes on dead time put it (value from memory). */
#define DEAD_TIME_MARGIN 1.2

#endif
