/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Choices that make a case and the log of its load run; both through judging and reports. */
#include "fuzz/fuzz.h"

#include "report/report_loadrun.h"
#include "swapmargin/engine.h"

#include <math.h>
#include <string.h>

enum { COLUMNS = 80, ROWS_MOST = 120 };

/* What the first byte asks for; its fourth and fifth bit choose the format. */
enum { WITH_LOG = 1, NTC_AS_CASE = 2, ASCII = 4, FORMAT_SHIFT = 3 };

/* The columns of a log, with readings such as a bench has. */
static const struct column {
    const char *name;
    double usual, rise; /* in the column's unit: at the start, and what a run adds */
} columns[] = {
    { "time_min", 0.0, 0.0 }, { "output_hz", 30.0, 0.0 }, { "ambient_c", 25.0, 8.0 },
    { "sink_c", 26.0, 50.0 }, { "case_c", 26.0, 70.0 },   { "ntc_ohm", 5000.0, -4500.0 },
    { "iu_a", 77.0, 0.0 },    { "iv_a", 76.0, 0.0 },      { "iw_a", 78.0, 0.0 },
    { "bus_v", 648.0, 5.0 },  { "ripple_v", 20.0, 5.0 },
};

enum { COLUMN_COUNT = sizeof columns / sizeof columns[0] };

/* 1: a factor around 1 as a reading scatters, or as a fault has it. */
static double scatter(struct choices *choices)
{
    const unsigned byte = choose_byte(choices);
    if (byte < 200)
        return 1.0 + 1e-4 * ((double)byte - 100.0);
    return (byte - 200) * 0.05;
}

static void cell_add(struct sm_text *log, const struct column *column, double part,
                     struct choices *choices)
{
    const unsigned gap = choose_byte(choices);
    sm_text_add(log, ",");
    if (gap < 8)
        return; /* a missing value */
    const double value = (column->usual + column->rise * part) * scatter(choices);
    sm_text_add(log, "%.6g", fmax(value, 1.0));
}

/* A log of the columns that `present` has bits for; time and frequency always. */
static void log_make(struct choices *choices, struct sm_text *log)
{
    const unsigned present = choose_byte(choices) | choose_byte(choices) << 8;
    const size_t rows = 1 + choose_byte(choices) % ROWS_MOST;
    const double step = 0.01 + 3.0 * choose_fraction(choices);
    const double cold = choose_fraction(choices), hertz = 1.0 + 90.0 * choose_fraction(choices);
    double minutes = 0.0;
    sm_text_add(log, "time_min,output_hz");
    for (size_t k = 2; k < COLUMN_COUNT; k++)
        if (present >> k & 1u)
            sm_text_add(log, ",%s", columns[k].name);
    for (size_t i = 0; i < rows; i++) {
        const bool resting = (double)i < 0.3 * cold * (double)rows;
        const double part = resting ? 0.0 : 1.0 - exp(-minutes / 20.0);
        sm_text_add(log, "\n%.6g,%.6g", minutes, hertz);
        for (size_t k = 2; k < COLUMN_COUNT; k++) {
            if (!(present >> k & 1u))
                continue;
            if (resting && strstr(columns[k].name, "_a"))
                sm_text_add(log, ",0");
            else
                cell_add(log, &columns[k], part, choices);
        }
        minutes += step * (choose_byte(choices) % 4 == 0 ? 0.0 : 1.0);
    }
    sm_text_add(log, "\n");
}

static void check_page(const struct loadrun_page *page, unsigned with)
{
    static const enum sm_format formats[] = { SM_FORMAT_TEXT, SM_FORMAT_JSON, SM_FORMAT_CSV,
                                              SM_FORMAT_HTML };
    const bool ascii = (with & ASCII) != 0;
    const enum sm_format format = formats[with >> FORMAT_SHIFT & 3u];
    const struct sm_style style = { .utf8 = !ascii, .width = COLUMNS };
    struct sm_text text;
    sm_text_init(&text);
    FUZZ_CHECK(report_loadrun(page, format, &style, &text, NULL) == SM_OK);
    if (format == SM_FORMAT_TEXT)
        fuzz_check_text(&text, ascii, COLUMNS);
    if (format == SM_FORMAT_HTML)
        fuzz_check_page(&text);
    if (format == SM_FORMAT_JSON)
        fuzz_check_json(&text);
    sm_text_release(&text);
}

static void check_judgement(const struct sm_log *log, const struct sm_log_judgement *judgement)
{
    FUZZ_CHECK(judgement->samples == log->n_rows && judgement->used <= judgement->samples);
    FUZZ_CHECK(judgement->used + judgement->n_asides == judgement->samples);
    FUZZ_CHECK(isfinite(judgement->joint.expected) && judgement->joint.expected >= 0.0);
    FUZZ_CHECK(isfinite(judgement->sink.expected) && judgement->sink.expected > 0.0);
    FUZZ_CHECK(judgement->joint.is.n_causes <= SM_LOG_CAUSES);
    FUZZ_CHECK(judgement->stop.over <= judgement->stop.is.rows);
    FUZZ_CHECK((judgement->stop.over > 0) == (judgement->stop.is.result == SM_LOG_IS_FAIL));
    FUZZ_CHECK((judgement->stop.line > 0) == (judgement->stop.is.why == SM_LOG_TOLD));
    const struct sm_log_estimate *estimates[] = { &judgement->joint.rth, &judgement->sink.rth };
    for (size_t i = 0; i < 2; i++) {
        const struct sm_log_estimate *e = estimates[i];
        FUZZ_CHECK(isfinite(e->value) && isfinite(e->low) && isfinite(e->high));
        FUZZ_CHECK(isfinite(e->low_with_model) && isfinite(e->high_with_model));
        FUZZ_CHECK(e->low_with_model <= e->low && e->high <= e->high_with_model);
    }
}

/* Returned: whether there is a log to be judged. */
static bool log_judge(struct choices *choices, const struct sm_case *c,
                      const struct sm_loadrun *expected, bool ntc_as_case, struct sm_log *log,
                      struct sm_log_judgement *judgement)
{
    struct sm_text text;
    struct sm_faults faults;
    sm_text_init(&text);
    sm_faults_init(&faults);
    log_make(choices, &text);
    enum sm_status status = sm_log_load(fuzz_file(3, text.data, text.length), log, &faults);
    if (status == SM_OK) {
        status = sm_log_judge(c, expected, log, ntc_as_case, judgement, &faults);
        FUZZ_CHECK(status == SM_OK || (ntc_as_case && status == SM_ERR_KEY));
    }
    fuzz_check_faults(status, &faults);
    if (status == SM_OK)
        check_judgement(log, judgement);
    sm_faults_release(&faults);
    sm_text_release(&text);
    return status == SM_OK;
}

/* False where a data sheet that is none was refused. */
static bool all_solve(const struct sm_case *c, struct sm_result *result, struct sm_loadrun *loadrun,
                      struct sm_network *network)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    enum sm_status status = sm_run(c, result, &faults);
    if (status == SM_OK)
        status = sm_loadrun(c, result, loadrun, &faults);
    if (status == SM_OK)
        status = sm_network(c, result, network, &faults);
    FUZZ_CHECK(status == SM_OK ||
               fuzz_refused(c, false, c->drive->cooling.ambient, status, &faults));
    sm_faults_release(&faults);
    return status == SM_OK;
}

static void check_case(struct choices *choices, const struct sm_case *c, unsigned with)
{
    struct sm_result result;
    struct sm_loadrun loadrun;
    struct sm_network network;
    struct sm_log log;
    struct sm_log_judgement judgement;
    sm_result_init(&result);
    sm_loadrun_init(&loadrun);
    sm_network_init(&network);
    sm_log_init(&log);
    sm_log_judgement_init(&judgement);
    if (all_solve(c, &result, &loadrun, &network)) {
        const bool judged =
            (with & WITH_LOG) &&
            log_judge(choices, c, &loadrun, (with & NTC_AS_CASE) != 0, &log, &judgement);
        const struct log_page told = { &log, &judgement };
        const struct loadrun_page page = { c, &result, &loadrun, &network, judged ? &told : NULL };
        check_page(&page, with);
    }
    sm_log_judgement_release(&judgement);
    sm_log_release(&log);
    sm_network_release(&network);
    sm_loadrun_release(&loadrun);
    sm_result_release(&result);
}

int fuzz_loadrun(const uint8_t *data, size_t size)
{
    struct choices choices = { data, data + size };
    struct made made;
    const unsigned with = choose_byte(&choices);
    if (made_open(&made, &choices, false, false))
        check_case(&choices, &made.c, with);
    made_release(&made);
    return 0;
}
