/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/known.h"
#include "report/phrase.h"
#include "report/sheet_check.h"
#include "report/words.h"

#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

#define NOTHING "-"

/* Allowed for any time: what is held to the junction's limit is not held to the required margin. */
#define WITHIN_LIMIT "up to T_vj,op"

/* --------------------------------------------------- overload, zero speed */

/* One row of the table. */
struct extreme {
    const char *name;
    bool runaway;
    double t_sink, tvj, margin; /* K */
    enum sm_chip_kind chip;
    const char *allowed;
};

static void extreme_row(const struct check_sheet *s, struct sheet_block *table,
                        const struct extreme *row)
{
    const double si[] = { row->t_sink, row->tvj, row->margin };
    sheet_text(s->sheet, table, row->name);
    for (size_t i = 0; i < COUNT(si); i++) {
        if (!row->runaway) {
            sheet_number(s->sheet, table, si[i]);
        } else {
            sheet_text(s->sheet, table, i == 2 ? "runaway" : NOTHING);
        }
    }
    sheet_text(s->sheet, table, row->runaway ? NOTHING : word_chip_title(row->chip));
    sheet_text(s->sheet, table, row->allowed);
}

/* How long an overload may last. */
static const char *overload_allowed(const struct check_sheet *s, const struct sm_overload *o)
{
    const double asked = s->c->drive->rating.overload_time.value;
    if (o->allowed_time.given) {
        return sheet_format(s->sheet, "%s of %s",
                            sheet_quantity(s->sheet, o->allowed_time.value, "s"),
                            sheet_quantity(s->sheet, asked, "s"));
    }
    if (o->runaway || o->margin < 0.0) {
        return "not known";
    }
    return o->sink_settled ? WITHIN_LIMIT
                           : sheet_format(s->sheet, "all %s", sheet_quantity(s->sheet, asked, "s"));
}

static void overload_rows(const struct check_sheet *s, struct sheet_block *table)
{
    for (size_t i = 0; i < s->result->n_overload; i++) {
        const struct sm_overload *o = &s->result->overload[i];
        const struct extreme row = {
            .name = sheet_format(s->sheet, "overload at %s",
                                 sheet_quantity(s->sheet, o->output_hz, "Hz")),
            .runaway = o->runaway,
            .t_sink = o->t_sink,
            .tvj = o->tvj_max,
            .margin = o->margin,
            .chip = o->worst,
            .allowed = overload_allowed(s, o),
        };
        extreme_row(s, table, &row);
    }
}

/* How much current may stand. */
static const char *hold_allowed(const struct check_sheet *s, const struct sm_hold *hold)
{
    if (!hold->runaway && hold->margin >= 0.0) {
        return WITHIN_LIMIT;
    }
    if (!hold->allowed_current.given) {
        return sheet_format(s->sheet, "below %s of rated",
                            sheet_quantity(s->sheet, SM_HOLD_LEAST, "%"));
    }
    const double share = hold->allowed_current.value / s->c->drive->rating.output_current;
    return sheet_format(s->sheet, "%s of rated", sheet_quantity(s->sheet, share, "%"));
}

static void hold_row(const struct check_sheet *s, struct sheet_block *table)
{
    const struct sm_hold *hold = &s->result->hold;
    if (!result_has_hold(s->result)) {
        return;
    }
    const enum sm_chip_kind worst = hold->tvj[SM_DIODE] > hold->tvj[SM_IGBT] ? SM_DIODE : SM_IGBT;
    const struct extreme row = {
        .name = sheet_format(s->sheet, "zero-speed hold, %s peak",
                             sheet_quantity(s->sheet, hold->current, "A")),
        .runaway = hold->runaway,
        .t_sink = hold->t_sink,
        .tvj = hold->tvj[worst],
        .margin = hold->margin,
        .chip = worst,
        .allowed = hold_allowed(s, hold),
    };
    extreme_row(s, table, &row);
}

void sheet_extremes(const struct check_sheet *s)
{
    static const struct sheet_column columns[] = {
        { "", "case", "", SHEET_LEFT, true, true },
        { "", "sink", "degC", SHEET_NUMBER, false, false },
        { "", "junction", "degC", SHEET_NUMBER, false, false },
        { "", "margin", "K", SHEET_NUMBER, false, false },
        { "", "chip", "", SHEET_LEFT, false, false },
        { "", "allowed", "", SHEET_LEFT, false, false },
    };
    if (s->result->n_overload == 0 && !result_has_hold(s->result)) {
        return;
    }
    (void)sheet_add(s->sheet, SHEET_HEADING, "Overload and zero speed", "extremes");
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "overload and zero speed", "");
    sheet_columns(s->sheet, table, columns, COUNT(columns));
    overload_rows(s, table);
    hold_row(s, table);
}

/* ----------------------------------------------------------------- limits */

static const char *limit_said(struct sheet *sheet, enum sm_limit_id id,
                              const struct sm_limit *limit)
{
    if (limit->state == SM_LIMIT_FOUND) {
        return sheet_format(sheet, "%s%s",
                            id == SM_LIMIT_LOWEST_OUTPUT
                                ? word_chip_title(limit->set_by)
                                : sheet_set_by(sheet, limit->set_by_hz, limit->set_by),
                            limit->runaway_beyond ? ", runaway beyond" : "");
    }
    struct sm_text why;
    sm_text_init(&why);
    phrase_no_limit(&why, id, limit, true);
    return sheet_take(sheet, &why);
}

static enum phrase_side limit_side(enum sm_limit_id id)
{
    return id == SM_LIMIT_LOWEST_OUTPUT ? PHRASE_AT_LEAST : PHRASE_AT_MOST;
}

void sheet_limits(const struct check_sheet *s)
{
    static const struct sheet_column columns[] = {
        { "", "each alone", "", SHEET_LEFT, false, true },
        { "", "limit", "", SHEET_RIGHT, false, false },
        { "", "set by", "", SHEET_LEFT, true, false },
    };
    size_t computed = 0;
    for (size_t i = 0; i < SM_LIMIT_COUNT; i++) {
        computed += s->result->limits[i].state != SM_LIMIT_NOT_COMPUTED ? 1u : 0u;
    }
    if (computed == 0) {
        return;
    }
    (void)sheet_add(s->sheet, SHEET_HEADING, "How far until only the required margin is left",
                    "limits");
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "limits", "");
    sheet_columns(s->sheet, table, columns, COUNT(columns));
    for (size_t i = 0; i < SM_LIMIT_COUNT; i++) {
        const enum sm_limit_id id = (enum sm_limit_id)i;
        const struct sm_limit *limit = &s->result->limits[id];
        const struct word_row *words = word_limit(id);
        if (limit->state == SM_LIMIT_NOT_COMPUTED) {
            continue;
        }
        sheet_text(s->sheet, table, words->title);
        sheet_text(s->sheet, table,
                   limit->state == SM_LIMIT_FOUND
                       ? sheet_bound(s->sheet, limit->value, words->unit, limit_side(id))
                       : NOTHING);
        sheet_text(s->sheet, table, limit_said(s->sheet, id, limit));
    }
    (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "",
                    "Of the settled points at the test frequencies; " SHEET_NOT_SEARCHED);
}

/* ----------------------------------------------------------------- checks */

/* Times of this trade are microseconds; the table's unit is the one for programs. */
static const char *shown_unit(const char *unit)
{
    return strcmp(unit, "s") == 0 ? "us" : unit;
}

/* Value and limit are compared, so that they differ in print where they do. */
static const char *check_quantity(const struct check_sheet *s, const struct sm_optional *value,
                                  const struct sm_optional *other, const char *unit)
{
    if (!value->given) {
        return NOTHING;
    }
    return other->given ? sheet_beside(s->sheet, value->value, other->value, shown_unit(unit))
                        : sheet_quantity(s->sheet, value->value, shown_unit(unit));
}

/* Whether the value must reach its limit, not stay below it; where a row has limits on both sides,
 * the broken one tells. */
static bool check_at_least(const struct sm_check *check)
{
    if (check->id == SM_CHECK_SHORT_CIRCUIT || check->id == SM_CHECK_DEAD_TIME ||
        check->id == SM_CHECK_ISOLATION) {
        return true;
    }
    const bool broken = check->result == SM_CHECK_WARN || check->result == SM_CHECK_FAIL ||
                        check->why.id == SM_NOTE_CONFIRMED_AGAINST;
    return broken && check->value.value < check->limit.value;
}

static const char *check_limit(const struct check_sheet *s, const struct sm_check *check,
                               const char *unit)
{
    const char *quantity = check_quantity(s, &check->limit, &check->value, unit);
    return check->limit.given ? sheet_format(s->sheet, "%s %s",
                                             check_at_least(check) ? "\u2265" : "\u2264", quantity)
                              : quantity;
}

static void check_row(const struct check_sheet *s, struct sheet_block *table,
                      const struct sm_check *check)
{
    const struct word_row *words = word_check(check->id);
    sheet_text(s->sheet, table, words->title);
    sheet_text(s->sheet, table, word_check_result(check->result));
    sheet_text(s->sheet, table, check_quantity(s, &check->value, &check->limit, words->unit));
    sheet_text(s->sheet, table, check_limit(s, check, words->unit));
    sheet_text(s->sheet, table, sheet_note(s->sheet, &check->why));
}

/* What was checked; the rest stands among the points to settle. */
void sheet_checks(const struct check_sheet *s)
{
    static const struct sheet_column columns[] = {
        { "", "check", "", SHEET_LEFT, true, true },
        { "", "result", "", SHEET_LEFT, false, false },
        { "", "value", "", SHEET_RIGHT, false, false },
        { "", "limit", "", SHEET_RIGHT, false, false },
        { "", "why", "", SHEET_BELOW, false, false },
    };
    if (result_checks(s->result, SM_CHECK_NOT_CHECKED) == SM_CHECK_COUNT) {
        return;
    }
    (void)sheet_add(s->sheet, SHEET_HEADING, "Electrical and mechanical fit", "fit");
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "checks", "");
    sheet_columns(s->sheet, table, columns, COUNT(columns));
    for (size_t i = 0; i < SM_CHECK_COUNT; i++) {
        if (s->result->checks[i].result != SM_CHECK_NOT_CHECKED) {
            check_row(s, table, &s->result->checks[i]);
        }
    }
}
