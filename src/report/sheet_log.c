/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_log.h"

#include "report/sheet_check.h"

#include <math.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

#define NOTHING "-"

/* Most stretches of lines that a sentence names. */
enum { MOST_STRETCHES = 8 };

struct log_sheet {
    struct sheet *sheet;
    const struct log_page *page;
    const struct sm_log_judgement *j;
};

/* What is judged, in the order of the sheet. */
struct judged {
    const char *title;
    const struct sm_log_finding *finding;
    const char *why;
};

enum { STOP, JUDGED = 6 };

static void judged_list(const struct sm_log_judgement *j, struct judged list[JUDGED])
{
    list[STOP] = (struct judged){ "stop check", &j->stop.is, word_log_why(j->stop.is.why) };
    list[1] = (struct judged){ "joint", &j->joint.is, word_log_why(j->joint.is.why) };
    list[2] = (struct judged){ "heatsink", &j->sink.is, word_log_why(j->sink.is.why) };
    list[3] = (struct judged){ "phases", &j->balance.is, word_log_why(j->balance.is.why) };
    list[4] = (struct judged){ "bus", &j->bus.is, word_log_why(j->bus.is.why) };
    list[5] = (struct judged){ "ripple", &j->ripple.is, log_ripple_why(&j->ripple) };
}

static const char *upper(struct sheet *sheet, const char *words)
{
    char buffer[80];
    size_t n = 0;
    for (; words[n] != '\0' && n + 1 < sizeof buffer; n++)
        buffer[n] = words[n] >= 'a' && words[n] <= 'z' ? (char)(words[n] - 'a' + 'A') : words[n];
    buffer[n] = '\0';
    return sheet_keep(sheet, buffer);
}

static bool is_told(const struct sm_log_finding *finding)
{
    return finding->why == SM_LOG_TOLD && finding->result != SM_LOG_IS_NOT_CHECKED;
}

const char *sheet_log_headline(struct sheet *sheet, const struct sm_log_judgement *judgement)
{
    struct judged list[JUDGED];
    const char *words = "";
    judged_list(judgement, list);
    for (size_t i = STOP + 1; i < JUDGED; i++)
        if (word_log_is_bad(list[i].finding->result))
            words = sheet_format(sheet, "%s%s%s %s", words, words[0] != '\0' ? ", " : "",
                                 upper(sheet, list[i].title),
                                 upper(sheet, word_log_result(list[i].finding->result)));
    if (words[0] != '\0' || word_log_is_bad(list[STOP].finding->result))
        return words;
    return is_told(&judgement->joint.is) && is_told(&judgement->sink.is) ? "AS EXPECTED"
                                                                         : "NOT DECIDED";
}

/* ------------------------------------------------------------------- table */

/* Three digits, all that readings are worth; not for temperatures. */
static double rounded(double si)
{
    if (!(fabs(si) > 0.0))
        return 0.0;
    const double step = pow(10.0, floor(log10(fabs(si))) - 2.0);
    return step * round(si / step);
}

static const char *number(const struct log_sheet *s, double si, const char *unit)
{
    return sheet_quantity(s->sheet, rounded(si), unit);
}

static const char *interval(const struct log_sheet *s, double low, double high)
{
    return sheet_format(s->sheet, "%.3g to %.3g", low, high);
}

static const char *result_words(const struct log_sheet *s, const struct sm_log_finding *finding)
{
    const char *words = word_log_result(finding->result);
    return word_log_is_bad(finding->result) ? upper(s->sheet, words) : words;
}

static void resistance_row(const struct log_sheet *s, struct sheet_block *table, const char *title,
                           const struct sm_log_finding *finding, const struct sm_log_estimate *rth,
                           double expected)
{
    const bool told = is_told(finding);
    const char *cells[] = { title,
                            told ? sheet_format(s->sheet, "%.3g", rth->value) : NOTHING,
                            told ? interval(s, rth->low, rth->high) : NOTHING,
                            told ? interval(s, rth->low_with_model, rth->high_with_model) : NOTHING,
                            sheet_format(s->sheet, "%.4g", expected),
                            result_words(s, finding) };
    for (size_t i = 0; i < COUNT(cells); i++)
        sheet_text(s->sheet, table, cells[i]);
}

static void resistances(const struct log_sheet *s)
{
    static const struct sheet_column columns[] = {
        { "", "K/W", "", SHEET_LEFT, false, true },
        { "", "read", "", SHEET_RIGHT, false, false },
        { "95 % interval", "readings alone", "", SHEET_RIGHT, false, false },
        { "95 % interval", "with the model", "", SHEET_RIGHT, false, false },
        { "", "expected", "", SHEET_RIGHT, false, false },
        { "", "", "", SHEET_LEFT, false, false },
    };
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "resistances", "");
    sheet_columns(s->sheet, table, columns, COUNT(columns));
    resistance_row(s, table, "joint", &s->j->joint.is, &s->j->joint.rth, s->j->joint.expected);
    resistance_row(s, table, "heatsink", &s->j->sink.is, &s->j->sink.rth, s->j->sink.expected);
}

/* ------------------------------------------------------------------- facts */

static const char *offset_words(const struct log_sheet *s)
{
    const struct sm_log_joint *joint = &s->j->joint;
    if (joint->offset_from == SM_LOG_OFFSET_COLD)
        return sheet_format(s->sheet, "%s between the sensors, from %zu row%s without load",
                            number(s, joint->offset, "K"), joint->cold,
                            joint->cold == 1 ? "" : "s");
    if (joint->offset_from == SM_LOG_OFFSET_FITTED)
        return sheet_format(s->sheet, "%s between the sensors, fitted together with the joint",
                            number(s, joint->offset, "K"));
    return sheet_format(
        s->sheet,
        "the sensors are taken to agree: no row without load, and the heat does not "
        "span 2 to 1; each kelvin between them is %s of what is expected",
        number(s, joint->per_kelvin.value, "%"));
}

static void joint_facts(const struct log_sheet *s, struct sheet_block *facts)
{
    const struct sm_log_joint *joint = &s->j->joint;
    if (!is_told(&joint->is))
        return;
    if (joint->thickness.given)
        sheet_item(
            s->sheet, facts, "Layer",
            sheet_format(s->sheet, "as if %s thick", number(s, joint->thickness.value, "um")));
    sheet_item(s->sheet, facts, "Offset", offset_words(s));
    if (joint->drift.given)
        sheet_item(s->sheet, facts, "Drift",
                   sheet_format(s->sheet, "the joint changes by %s of itself during the log",
                                number(s, joint->drift.value, "%")));
    if (joint->from_ntc)
        sheet_item(
            s->sheet, facts, "Case",
            "the thermistor stands for it: what lies between it and the case under the chips "
            "is counted with the joint");
}

static void sink_facts(const struct log_sheet *s, struct sheet_block *facts)
{
    const struct sm_log_sink *sink = &s->j->sink;
    if (is_told(&sink->is))
        sheet_item(s->sheet, facts, "Heatsink",
                   sheet_format(s->sheet, "%s; it takes %s to come 63 %% of the way",
                                number(s, sink->capacity, "J/K"),
                                number(s, sink->time_constant, "min")));
}

static const char *phases_words(const struct log_sheet *s)
{
    const struct sm_log_balance *balance = &s->j->balance;
    const char *words =
        sheet_format(s->sheet, "%s: one is %s off the mean of the three, %s allowed",
                     result_words(s, &balance->is), number(s, balance->median, "%"),
                     number(s, balance->limit, "%"));
    if (!word_log_is_bad(balance->is.result))
        return words;
    return sheet_format(s->sheet, "%s: %s by %s", words, word_log_phase(balance->worst),
                        number(s, balance->phase[balance->worst], "%"));
}

/* How far up a bus without load may stand. */
static const char *bus_peak_words(const struct log_sheet *s)
{
    const struct sm_log_bus *bus = &s->j->bus;
    return bus->highest > bus->expected
               ? sheet_format(s->sheet, ", without load up to %s,", number(s, bus->highest, "V"))
               : "";
}

static void electric_facts(const struct log_sheet *s, struct sheet_block *facts)
{
    const struct sm_log_bus *bus = &s->j->bus;
    const struct sm_log_ripple *ripple = &s->j->ripple;
    if (is_told(&s->j->balance.is))
        sheet_item(s->sheet, facts, "Phases", phases_words(s));
    if (is_told(&bus->is))
        sheet_item(s->sheet, facts, "Bus",
                   sheet_format(s->sheet, "%s: %s, expected %s%s within %s",
                                result_words(s, &bus->is), number(s, bus->median, "V"),
                                number(s, bus->expected, "V"), bus_peak_words(s),
                                number(s, SM_LOG_BUS_LIMIT, "%")));
    if (is_told(&ripple->is))
        sheet_item(s->sheet, facts, "Ripple",
                   sheet_format(s->sheet, "%s: %s peak to peak, expected %s, with a phase lost %s",
                                result_words(s, &ripple->is), number(s, ripple->median, "V"),
                                number(s, ripple->expected, "V"), number(s, ripple->lost, "V")));
}

static void ntc_fact(const struct log_sheet *s, struct sheet_block *facts)
{
    const struct sm_log_ntc *ntc = &s->j->ntc;
    if (ntc->why == SM_LOG_WHY_NO_THERMISTOR)
        sheet_item(s->sheet, facts, "Thermistor", word_log_why(ntc->why));
    if (ntc->why != SM_LOG_TOLD)
        return;
    const char *words =
        sheet_format(s->sheet, "%s under load", sheet_quantity(s->sheet, ntc->t, "degC"));
    if (ntc->over_case.given)
        words = sheet_format(s->sheet, "%s, %s %s than the case", words,
                             number(s, fabs(ntc->over_case.value), "K"),
                             ntc->over_case.value < 0.0 ? "cooler" : "warmer");
    sheet_item(s->sheet, facts, "Thermistor", words);
}

static void untold_facts(const struct log_sheet *s, struct sheet_block *facts)
{
    struct judged list[JUDGED];
    judged_list(s->j, list);
    for (size_t i = 0; i < JUDGED; i++)
        if (list[i].why)
            sheet_item(s->sheet, facts, sheet_format(s->sheet, "No %s", list[i].title),
                       sheet_format(s->sheet, "%s: %s", word_log_result(list[i].finding->result),
                                    list[i].why));
}

/* ------------------------------------------------------------------ causes */

static void causes(const struct log_sheet *s)
{
    struct judged list[JUDGED];
    judged_list(s->j, list);
    for (size_t i = 0; i < JUDGED; i++) {
        const struct sm_log_finding *finding = list[i].finding;
        if (finding->n_causes == 0)
            continue;
        (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "",
                        sheet_format(s->sheet, "%s %s: usually, the likeliest first:",
                                     upper(s->sheet, list[i].title), result_words(s, finding)));
        struct sheet_block *bullets = sheet_add(s->sheet, SHEET_BULLETS, "", "");
        for (size_t k = 0; k < finding->n_causes; k++) {
            const struct log_cause_words *cause = word_log_cause(finding->cause[k]);
            sheet_item(s->sheet, bullets, "",
                       sheet_format(s->sheet, "%s: %s. Look at: %s.", cause->name, cause->text,
                                    cause->look));
        }
    }
}

/* ------------------------------------------------------------------- rows */

/* Two asides that one sentence can tell. */
static bool alike(const struct sm_log_aside *a, const struct sm_log_aside *b)
{
    return a->why == b->why && a->column == b->column;
}

/* "3 rows (lines 12, 14-15): no value in case_c" for all that are like the one at `first`. */
static const char *asides_words(const struct log_sheet *s, size_t first)
{
    const struct sm_log_aside *list = s->j->asides;
    size_t rows = 0, stretches = 0;
    const char *lines = "";
    double most = 0.0;
    for (size_t i = first; i < s->j->n_asides; i++) {
        if (!alike(&list[i], &list[first]))
            continue;
        size_t last = i;
        while (last + 1 < s->j->n_asides && alike(&list[last + 1], &list[first]) &&
               list[last + 1].line == list[last].line + 1)
            last++;
        for (size_t k = i; k <= last; k++)
            most = fabs(list[k].off) > fabs(most) ? list[k].off : most;
        rows += last - i + 1;
        if (stretches++ < MOST_STRETCHES)
            lines = last > i ? sheet_format(s->sheet, "%s%s%d-%d", lines, stretches > 1 ? ", " : "",
                                            list[i].line, list[last].line)
                             : sheet_format(s->sheet, "%s%s%d", lines, stretches > 1 ? ", " : "",
                                            list[i].line);
        i = last;
    }
    struct sm_log_aside worst = list[first];
    struct sm_text why;
    worst.off = rounded(most);
    sm_text_init(&why);
    log_aside_add(&why, &worst, true);
    return sheet_format(s->sheet, "%zu row%s (line%s %s%s): %s%s", rows, rows == 1 ? "" : "s",
                        rows == 1 ? "" : "s", lines,
                        stretches > MOST_STRETCHES ? " and others" : "", sheet_take(s->sheet, &why),
                        rows > 1 && fabs(most) > 0.0 ? " at most" : "");
}

static void asides(const struct log_sheet *s)
{
    const struct sm_log_judgement *j = s->j;
    if (j->n_asides == 0)
        return;
    (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "", "Put aside:");
    struct sheet_block *bullets = sheet_add(s->sheet, SHEET_BULLETS, "", "");
    for (size_t i = 0; i < j->n_asides; i++) {
        size_t before = 0;
        while (before < i && !alike(&j->asides[before], &j->asides[i]))
            before++;
        if (before == i)
            sheet_item(s->sheet, bullets, "", asides_words(s, i));
    }
}

static const char *rows_words(const struct log_sheet *s)
{
    const struct sm_log_judgement *j = s->j;
    const char *words =
        sheet_format(s->sheet, "%zu row%s, %zu of them in use; %zu under load, %zu without.",
                     j->samples, j->samples == 1 ? "" : "s", j->used, j->loaded, j->cold);
    for (size_t i = 0; i < s->page->log->n_ignored; i++)
        words = sheet_format(s->sheet, "%s%s%s", words,
                             i > 0 ? ", " : " Columns not known: ", s->page->log->ignored[i]);
    return s->page->log->n_ignored > 0 ? sheet_format(s->sheet, "%s.", words) : words;
}

void sheet_log(struct sheet *sheet, const struct log_page *page)
{
    const struct log_sheet s = { sheet, page, page->judgement };
    (void)sheet_add(sheet, SHEET_HEADING,
                    sheet_format(sheet, "What the log says: %s", page->log->file), "");
    (void)sheet_add(sheet, SHEET_PARAGRAPH, "", rows_words(&s));
    resistances(&s);
    struct sheet_block *facts = sheet_add(sheet, SHEET_FACTS, "", "");
    if (is_told(&s.j->stop.is))
        sheet_item(sheet, facts, "Stop", sheet_log_stop(sheet, &s.j->stop));
    joint_facts(&s, facts);
    sink_facts(&s, facts);
    electric_facts(&s, facts);
    ntc_fact(&s, facts);
    untold_facts(&s, facts);
    sheet_log_notes(sheet, s.j);
    causes(&s);
    asides(&s);
}
