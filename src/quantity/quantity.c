/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/quantity.h"

#include "base/text.h"
#include "base/utf8.h"
#include "quantity/number.h"
#include "quantity/units.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define TEXT_LIMIT 2048 /* bytes of a value after folding; a line has 1,000 before it */
#define UNIT_LIMIT 40   /* bytes of a unit */
#define QUOTE_LIMIT 60  /* bytes of the offending text that a fault repeats */

/* What one value is read with, for the faults. */
struct reading {
    const char *text; /* as typed */
    enum sm_dimension dimension;
    const struct sm_place *place;
    struct sm_faults *faults;
};

static bool digit(char c)
{
    return c >= '0' && c <= '9';
}

/* What stands for `expected` when the units of the dimension are to be listed. */
#define A_UNIT NULL
static const char a_number[] = "a number in";

/* Adds "'<text>' <found>; <expected>". */
static enum sm_status reading_fault(const struct reading *r, const char *found,
                                    const char *expected)
{
    const size_t length = strlen(r->text);
    const size_t keep = length > QUOTE_LIMIT ? utf8_cut(r->text, QUOTE_LIMIT) : length;
    struct sm_text units;
    sm_text_init(&units);
    const bool list = expected == A_UNIT || expected == a_number;
    if (list && r->dimension == SM_DIM_PLAIN) {
        sm_text_add(&units, "expected a number without a unit");
    } else if (list && r->dimension == SM_DIM_NONE) {
        sm_text_add(&units, "expected a number as such or in %%");
    } else if (list) {
        sm_text_add(&units, "expected %s%s", expected ? expected : "", expected ? " " : "");
        units_list(r->dimension, &units);
    }
    const char *rest = !list ? expected : text_words(&units);
    enum sm_status status =
        sm_fault_add(r->faults, SM_ERR_VALUE, r->place, "'%.*s%s' %s; %s", (int)keep, r->text,
                     keep < length ? "..." : "", found, rest);
    sm_text_release(&units);
    return status;
}

/* The same, with the first character that is none of ours: letters of another alphabet look like
 * units, and some characters do not show at all. */
static enum sm_status stranger_fault(const struct reading *r, const char *found,
                                     const char *expected)
{
    char folded[TEXT_LIMIT], words[200];
    const char *p = unit_fold(r->text, folded, sizeof folded) ? folded : "";
    while (*p && (unsigned char)*p < 0x80u)
        p++;
    if (!*p || utf8_length(p) == 0)
        return reading_fault(r, found, expected);
    (void)snprintf(words, sizeof words, "%s (U+%04lX in it)", found, (unsigned long)utf8_code(p));
    return reading_fault(r, words, expected);
}

/* "1/K" begins with a digit, but is a unit. */
static bool starts_number(const char *p)
{
    return number_length(p) > 0 && !(p[0] == '1' && p[1] == '/');
}

/* Bytes of a dash at p that is no minus sign of ours: U+2010 to U+2013; 0 for none. */
static size_t dash_length(const char *p)
{
    return p[0] == '\xE2' && p[1] == '\x80' && p[2] >= '\x90' && p[2] <= '\x93' ? 3 : 0;
}

/* Whether a range begins behind a number: "460-480", "460 to 480", "460...480".  The first point
 * may have been read as the number's. */
static bool range_follows(const char *p)
{
    const size_t blanks = strspn(p, " ");
    const char *mark = p + blanks;
    const bool apart = blanks > 0;
    size_t n = dash_length(mark);
    if (*mark == '-' && (!apart || mark[1] == ' '))
        n = 1;
    else if (strncmp(mark, "..", 2) == 0 || (*mark == '.' && mark[-1] == '.'))
        n = strspn(mark, ".");
    else if (strncmp(mark, "\xE2\x80\xA6", 3) == 0) /* U+2026 horizontal ellipsis */
        n = 3;
    else if (*mark == '~')
        n = 1;
    else if (apart && strncmp(mark, "to ", 3) == 0)
        n = 3;
    mark += n;
    mark += strspn(mark, " +");
    return n > 0 && digit(*mark);
}

/* "480 V +/-10 %". */
static bool has_tolerance(const char *p)
{
    return strstr(p, "\xC2\xB1") || strstr(p, "+/-") || strstr(p, "+-"); /* U+00B1 */
}

/* "5.5x10^-2", with any sign of multiplication. */
static bool has_power_of_ten(const char *p)
{
    p += strspn(p, " ");
    const size_t times = *p == 'x' || *p == 'X' || *p == '*' ? 1
                         : strncmp(p, "\xC3\x97", 2) == 0    ? 2 /* U+00D7 */
                                                             : 0;
    p += times;
    p += strspn(p, " ");
    return times > 0 && strncmp(p, "10", 2) == 0;
}

/* What was found and what is expected. */
struct complaint {
    const char *found, *expected;
};

/* Numbers that look like something that we don't take: says what; found NULL for a good one. */
static struct complaint number_complaint(const char *p, size_t n, double value)
{
    static const char digits[] = "expected digits with a decimal point, as 0.25 or 2.5e-1";
    static const char single[] = "expected one number, or several parted by blanks";
    const bool zero = n == 1 && p[0] == '0';
    if (has_tolerance(p + n))
        return (struct complaint){ "has a tolerance", "expected the value alone" };
    if (zero && (p[1] == 'x' || p[1] == 'X'))
        return (struct complaint){ "is not a decimal number", digits };
    if (has_power_of_ten(p + n))
        return (struct complaint){ "has a power of ten", digits };
    if (p[n] == ',' && digit(p[n + 1]))
        return (struct complaint){ "has a comma between digits",
                                   "expected a decimal point, or a blank after the comma of a "
                                   "list; none between thousands" };
    if (range_follows(p + n))
        return (struct complaint){ "is a range", single };
    if (p[n] == '/' && digit(p[n + 1]))
        return (struct complaint){ "has a stroke between numbers", single };
    if (p[n] == '.' || p[n] == '\'' || p[n] == '_' || p[n] == '-' || p[n] == '+')
        return (struct complaint){ "is not a number", digits };
    if (n > NUMBER_LIMIT)
        return (struct complaint){ "has too many digits", digits };
    if (!isfinite(value))
        return (struct complaint){ "is too large", digits };
    return (struct complaint){ NULL, NULL };
}

/* Reads the numbers from *p on; *p is left at the unit.  Given: room for strlen(*p) values. */
static enum sm_status numbers_read(const struct reading *r, const char **p, double *values,
                                   size_t *count)
{
    bool comma = false;
    while (starts_number(*p)) {
        const size_t n = number_length(*p);
        const double value = number_value(*p, n);
        const struct complaint complaint = number_complaint(*p, n, value);
        if (complaint.found)
            return reading_fault(r, complaint.found, complaint.expected);
        values[(*count)++] = value;
        *p += n;
        *p += strspn(*p, " ");
        comma = **p == ',';
        if (comma) {
            (*p)++;
            if (**p != ' ' && **p != '\0')
                return reading_fault(
                    r, "has a comma without a blank after it",
                    "expected numbers parted by blanks, or by a comma and a blank");
            *p += strspn(*p, " ");
        }
    }
    if (*count == 0)
        return stranger_fault(r, "is not a number", a_number);
    if (comma)
        return reading_fault(r, "ends a list with a comma", "expected a number after it");
    return SM_OK;
}

/* "K / W " -> "K/W": blanks around a stroke and at the end do not count, runs are one. */
static bool unit_tidy(const char *p, char *unit, size_t size)
{
    size_t n = 0;
    for (; *p; p++) {
        if (*p == ' ' &&
            (p[1] == ' ' || p[1] == '\0' || p[1] == '/' || (n > 0 && unit[n - 1] == '/')))
            continue;
        if (n + 1 >= size)
            return false;
        unit[n++] = *p;
    }
    unit[n] = '\0';
    return true;
}

/* Whether a number follows the unit: "10 A 20 A". */
static bool number_follows(const char *p)
{
    for (; *p; p++) {
        if (*p == ' ' && starts_number(p + 1))
            return true;
    }
    return false;
}

/* typed: what nobody knows is told as it was typed, not as it was folded. */
static enum sm_status unknown_fault(const struct reading *r, const char *typed)
{
    char found[160];
    const size_t length = strlen(typed);
    const size_t keep = length > QUOTE_LIMIT ? utf8_cut(typed, QUOTE_LIMIT) : length;
    (void)snprintf(found, sizeof found, "has the unknown unit '%.*s%s'", (int)keep, typed,
                   keep < length ? "..." : "");
    return stranger_fault(r, found, A_UNIT);
}

static enum sm_status unit_fault(const struct reading *r, enum unit_match match, const char *symbol,
                                 const struct unit *unit)
{
    char found[160];
    if (match == UNIT_AMBIGUOUS) {
        (void)snprintf(found, sizeof found,
                       "has the unit '%s', which could mean several: letter case counts", symbol);
    } else if (r->dimension == SM_DIM_DIFFERENCE && unit->dimension == SM_DIM_TEMPERATURE) {
        (void)snprintf(found, sizeof found, "has the unit %s of a temperature", symbol);
        return reading_fault(r, found, "a temperature difference takes K only");
    } else if (r->dimension == SM_DIM_PLAIN && unit->dimension == SM_DIM_NONE) {
        return reading_fault(r, "is in %", A_UNIT);
    } else {
        (void)snprintf(found, sizeof found, "has the wrong kind of unit: %s is %s", symbol,
                       unit->foreign ? unit->foreign : dimension_name(unit->dimension));
    }
    return reading_fault(r, found, A_UNIT);
}

/* p: the unit, in the folded text. */
static enum sm_status unit_read(const struct reading *r, const char *folded, const char *p,
                                struct unit *unit)
{
    static const struct unit pure = { "", SM_DIM_NONE, 1.0, 0.0, true, NULL };
    char symbol[UNIT_LIMIT];
    if (*p == '\0' && (r->dimension == SM_DIM_NONE || r->dimension == SM_DIM_PLAIN)) {
        *unit = pure;
        return SM_OK;
    }
    if (*p == '\0')
        return reading_fault(r, "has no unit", A_UNIT);
    if (number_follows(p))
        return reading_fault(r, "goes on after the unit",
                             "expected numbers, then one unit after the last");
    if (!unit_tidy(p, symbol, sizeof symbol))
        return reading_fault(r, "has an unknown unit", A_UNIT);

    const struct unit *found = NULL;
    const enum unit_match match = unit_find(symbol, r->dimension, &found);
    if (match == UNIT_UNKNOWN)
        return unknown_fault(r, unit_unfold(r->text, (size_t)(p - folded)));
    if (match != UNIT_FOUND)
        return unit_fault(r, match, symbol, found);
    *unit = *found;
    return SM_OK;
}

/* The first character of a folded value.  Documents write a minus sign as a dash: in front of a
 * value's first digit it can mean nothing else. */
static const char *value_start(char *folded)
{
    char *p = folded + strspn(folded, " ");
    const size_t dash = dash_length(p);
    if (dash == 0 || !digit(p[dash]))
        return p;
    p += dash - 1;
    *p = '-';
    return p;
}

/* Reads all of a folded text into values (room for strlen(folded) + 1). */
static enum sm_status values_read(const struct reading *r, char *folded, double *values,
                                  size_t *count)
{
    const char *p = value_start(folded);
    enum sm_status status = numbers_read(r, &p, values, count);
    if (status != SM_OK)
        return status;
    struct unit unit = { 0 };
    status = unit_read(r, folded, p, &unit);
    if (status != SM_OK)
        return status;
    for (size_t i = 0; i < *count; i++) {
        values[i] = values[i] * unit.factor + unit.offset;
        if (!isfinite(values[i]))
            return reading_fault(r, "is too large", "expected a finite value");
    }
    return SM_OK;
}

enum { VALUES_LIMIT = TEXT_LIMIT / 2 + 1 }; /* two numbers are at least one byte apart */

static enum sm_status text_read(const struct reading *r, double *values, size_t *count)
{
    char folded[TEXT_LIMIT];
    if (!unit_fold(r->text, folded, sizeof folded))
        return reading_fault(r, "is too long", "expected a shorter value");
    return values_read(r, folded, values, count);
}

enum sm_status sm_quantity_parse_list(const char *text, enum sm_dimension dimension,
                                      const struct sm_place *place, struct sm_list *out,
                                      struct sm_faults *faults)
{
    const struct reading r = { text, dimension, place, faults };
    double values[VALUES_LIMIT];
    size_t count = 0;
    const enum sm_status status = text_read(&r, values, &count);
    if (status != SM_OK || count == 0)
        return status;
    double *v = malloc(count * sizeof *v);
    if (!v)
        return sm_fault_add(faults, SM_ERR_MEMORY, place, "out of memory");
    memcpy(v, values, count * sizeof *v);
    *out = (struct sm_list){ v, count };
    return SM_OK;
}

enum sm_status sm_quantity_parse(const char *text, enum sm_dimension dimension,
                                 const struct sm_place *place, double *out,
                                 struct sm_faults *faults)
{
    const struct reading r = { text, dimension, place, faults };
    double values[VALUES_LIMIT];
    size_t count = 0;
    const enum sm_status status = text_read(&r, values, &count);
    if (status != SM_OK)
        return status;
    if (count != 1)
        return reading_fault(&r, "is a list", "expected one value, and no blank inside a number");
    *out = values[0];
    return SM_OK;
}

bool sm_quantity_to_unit(double si, const char *unit, double *out)
{
    char symbol[UNIT_LIMIT];
    if (!unit_fold(unit, symbol, sizeof symbol))
        return false;
    if (symbol[0] == '\0') {
        *out = si;
        return true;
    }
    for (size_t i = 0; i < unit_count(); i++) {
        const struct unit *row = unit_at(i);
        if (!row->foreign && strcmp(row->symbol, symbol) == 0) {
            *out = (si - row->offset) / row->factor;
            return true;
        }
    }
    return false;
}
