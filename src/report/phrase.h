/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Notes and quantities as a person reads them. */
#ifndef SWAPMARGIN_REPORT_PHRASE_H
#define SWAPMARGIN_REPORT_PHRASE_H

#include "swapmargin/report.h"
#include "swapmargin/result.h"

/* Significant digits of a number in a sentence: more than typical curves are worth. */
#define PHRASE_DIGITS 4

/* Adds the printed spelling of a unit symbol: "degC" -> "°C", "um" -> "µm", "mohm" -> "mΩ",
 * "W/(m.K)" -> "W/(m·K)"; plain ASCII leaves the symbol as it is. */
void phrase_unit(struct sm_text *out, const char *unit, bool utf8);

/* Adds an SI value in `unit`: "128.6 °C"; unit "" gives a bare number.  A number that is not finite
 * is written as "(not a number)", so that it cannot pass unseen. */
void phrase_quantity(struct sm_text *out, double si, const char *unit, bool utf8);

/* Significant digits at which a and b, both in the unit they are shown in, print unlike:
 * PHRASE_DIGITS, or more where they would not be told apart; PHRASE_DIGITS for equal ones. */
int phrase_digits_apart(double a, double b);

/* Adds an SI value that stands beside another in the same sentence or row, with as many digits as
 * tell it from that. */
void phrase_beside(struct sm_text *out, double si, double other, const char *unit, bool utf8);

/* The side on which the true limit is not passed. */
enum phrase_side {
    PHRASE_AT_MOST, /* smaller values keep it */
    PHRASE_AT_LEAST /* larger ones do */
};

/* Adds a limit that was searched for, rounded to the side that keeps it: what is printed may be
 * typed in. */
void phrase_bound(struct sm_text *out, double si, const char *unit, enum phrase_side side,
                  bool utf8);

/* Adds the note's sentence.  Placeholders: {i:unit} is value[i] in that unit, the unit after it;
 * {i:} a bare number; {text} and {other} the note's texts; {keys} the keys it names.  Values of one
 * unit that differ do not print alike. */
void phrase_note(struct sm_text *out, const struct sm_note *note, bool utf8);

/* The same for any template; phrase_note() is this with the row of the note. */
void phrase_template(struct sm_text *out, const char *sentence, const struct sm_note *note,
                     bool utf8);

/* Adds the warning's sentence, without its place. */
void phrase_warning(struct sm_text *out, const struct sm_warning *warning, bool utf8);

/* Adds why a limit has no value; nothing when it has one. */
void phrase_no_limit(struct sm_text *out, enum sm_limit_id id, const struct sm_limit *limit,
                     bool utf8);

#endif
