/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_log.h"

#include "report/sheet_check.h"

/* Test frequencies that a headline names. */
enum { MOST_NAMED = 3 };

/* Temperatures to a tenth: what thermometers show. */
static const char *degrees(struct sheet *sheet, double kelvin)
{
    return sheet_quantity(sheet, kelvin, "degC");
}

/* "sink_c 126 °C at 61 min (line 63), limit 119.8 °C at 60 Hz" */
static const char *reading_words(struct sheet *sheet, const struct sm_log_stop *stop)
{
    return sheet_format(sheet, "%s %s at %s (line %d), limit %s at %s",
                        word_log_column(stop->column), degrees(sheet, stop->value),
                        sheet_quantity(sheet, stop->time, "min"), stop->line,
                        degrees(sheet, stop->limit), sheet_quantity(sheet, stop->output_hz, "Hz"));
}

/* Where none of the readings belongs to the rest. */
static const char *stray_words(const struct sm_log_stop *stop)
{
    return stop->strays == stop->over ? "; put aside below: a slip, or a sensor that came off?"
                                      : "";
}

const char *sheet_log_stop(struct sheet *sheet, const struct sm_log_stop *stop)
{
    const char *reading = reading_words(sheet, stop);
    if (stop->is.result == SM_LOG_IS_FAIL)
        return sheet_format(sheet, "FAIL: %zu row%s at the reading to stop at or above, first %s%s",
                            stop->over, stop->over == 1 ? "" : "s", reading, stray_words(stop));
    return sheet_format(sheet, "pass: nearest to the reading to stop at is %s", reading);
}

const char *sheet_log_alarm(struct sheet *sheet, const struct sm_log_judgement *judgement)
{
    const struct sm_log_stop *stop = &judgement->stop;
    if (stop->is.result != SM_LOG_IS_FAIL)
        return NULL;
    return sheet_format(
        sheet,
        "STOP THE RUN, and do not start it again before the cause is found: the log "
        "came to the reading to stop at, %s.",
        reading_words(sheet, stop));
}

/* What behind the verdict says which runs it is not about; "" when the log has all of them. */
static const char *not_run_words(struct sheet *sheet, const struct sm_log_judgement *judgement)
{
    const char *words = "";
    size_t n = 0;
    for (size_t i = 0; i < judgement->n_runs; i++)
        if (judgement->runs[i].rows == 0)
            words = sheet_format(sheet, "%s%s%s", words, n++ > 0 ? ", " : "; ",
                                 sheet_quantity(sheet, judgement->runs[i].output_hz, "Hz"));
    if (n > MOST_NAMED)
        words = sheet_format(sheet, "; %zu OF %zu FREQUENCIES", n, judgement->n_runs);
    return n > 0 ? sheet_format(sheet, "%s NOT RUN", words) : "";
}

const char *sheet_log_title(struct sheet *sheet, const struct sm_log_judgement *judgement,
                            bool rejected)
{
    const bool stop = judgement->stop.is.result == SM_LOG_IS_FAIL;
    if (rejected && !sm_log_is_bad(judgement))
        return "REJECT";
    const char *others = sheet_log_headline(sheet, judgement);
    return sheet_format(sheet, "%s%s%s%s%s", stop ? "STOP THE RUN" : "",
                        rejected ? (stop ? ", REJECT" : "REJECT") : "",
                        (stop || rejected) && others[0] != '\0' ? ", " : "", others,
                        not_run_words(sheet, judgement));
}

void sheet_log_notes(struct sheet *sheet, const struct sm_log_judgement *judgement)
{
    if (judgement->n_notes == 0)
        return;
    (void)sheet_add(sheet, SHEET_PARAGRAPH, "", "Of the log itself:");
    struct sheet_block *bullets = sheet_add(sheet, SHEET_BULLETS, "", "");
    for (size_t i = 0; i < judgement->n_notes; i++) {
        struct sm_text words;
        sm_text_init(&words);
        log_note_words(&words, &judgement->notes[i], true);
        sheet_item(sheet, bullets, "", sheet_take(sheet, &words));
    }
}
