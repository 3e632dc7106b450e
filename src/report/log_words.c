/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_log.h"

#include "report/phrase.h"
#include "report/report_loadrun.h"
#include "report/words.h"

static const struct {
    const char *text;
    bool bad;
} results[SM_LOG_RESULT_COUNT] = {
#define LOG_RESULT(id, text, bad) [SM_LOG_IS_##id] = { text, bad },
#include "swapmargin/log_results.def"
#undef LOG_RESULT
};

const char *word_log_result(enum sm_log_result_id id)
{
    return results[id].text;
}

bool word_log_is_bad(enum sm_log_result_id id)
{
    return results[id].bad;
}

const char *word_log_why(enum sm_log_why_id id)
{
    static const char *const rows[SM_LOG_WHY_COUNT] = {
#define LOG_WHY(id, text) [SM_LOG_WHY_##id] = text,
#include "swapmargin/log_whys.def"
#undef LOG_WHY
    };
    return rows[id];
}

const struct log_cause_words *word_log_cause(enum sm_log_cause_id id)
{
    static const struct log_cause_words rows[SM_LOG_CAUSE_COUNT] = {
#define LOG_CAUSE(id, name, text, look) [SM_LOG_CAUSE_##id] = { name, text, look },
#include "swapmargin/log_causes.def"
#undef LOG_CAUSE
    };
    return &rows[id];
}

const char *word_log_aside(enum sm_log_aside_id id)
{
    static const char *const rows[SM_LOG_ASIDE_COUNT] = {
        [SM_LOG_IN_USE] = "",
#define LOG_ASIDE(id, text) [SM_LOG_ASIDE_##id] = text,
#include "swapmargin/log_asides.def"
#undef LOG_ASIDE
    };
    return rows[id];
}

const char *word_log_column(enum sm_log_column column)
{
    static const char *const rows[SM_LOG_COLUMN_COUNT] = {
#define LOG_COLUMN(id, name, unit, low, high, need, meaning) [SM_LOG_##id] = name,
#include "swapmargin/log_columns.def"
#undef LOG_COLUMN
    };
    return rows[column];
}

const char *word_log_offset(enum sm_log_offset from)
{
    switch (from) {
    case SM_LOG_OFFSET_COLD:
        return "cold rows";
    case SM_LOG_OFFSET_FITTED:
        return "fitted";
    case SM_LOG_OFFSET_NONE:
        break;
    }
    return "taken as 0";
}

const char *word_log_phase(int phase)
{
    static const char *const names[SM_LOG_PHASES] = { "U", "V", "W" };
    return names[phase];
}

void log_aside_add(struct sm_text *out, const struct sm_log_aside *aside, bool utf8)
{
    const struct sm_note note = { .value = { aside->off }, .text = word_log_column(aside->column) };
    phrase_template(out, word_log_aside(aside->why), &note, utf8);
}

void log_note_words(struct sm_text *out, const struct sm_log_note *note, bool utf8)
{
    static const char *const rows[SM_LOG_NOTE_COUNT] = {
#define LOG_NOTE(id, text) [SM_LOG_NOTE_##id] = text,
#include "swapmargin/log_notes.def"
#undef LOG_NOTE
    };
    struct sm_note numbers = { .text = NULL };
    for (size_t i = 0; i < SM_LOG_NOTE_ARGS; i++)
        numbers.value[i] = note->value[i];
    phrase_template(out, rows[note->id], &numbers, utf8);
}

struct made_file log_made_file(const struct log_page *page)
{
    if (!page)
        return (struct made_file){ .file = NULL };
    return (struct made_file){ "log", page->log->file, page->log->sha256 };
}

const char *log_ripple_why(const struct sm_log_ripple *ripple)
{
    return ripple->untold != SM_TOLD ? word_untold(ripple->untold) : word_log_why(ripple->is.why);
}
