/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/loadrun_pictures.h"
#include "report/made_from.h"
#include "report/report_loadrun.h"
#include "report/sheet_check.h"
#include "report/words.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

#define NOTHING "-"

/* Where a reading is written by hand. */
#define BLANK "______"

#define PERCENT 100.0

struct loadrun_sheet {
    struct sheet *sheet;
    const struct loadrun_page *page;
    struct check_sheet check;
};

static const char *quantity(const struct loadrun_sheet *s, double si, const char *unit)
{
    return sheet_quantity(s->sheet, si, unit);
}

/* A value, or why there is none. */
static const char *told_words(const struct loadrun_sheet *s, const struct sm_told *told,
                              const char *unit)
{
    return told->untold == SM_TOLD ? quantity(s, told->value, unit) : word_untold(told->untold);
}

/* ------------------------------------------------------------------- head */

static const char *frequencies_words(const struct loadrun_sheet *s)
{
    const struct sm_loadrun *loadrun = s->page->loadrun;
    const char *words = "";
    for (size_t i = 0; i < loadrun->n_runs; i++)
        words = sheet_format(s->sheet, "%s%s%s", words, i > 0 ? ", then " : "",
                             quantity(s, loadrun->runs[i].output_hz, "Hz"));
    return words;
}

static const char *verdict_words(const struct loadrun_sheet *s)
{
    const struct sm_result *result = s->page->result;
    const size_t n = result->conditions.count;
    const char *reason = sheet_verdict_reason(&s->check);
    if (result->verdict == SM_REJECT)
        return sheet_format(s->sheet, "%s The figures below show why: do not run it like this.",
                            reason);
    if (n == 0)
        return reason;
    return sheet_format(s->sheet,
                        "%s %zu point%s to be settled by a person before the run: see the "
                        "list below.",
                        reason, n, n == 1 ? " has" : "s have");
}

static const char *title_words(const struct loadrun_sheet *s)
{
    const struct log_page *log = s->page->log;
    const bool rejected = s->page->result->verdict == SM_REJECT;
    if (!log)
        return rejected ? "LOAD RUN: REJECT" : "LOAD RUN";
    return sheet_format(s->sheet, "LOAD RUN: %s",
                        sheet_log_title(s->sheet, log->judgement, rejected));
}

static void head(const struct loadrun_sheet *s)
{
    const struct sm_drive *drive = s->page->c->drive;
    const bool named = drive->name && drive->name[0] != '\0';
    (void)sheet_add(s->sheet, SHEET_HEADLINE, title_words(s),
                    sheet_format(s->sheet, "%s%s%s", s->page->c->module->part, named ? " for " : "",
                                 named ? drive->name : ""));
    const char *alarm = s->page->log ? sheet_log_alarm(s->sheet, s->page->log->judgement) : NULL;
    if (alarm)
        (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "", alarm);
    (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "", verdict_words(s));
    sheet_facts(&s->check, true);
    (void)sheet_add(
        s->sheet, SHEET_PARAGRAPH, "",
        sheet_format(s->sheet,
                     "%s at each of %s; no cooling down between. Write what you read beside what "
                     "is expected. A sound drive stays within the band, plus and minus: %s of the "
                     "rise over ambient for the model and %s for the meter, added as squares, "
                     "twice that.",
                     quantity(s, drive->test.duration, "min"), frequencies_words(s),
                     quantity(s, SM_BAND_MODEL, "%"), quantity(s, SM_BAND_METER, "K")));
}

/* ----------------------------------------------------------- temperatures */

static void reading_row(const struct loadrun_sheet *s, struct sheet_block *table,
                        const struct sm_load_run *run, const struct sm_reading *reading)
{
    sheet_number(s->sheet, table, reading->t_sink);
    sheet_number(s->sheet, table, reading->sink_band);
    sheet_text(s->sheet, table, BLANK);
    sheet_number(s->sheet, table, reading->t_case[SM_IGBT]);
    sheet_number(s->sheet, table, reading->case_band[SM_IGBT]);
    sheet_text(s->sheet, table, BLANK);
    sheet_number(s->sheet, table, reading->tvj_max);
    if (run->settled_untold == SM_TOLD)
        sheet_text(s->sheet, table, sheet_format(s->sheet, "%.0f %%", PERCENT * reading->share));
    else
        sheet_text(s->sheet, table, NOTHING);
}

static const char *minute_words(const struct loadrun_sheet *s, double seconds)
{
    return sheet_format(s->sheet, "%.4g", seconds / SECONDS_PER_MINUTE);
}

static void readings(const struct loadrun_sheet *s, const struct sm_load_run *run)
{
    const bool one_joint = s->page->result->joint.form == SM_JOINT_MODULE;
    const char *where = one_joint ? "case" : "case under the IGBT";
    const struct sheet_column columns[] = {
        { "", "minute", "", SHEET_RIGHT, false, true },
        { "sink", "expect", "degC", SHEET_NUMBER, false, false },
        { "sink", "+-", "K", SHEET_NUMBER, false, false },
        { "sink", "read", "", SHEET_LEFT, false, false },
        { where, "expect", "degC", SHEET_NUMBER, false, false },
        { where, "+-", "K", SHEET_NUMBER, false, false },
        { where, "read", "", SHEET_LEFT, false, false },
        { "", "highest\njunction", "degC", SHEET_NUMBER, false, false },
        { "", "of the\nway", "", SHEET_RIGHT, false, false },
    };
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "temperatures", "");
    sheet_columns(s->sheet, table, columns, COUNT(columns));
    for (size_t i = 0; i < run->n_readings; i++) {
        sheet_text(s->sheet, table, minute_words(s, run->minute[i]));
        reading_row(s, table, run, &run->reading[i]);
    }
    if (run->settled_untold == SM_TOLD) {
        sheet_text(s->sheet, table, "settled");
        reading_row(s, table, run, &run->settled);
    }
}

/* Whether the run comes to the reading to stop at, and when; "" when it never does. */
static const char *stop_reached(const struct loadrun_sheet *s, const struct sm_load_run *run)
{
    const double stop = run->stop_sink.value;
    for (size_t i = 0; i < run->n_readings; i++) {
        if (run->reading[i].t_sink < stop)
            continue;
        return i == 0 ? " DO NOT START: the sink is past that already."
                      : sheet_format(s->sheet, " It gets there before minute %s.",
                                     minute_words(s, run->minute[i]));
    }
    const bool ends_hot = run->settled_untold == SM_UNTOLD_RUNAWAY || run->settled.t_sink >= stop;
    return ends_hot ? " It gets there if it runs on." : "";
}

static const char *stop_words(const struct loadrun_sheet *s, const struct sm_load_run *run)
{
    const char *limit = quantity(s, s->page->c->module->tvj_op_max, "degC");
    if (run->stop_sink.untold != SM_TOLD)
        return sheet_format(s->sheet, "DO NOT START: %s.", word_untold(run->stop_sink.untold));
    return sheet_format(s->sheet,
                        "STOP when the sink reads %s or the case %s: the hottest junction is then "
                        "at %s.%s",
                        quantity(s, run->stop_sink.value, "degC"),
                        quantity(s, run->stop_case[SM_IGBT].value, "degC"), limit,
                        stop_reached(s, run));
}

static void run_part(const struct loadrun_sheet *s, size_t index)
{
    const struct sm_load_run *run = &s->page->loadrun->runs[index];
    (void)sheet_add(
        s->sheet, SHEET_HEADING,
        sheet_format(s->sheet, "Run %zu: %s, %s", index + 1, quantity(s, run->output_hz, "Hz"),
                     index == 0 ? "from a sink at ambient" : "straight after the run before"),
        sheet_format(s->sheet, "run-%zu", index + 1));
    picture_heat_up(s->sheet, s->page, index);
    if (run->n_readings > 0 || run->settled_untold == SM_TOLD)
        readings(s, run);
    if (run->untold != SM_TOLD)
        (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "",
                        sheet_format(s->sheet, "%s: %s.",
                                     run->n_readings > 0 ? "Then nothing more" : "No curve is told",
                                     word_untold(run->untold)));
    (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "", stop_words(s, run));
}

/* ------------------------------------------------------- currents and bus */

static void currents(const struct loadrun_sheet *s)
{
    static const struct sheet_column columns[] = {
        { "", "output", "Hz", SHEET_NUMBER, false, true },
        { "current in each motor lead, rms", "expect", "A", SHEET_NUMBER, false, false },
        { "current in each motor lead, rms", "read U", "", SHEET_LEFT, false, false },
        { "current in each motor lead, rms", "read V", "", SHEET_LEFT, false, false },
        { "current in each motor lead, rms", "read W", "", SHEET_LEFT, false, false },
        { "", "each within\n+- of the mean", "A", SHEET_NUMBER, false, false },
        { "bus", "expect", "V", SHEET_NUMBER, false, false },
        { "bus", "read", "", SHEET_LEFT, false, false },
    };
    const struct sm_loadrun *loadrun = s->page->loadrun;
    (void)sheet_add(s->sheet, SHEET_HEADING, "Currents and bus", "currents");
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "currents", "");
    sheet_columns(s->sheet, table, columns, COUNT(columns));
    for (size_t i = 0; i < loadrun->n_runs; i++) {
        const struct sm_load_run *run = &loadrun->runs[i];
        sheet_number(s->sheet, table, run->output_hz);
        sheet_number(s->sheet, table, run->i_drive);
        for (int phase = 0; phase < 3; phase++)
            sheet_text(s->sheet, table, BLANK);
        sheet_number(s->sheet, table, run->imbalance);
        sheet_number(s->sheet, table, run->v_dc);
        sheet_text(s->sheet, table, BLANK);
    }
    const char *limit = quantity(s, s->page->c->drive->test.balance_limit, "%");
    (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "",
                    sheet_format(s->sheet,
                                 "No phase may differ from the mean of the three by more than %s "
                                 "of it.",
                                 limit));
}

static const char *ripple_words(const struct loadrun_sheet *s, const struct sm_load_run *run)
{
    if (run->ripple.untold == SM_UNTOLD_NO_BUS_CAPACITANCE && run->ripple_bound.untold == SM_TOLD)
        return sheet_format(s->sheet,
                            "not told: %s; with no capacitor at all it would be %s, the most that "
                            "a sound line leaves",
                            word_untold(run->ripple.untold),
                            quantity(s, run->ripple_bound.value, "V"));
    if (run->ripple.untold == SM_TOLD)
        return sheet_format(s->sheet, "%s peak to peak; read " BLANK " V",
                            quantity(s, run->ripple.value, "V"));
    return word_untold(run->ripple.untold);
}

static void ripples(const struct loadrun_sheet *s)
{
    const struct sm_loadrun *loadrun = s->page->loadrun;
    struct sheet_block *facts = sheet_add(s->sheet, SHEET_FACTS, "", "");
    for (size_t i = 0; i < loadrun->n_runs; i++) {
        const struct sm_load_run *run = &loadrun->runs[i];
        sheet_item(s->sheet, facts,
                   sheet_format(s->sheet, "Ripple at %s", quantity(s, run->output_hz, "Hz")),
                   ripple_words(s, run));
        if (run->ripple.untold == SM_TOLD)
            sheet_item(s->sheet, facts, "  with a line phase lost",
                       told_words(s, &run->ripple_lost, "V"));
    }
}

/* ------------------------------------------------------------------ lists */

static void bullets(const struct loadrun_sheet *s, const char *title, size_t count,
                    const char *text(size_t))
{
    (void)sheet_add(s->sheet, SHEET_HEADING, title, "");
    struct sheet_block *block = sheet_add(s->sheet, SHEET_BULLETS, "", "");
    for (size_t i = 0; i < count; i++)
        sheet_item(s->sheet, block, "", text(i));
}

static void sign(const struct loadrun_sheet *s)
{
    static const char *const fields[] = { "Name",        "Date",         "Drive serial no.",
                                          "Instruments", "Ambient read", "Signature" };
    (void)sheet_add(s->sheet, SHEET_HEADING, "Run by", "sign");
    struct sheet_block *block = sheet_add(s->sheet, SHEET_SIGN, "", "");
    for (size_t i = 0; i < COUNT(fields); i++)
        sheet_item(s->sheet, block, fields[i], "");
}

void sheet_loadrun(struct sheet *sheet, const struct loadrun_page *page)
{
    const struct loadrun_sheet s = { sheet, page, { sheet, page->c, page->result } };
    head(&s);
    if (page->log)
        sheet_log(sheet, page->log);
    sheet_cautions(sheet);
    sheet_conditions(&s.check);
    bullets(&s, "How to measure", word_practice_count(), word_practice);
    for (size_t i = 0; i < page->loadrun->n_runs; i++)
        run_part(&s, i);
    currents(&s);
    ripples(&s);
    sheet_network(sheet, page);
    bullets(&s, "Not checked by this sheet", word_unseen_count(), word_unseen);
    sheet_warnings(&s.check);
    sign(&s);
    const struct made_file log = log_made_file(page->log);
    made_from_sheet_also(sheet, page->c, &log);
}
