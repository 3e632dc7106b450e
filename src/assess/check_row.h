/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rows of the electrical and mechanical fit, one function each, and what they are made from.
 *
 * One rule for partial data: what is certain to fail fails, whatever else is missing; else a row
 * that lacks a key is not checked and names it; only a row that lacks nothing passes or warns.
 * Where a row has several limits, the one that is broken is told, else the narrowest.
 *
 * A rule without a source beside it is common practice.
 *
 * Equations: docs/method.md, eq. 11.1 to 11.9. */
#ifndef SM_ASSESS_CHECK_ROW_H
#define SM_ASSESS_CHECK_ROW_H

#include "swapmargin/case.h"
#include "swapmargin/result.h"

/* What the rows look at. */
struct fit {
    const struct sm_drive *drive;
    const struct sm_module *module;
    const struct sm_module *original; /* or NULL */
    const struct sm_result *result;   /* solved: points and overload */
};

/* Each returns its row; the id is set by the caller. */
typedef struct sm_check check_function(const struct fit *fit);

/* checks_voltage.c */
check_function check_bus_voltage, check_turn_off_peak, check_isolation;
/* checks_current.c */
check_function check_current_rating, check_overcurrent_trip, check_short_circuit;
/* checks_overload.c */
check_function check_overload;
/* checks_gate.c */
check_function check_gate_power, check_gate_peak_current, check_gate_voltage, check_dead_time;
/* checks_mounting.c */
check_function check_screw_torque, check_thermistor, check_outline, check_pinout,
    check_set_of_three, check_same_lot;

/* ------------------------------------------------------------------ parts */

/* Keys that a row needs and the files do not give. */
struct wanted {
    const struct sm_key_name *key[SM_NOTE_KEYS];
    unsigned n;
    unsigned alternative; /* bit i: key[i] or key[i - 1] */
};

/* Adds the key unless it was given. */
void want_drive(struct wanted *wanted, enum sm_drive_key key, bool given);
void want_module(struct wanted *wanted, enum sm_module_key key, bool given);

/* The same for two keys of which one is enough. */
void want_drive_either(struct wanted *wanted, enum sm_drive_key one, enum sm_drive_key other,
                       bool given);
void want_module_either(struct wanted *wanted, enum sm_module_key one, enum sm_module_key other,
                        bool given);

/* V: the highest continuous bus; wants the keys without which a braking drive's is not known. */
double highest_bus(const struct fit *fit, struct wanted *wanted);

/* Names these keys in a note. */
void wanted_note(const struct wanted *wanted, struct sm_note *note);

/* A row that was not checked for want of these keys. */
struct sm_check check_missing(enum sm_check_id id, const struct wanted *wanted);

/* A row with both its numbers; the note's own numbers are the caller's to fill in. */
struct sm_check check_told(enum sm_check_result result, enum sm_note_id why, double value,
                           double limit);

/* value > limit, and not for the rounding of decimals alone. */
bool exceeds(double value, double limit);

#endif
