/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "quantity/units.h"

#include "base/utf8.h"

#include <math.h>
#include <string.h>
#include <strings.h>

static const struct unit units[] = {
#define UNIT(symbol, dimension, factor, offset)                                                    \
    { symbol, SM_DIM_##dimension, factor, offset, true, NULL },
#define ALIAS(symbol, dimension, factor, offset)                                                   \
    { symbol, SM_DIM_##dimension, factor, offset, false, NULL },
#define FOREIGN(symbol, what) { symbol, SM_DIM_COUNT, 1.0, 0.0, false, what },
#include "swapmargin/units.def"
#undef UNIT
#undef ALIAS
#undef FOREIGN
};

#define UNIT_COUNT (sizeof units / sizeof units[0])

size_t unit_count(void)
{
    return UNIT_COUNT;
}

const struct unit *unit_at(size_t i)
{
    return &units[i];
}

/* Two rows of the table are written with the same digits when they mean the same. */
static bool same_unit(const struct unit *a, const struct unit *b)
{
    return a->dimension == b->dimension && a->foreign == b->foreign &&
           fabs(a->factor - b->factor) <= 0.0 && fabs(a->offset - b->offset) <= 0.0;
}

enum unit_match unit_find(const char *symbol, enum sm_dimension wanted, const struct unit **unit)
{
    const struct unit *other = NULL;
    for (size_t i = 0; i < UNIT_COUNT; i++) {
        if (strcmp(units[i].symbol, symbol) != 0)
            continue;
        *unit = other = &units[i];
        if (other->dimension == wanted)
            return UNIT_FOUND;
    }
    if (other)
        return UNIT_OTHER;

    bool ambiguous = false;
    for (size_t i = 0; i < UNIT_COUNT; i++) {
        if (strcasecmp(units[i].symbol, symbol) != 0)
            continue;
        /* kelvin stands in the table twice, as temperature and as difference */
        const bool twin = other && strcmp(other->symbol, units[i].symbol) == 0;
        ambiguous = ambiguous || (other && !twin && !same_unit(other, &units[i]));
        if (!other || units[i].dimension == wanted)
            other = &units[i];
    }
    if (!other)
        return UNIT_UNKNOWN;
    *unit = other;
    if (ambiguous)
        return UNIT_AMBIGUOUS;
    return other->dimension == wanted ? UNIT_FOUND : UNIT_OTHER;
}

const char *dimension_name(enum sm_dimension dimension)
{
    static const char *const names[SM_DIM_COUNT] = {
        [SM_DIM_NONE] = "a pure number",
        [SM_DIM_CURRENT] = "a current",
        [SM_DIM_VOLTAGE] = "a voltage",
        [SM_DIM_POWER] = "a power",
        [SM_DIM_FREQUENCY] = "a frequency",
        [SM_DIM_TIME] = "a time",
        [SM_DIM_RESISTANCE] = "a resistance",
        [SM_DIM_INDUCTANCE] = "an inductance",
        [SM_DIM_CAPACITANCE] = "a capacitance",
        [SM_DIM_CHARGE] = "a charge",
        [SM_DIM_ENERGY] = "an energy",
        [SM_DIM_RTH] = "a thermal resistance",
        [SM_DIM_CONDUCTIVITY] = "a thermal conductivity",
        [SM_DIM_LENGTH] = "a length",
        [SM_DIM_AREA] = "an area",
        [SM_DIM_TORQUE] = "a torque",
        [SM_DIM_PRESSURE] = "a pressure",
        [SM_DIM_HEAT_CAPACITY] = "a heat capacity",
        [SM_DIM_PER_KELVIN] = "a change per kelvin",
        [SM_DIM_TEMPERATURE] = "a temperature",
        [SM_DIM_DIFFERENCE] = "a temperature difference",
        [SM_DIM_DENSITY] = "a density",
        [SM_DIM_PLAIN] = "a plain number",
    };
    return (size_t)dimension < SM_DIM_COUNT ? names[dimension] : "of another kind";
}

void units_list(enum sm_dimension dimension, struct sm_text *text)
{
    size_t total = 0;
    for (size_t i = 0; i < UNIT_COUNT; i++)
        total += units[i].shown && units[i].dimension == dimension;

    size_t done = 0;
    for (size_t i = 0; i < UNIT_COUNT; i++) {
        if (!units[i].shown || units[i].dimension != dimension)
            continue;
        done++;
        const char *after = done == total ? "" : done + 1 == total ? " or " : ", ";
        sm_text_add(text, "%s%s", units[i].symbol, after);
    }
}

/* A character that files may use for one of ours, or for several. */
struct fold {
    const char *from, *to;
};

static const struct fold folds[] = {
    { "\xC2\xB5", "u" },        /* U+00B5 micro sign */
    { "\xCE\xBC", "u" },        /* U+03BC Greek small letter mu */
    { "\xCE\xA9", "ohm" },      /* U+03A9 Greek capital letter omega */
    { "\xE2\x84\xA6", "ohm" },  /* U+2126 ohm sign */
    { "\xC2\xB0", "deg" },      /* U+00B0 degree sign */
    { "\xE2\x84\x83", "degC" }, /* U+2103 degree Celsius */
    { "\xE2\x84\x89", "degF" }, /* U+2109 degree Fahrenheit */
    { "\xC2\xB7", "." },        /* U+00B7 middle dot */
    { "\xE2\x8B\x85", "." },    /* U+22C5 dot operator */
    { "\xC2\xB2", "2" },        /* U+00B2 superscript two */
    { "\xC2\xB3", "3" },        /* U+00B3 superscript three */
    { "\xE2\x88\x92", "-" },    /* U+2212 minus sign */
};

static bool digit(char c)
{
    return c >= '0' && c <= '9';
}

/* The fold of the character at p, or NULL.  A raised dot between digits is no decimal point. */
static const struct fold *fold_find(const char *p, bool after_digit)
{
    for (size_t i = 0; i < sizeof folds / sizeof folds[0]; i++) {
        const size_t length = strlen(folds[i].from);
        if (*p == folds[i].from[0] && strncmp(p, folds[i].from, length) == 0)
            return folds[i].to[0] == '.' && after_digit && digit(p[length]) ? NULL : &folds[i];
    }
    return NULL;
}

/* One character and what stands for it. */
struct step {
    const char *to;
    size_t from, added; /* bytes */
};

static struct step step_of(const char *p, bool after_digit)
{
    const size_t blank = utf8_blank(p);
    const struct fold *fold = (unsigned char)*p < 0x80u ? NULL : fold_find(p, after_digit);
    if (blank > 0)
        return (struct step){ " ", blank, 1 };
    return fold ? (struct step){ fold->to, strlen(fold->from), strlen(fold->to) }
                : (struct step){ p, 1, 1 };
}

bool unit_fold(const char *text, char *folded, size_t size)
{
    size_t n = 0;
    while (*text) {
        const struct step step = step_of(text, n > 0 && digit(folded[n - 1]));
        if (n + step.added >= size)
            return false;
        memcpy(folded + n, step.to, step.added);
        n += step.added;
        text += step.from;
    }
    folded[n] = '\0';
    return true;
}

const char *unit_unfold(const char *text, size_t folded)
{
    bool after_digit = false;
    for (size_t n = 0; *text && n < folded;) {
        const struct step step = step_of(text, after_digit);
        n += step.added;
        after_digit = digit(step.to[step.added - 1]);
        text += step.from;
    }
    return text;
}
