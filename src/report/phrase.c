/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/phrase.h"

#include "base/text.h"
#include "report/glyph.h"
#include "report/words.h"
#include "swapmargin/quantity.h"

#include <math.h>
#include <string.h>

enum { NUMBER_SIZE = 40, UNIT_SIZE = 24 };

/* From here on numbers differ by what rounding and the iterations leave. */
#define DIGITS_MOST 9

/* 1, of the last digit: what a limit keeps to spare, for the search ends within some 0.1 mK of the
 * required margin on either side. */
#define BOUND_SPARE 0.1

/* Parts of unit symbols and their printed spelling. */
struct spelling {
    const char *symbol;
    const char *printed;
};

static const struct spelling spellings[] = {
    { "degC", "\u00b0C" }, { "degF", "\u00b0F" }, { "ohm", "\u03a9" },   { ".", "\u00b7" },
    { "um", "\u00b5m" },   { "us", "\u00b5s" },   { "uH", "\u00b5H" },   { "uF", "\u00b5F" },
    { "uC", "\u00b5C" },   { "uJ", "\u00b5J" },   { "cm2", "cm\u00b2" }, { "m3", "m\u00b3" },
};

static const struct spelling *spelling_find(const char *at)
{
    for (size_t i = 0; i < sizeof spellings / sizeof spellings[0]; i++) {
        if (strncmp(at, spellings[i].symbol, strlen(spellings[i].symbol)) == 0) {
            return &spellings[i];
        }
    }
    return NULL;
}

void phrase_unit(struct sm_text *out, const char *unit, bool utf8)
{
    while (*unit != '\0') {
        const struct spelling *found = utf8 ? spelling_find(unit) : NULL;
        if (found) {
            sm_text_add(out, "%s", found->printed);
            unit += strlen(found->symbol);
        } else {
            sm_text_add_bytes(out, unit++, 1);
        }
    }
}

static double in_unit(double si, const char *unit)
{
    double shown = si;
    (void)sm_quantity_to_unit(si, unit, &shown);
    return shown;
}

/* Adds a number that is in `unit` already. */
static void number_add(struct sm_text *out, double shown, int digits, const char *unit, bool utf8)
{
    char number[NUMBER_SIZE];
    if (!isfinite(shown)) {
        sm_text_add(out, "(not a number)");
        return;
    }
    sm_number_format(number, sizeof number, shown, digits);
    sm_text_add(out, "%s", number);
    if (unit[0] != '\0') {
        sm_text_add(out, " ");
        phrase_unit(out, unit, utf8);
    }
}

void phrase_quantity(struct sm_text *out, double si, const char *unit, bool utf8)
{
    number_add(out, in_unit(si, unit), PHRASE_DIGITS, unit, utf8);
}

int phrase_digits_apart(double a, double b)
{
    for (int digits = PHRASE_DIGITS; digits <= DIGITS_MOST; digits++) {
        char one[NUMBER_SIZE], other[NUMBER_SIZE];
        sm_number_format(one, sizeof one, a, digits);
        sm_number_format(other, sizeof other, b, digits);
        if (strcmp(one, other) != 0) {
            return digits;
        }
    }
    return PHRASE_DIGITS;
}

void phrase_beside(struct sm_text *out, double si, double other, const char *unit, bool utf8)
{
    const double shown = in_unit(si, unit);
    number_add(out, shown, phrase_digits_apart(shown, in_unit(other, unit)), unit, utf8);
}

void phrase_bound(struct sm_text *out, double si, const char *unit, enum phrase_side side,
                  bool utf8)
{
    double shown = in_unit(si, unit);
    if (isfinite(shown) && fabs(shown) > 0.0) {
        const double digit = pow(10.0, floor(log10(fabs(shown))) - (PHRASE_DIGITS - 1));
        shown = digit * (side == PHRASE_AT_MOST ? floor(shown / digit - BOUND_SPARE)
                                                : ceil(shown / digit + BOUND_SPARE));
    }
    number_add(out, shown, PHRASE_DIGITS, unit, utf8);
}

/* Adds the keys of a note, each file and section told once: "drive file [gate] vge_on, vge_off;
 * module file [gate] td_off_max or td_off". */
static void keys_add(struct sm_text *out, const struct sm_note *note)
{
    const struct sm_key_name *before = NULL;
    for (unsigned i = 0; i < SM_NOTE_KEYS && note->key[i]; i++) {
        const struct sm_key_name *name = note->key[i];
        const bool same_file = before && strcmp(before->file, name->file) == 0;
        const bool same_section = same_file && strcmp(before->section, name->section) == 0;
        const bool either = before && (note->alternative >> i & 1u) != 0;
        sm_text_add(out, "%s", !before ? "" : either ? " or " : same_file ? ", " : "; ");
        if (!same_file) {
            sm_text_add(out, "%s file ", name->file);
        }
        if (!same_section) {
            sm_text_add(out, "[%s] ", name->section);
        }
        sm_text_add(out, "%s", name->key);
        before = name;
    }
}

static bool word_is(const char *inside, size_t length, const char *word)
{
    return length == strlen(word) && strncmp(inside, word, length) == 0;
}

/* The number that a placeholder stands for. */
struct told {
    int index; /* of the note's values */
    char unit[UNIT_SIZE];
};

/* Returned: false when the text between the braces is no number's placeholder. */
static bool told_read(const char *inside, size_t length, struct told *told)
{
    told->index = inside[0] - '0';
    if (length < 2 || inside[1] != ':' || told->index < 0 || told->index >= SM_NOTE_ARGS ||
        length - 2 >= UNIT_SIZE) {
        return false;
    }
    memcpy(told->unit, inside + 2, length - 2);
    told->unit[length - 2] = '\0';
    return true;
}

/* The digits that tell a number from all others of its unit in the sentence. */
static int told_digits(const char *sentence, const struct sm_note *note, const struct told *told)
{
    const double shown = in_unit(note->value[told->index], told->unit);
    int digits = PHRASE_DIGITS;
    for (const char *open = strchr(sentence, '{'); open; open = strchr(open + 1, '{')) {
        struct told other;
        const char *close = strchr(open, '}');
        if (close && told_read(open + 1, (size_t)(close - open - 1), &other) &&
            strcmp(other.unit, told->unit) == 0) {
            const int apart =
                phrase_digits_apart(shown, in_unit(note->value[other.index], told->unit));
            digits = apart > digits ? apart : digits;
        }
    }
    return digits;
}

/* Adds what the placeholder between the braces stands for.  Returned: false when it is none. */
static bool placeholder_add(struct sm_text *out, const char *sentence, const char *inside,
                            const struct sm_note *note, bool utf8)
{
    const size_t length = strcspn(inside, "}");
    if (word_is(inside, length, "text") || word_is(inside, length, "other")) {
        const char *text = inside[0] == 't' ? note->text : note->other;
        (utf8 ? glyph_add_utf8 : glyph_add_ascii)(out, text ? text : "");
        return true;
    }
    if (word_is(inside, length, "keys")) {
        keys_add(out, note);
        return true;
    }
    struct told told;
    if (!told_read(inside, length, &told)) {
        return false;
    }
    number_add(out, in_unit(note->value[told.index], told.unit), told_digits(sentence, note, &told),
               told.unit, utf8);
    return true;
}

void phrase_template(struct sm_text *out, const char *sentence, const struct sm_note *note,
                     bool utf8)
{
    struct sm_text plain;
    sm_text_init(&plain);
    const char *p = sentence;
    while (*p != '\0') {
        const char *close = *p == '{' ? strchr(p, '}') : NULL;
        if (close && placeholder_add(&plain, sentence, p + 1, note, utf8)) {
            p = close + 1;
        } else {
            sm_text_add_bytes(&plain, p++, 1);
        }
    }
    (utf8 ? glyph_add_utf8 : glyph_add_ascii)(out, text_words(&plain));
    text_close(&plain, &out->out_of_memory);
}

void phrase_note(struct sm_text *out, const struct sm_note *note, bool utf8)
{
    phrase_template(out, sm_note_template(note->id), note, utf8);
}

void phrase_warning(struct sm_text *out, const struct sm_warning *warning, bool utf8)
{
    struct sm_note note = { .text = NULL };
    memcpy(note.value, warning->value, sizeof note.value);
    phrase_template(out, word_sanity(warning->id), &note, utf8);
}

void phrase_no_limit(struct sm_text *out, enum sm_limit_id id, const struct sm_limit *limit,
                     bool utf8)
{
    static const char *const sentences[] = {
        [SM_LIMIT_NOT_COMPUTED] = "not computed",
        [SM_LIMIT_FOUND] = "",
        [SM_LIMIT_KEPT] = "none within %s: margin kept",
        [SM_LIMIT_SHORT] = "none within %s: margin short",
        [SM_LIMIT_SHORT_ALREADY] = "none: margin short at the lowest test frequency",
        [SM_LIMIT_NO_LAYER] = "R_th(c-s) was used as printed, whatever the layer",
        [SM_LIMIT_NO_RANGE] = "the lowest test frequency is not above 1 Hz",
    };
    const char *unit = word_limit(id)->unit, *sentence = sentences[limit->state];
    const char *range = strstr(sentence, "%s");
    sm_text_add_bytes(out, sentence, range ? (size_t)(range - sentence) : strlen(sentence));
    if (!range) {
        return;
    }
    phrase_quantity(out, limit->low, unit, utf8);
    sm_text_add(out, " to ");
    phrase_quantity(out, limit->high, unit, utf8);
    sm_text_add_bytes(out, range + 2, strlen(range + 2));
}
