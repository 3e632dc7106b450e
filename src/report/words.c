/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/words.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

const struct word_row *word_check(enum sm_check_id id)
{
    static const struct word_row rows[SM_CHECK_COUNT] = {
#define CHECK(id, name, unit, title, rule) [SM_CHECK_##id] = { name, unit, title, rule },
#include "swapmargin/checks.def"
#undef CHECK
    };
    return &rows[id];
}

const struct word_row *word_limit(enum sm_limit_id id)
{
    static const struct word_row rows[SM_LIMIT_COUNT] = {
#define LIMIT(id, name, unit, title) [SM_LIMIT_##id] = { name, unit, title, "" },
#include "swapmargin/limits.def"
#undef LIMIT
    };
    return &rows[id];
}

const struct word_compared *word_compared(enum sm_compared_id id)
{
    static const struct word_compared rows[SM_COMPARED_COUNT] = {
#define POINT(id, name, unit, difference, better, title, side)                                     \
    [SM_COMPARED_##id] = { name, unit, difference, title },
#define PART(id, name, unit, difference, better, title, side)                                      \
    [SM_COMPARED_##id] = { name, unit, difference, title },
#include "swapmargin/comparison.def"
#undef POINT
#undef PART
    };
    return &rows[id];
}

const struct word_key *word_module_key(enum sm_module_key id)
{
    static const struct word_key rows[SM_MODULE_KEY_COUNT] = {
#define KEY(id, section, key, ...) [SM_MODULE_##id] = { section, key },
#include "swapmargin/keys_module.def"
#undef KEY
    };
    return &rows[id];
}

const char *word_sanity(enum sm_sanity_id id)
{
    static const char *const rows[SM_SANITY_COUNT] = {
#define SANITY(id, text) [SM_SANITY_##id] = text,
#include "swapmargin/sanity.def"
#undef SANITY
    };
    return rows[id];
}

/* A word of a list, "" outside it: a report never shows a wild pointer. */
static const char *word_at(const char *const *words, size_t count, unsigned index)
{
    return index < count ? words[index] : "";
}

const char *word_verdict(enum sm_verdict verdict)
{
    static const char *const words[] = { "approve", "conditional", "reject" };
    return word_at(words, COUNT(words), (unsigned)verdict);
}

const char *word_chip(enum sm_chip_kind chip)
{
    static const char *const words[] = { "igbt", "diode" };
    return word_at(words, COUNT(words), (unsigned)chip);
}

const char *word_chip_title(enum sm_chip_kind chip)
{
    static const char *const words[] = { "IGBT", "diode" };
    return word_at(words, COUNT(words), (unsigned)chip);
}

const char *word_check_result(enum sm_check_result result)
{
    static const char *const words[] = { "pass", "warn", "fail", "not checked", "confirmed" };
    return word_at(words, COUNT(words), (unsigned)result);
}

const char *word_circuit(enum sm_circuit circuit)
{
    static const char *const words[] = { "single", "half-bridge", "six-pack" };
    return word_at(words, COUNT(words), (unsigned)circuit);
}

const char *word_modulation(enum sm_modulation modulation)
{
    static const char *const words[] = { "sine", "third-harmonic", "space-vector", "clamped" };
    return word_at(words, COUNT(words), (unsigned)modulation);
}

const char *word_origin(enum sm_origin_kind kind)
{
    static const char *const words[] = { "absent", "given", "default", "derived" };
    return word_at(words, COUNT(words), (unsigned)kind);
}

const char *word_untold(enum sm_untold_id id)
{
    static const char *const rows[SM_UNTOLD_COUNT] = {
#define UNTOLD(id, text) [SM_UNTOLD_##id] = text,
#include "swapmargin/untold.def"
#undef UNTOLD
    };
    return rows[id];
}

const char *word_runaway(void)
{
    return word_untold(SM_UNTOLD_RUNAWAY);
}

enum margin_state margin_state(bool runaway, double margin, double required)
{
    return runaway ? MARGIN_NONE : margin >= required ? MARGIN_KEPT : MARGIN_SHORT;
}

const char *word_margin_state(enum margin_state state)
{
    static const char *const words[] = { "kept", "short", "runaway" };
    return word_at(words, COUNT(words), (unsigned)state);
}

static const char *const cautions[] = {
#define CAUTION(id, text) text,
#include "swapmargin/cautions.def"
#undef CAUTION
};

size_t word_caution_count(void)
{
    return COUNT(cautions);
}

const char *word_caution(size_t index)
{
    return cautions[index];
}
