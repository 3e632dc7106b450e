/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sheet_sweep.h"

#include "report/made_from.h"
#include "report/sheet_pictures.h"
#include "report/sweep_words.h"
#include "report/words.h"

#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

#define NOTHING "-"

enum { BAR_WIDTH = 30 };

struct sweep_sheet {
    struct sheet *sheet;
    const struct sm_case *c;
    const struct sm_sweep *sweep;
    const struct sm_sweep_quantity *quantity;
    int decimals; /* of the swept values */
};

/* ----------------------------------------------------------------- values */

static const char *row_words(const struct sweep_sheet *s, size_t row)
{
    return sweep_value(s->sheet, s->sweep, s->sweep->rows[row].value, s->decimals);
}

/* The swept value as a cell. */
static void value_cell(const struct sweep_sheet *s, struct sheet_block *table, size_t row)
{
    sheet_text(s->sheet, table,
               sheet_format(s->sheet, "%.*f", s->decimals,
                            sweep_shown(s->sweep, s->sweep->rows[row].value)));
}

/* ------------------------------------------------------------------- head */

static const char *frequencies_words(const struct sweep_sheet *s)
{
    const char *words = "";
    for (size_t i = 0; i < s->sweep->n_points; i++) {
        words = sheet_format(s->sheet, "%s%s%s", words, i > 0 ? ", " : "",
                             sheet_quantity(s->sheet, s->sweep->rows[0].points[i].output_hz, "Hz"));
    }
    return words;
}

/* What is held, each but the swept one. */
static const char *held_words(const struct sweep_sheet *s)
{
    struct sheet *sheet = s->sheet;
    const struct sm_drive *drive = s->c->drive;
    const enum sm_sweep_over over = s->sweep->plan.over;
    const struct sm_optional *layer = &drive->joint.thickness;
    const struct {
        enum sm_sweep_over over;
        bool given;
        const char *name, *value;
    } rows[] = {
        { SM_SWEEP_OUTPUT_FREQUENCY, true, "output", frequencies_words(s) },
        { SM_SWEEP_LOAD, true, "load", sheet_quantity(sheet, drive->test.load, "%") },
        { SM_SWEEP_AMBIENT, true, "ambient",
          sheet_quantity(sheet, drive->cooling.ambient, "degC") },
        { SM_SWEEP_SWITCHING_FREQUENCY, true, "carrier",
          sheet_quantity(sheet, drive->rating.switching_frequency, "kHz") },
        { SM_SWEEP_JOINT_THICKNESS, layer->given, "joint layer",
          sheet_quantity(sheet, layer->value, "um") },
    };
    const char *words = "";
    for (size_t i = 0; i < COUNT(rows); i++) {
        if (rows[i].given && rows[i].over != over) {
            words = sheet_format(sheet, "%s%s%s %s", words, words[0] != '\0' ? "; " : "",
                                 rows[i].name, rows[i].value);
        }
    }
    return sheet_format(sheet, "%s; all else as in the files", words);
}

static void head(const struct sweep_sheet *s)
{
    struct sheet *sheet = s->sheet;
    const struct sm_drive *drive = s->c->drive;
    const struct sm_module *module = s->c->module;
    const size_t n = s->sweep->n_rows;
    const bool named = drive->name && drive->name[0] != '\0';
    (void)sheet_add(sheet, SHEET_HEADLINE, "SWEEP",
                    sheet_format(sheet, "%s%s%s", module->part, named ? " for " : "",
                                 named ? drive->name : ""));
    struct sheet_block *facts = sheet_add(sheet, SHEET_FACTS, "", "");
    sheet_item(sheet, facts, "Swept",
               sheet_format(sheet, "%s, %s to %s in %zu rows%s", s->quantity->title,
                            row_words(s, 0), row_words(s, n - 1), n,
                            s->sweep->plan.logarithmic ? " by equal factors" : ""));
    sheet_item(sheet, facts, "Held", held_words(s));
    sheet_item(sheet, facts, "Read from",
               sheet_format(sheet, "%s, %s%s%s", drive->file ? drive->file : "",
                            module->file ? module->file : "", drive->joint_file ? ", " : "",
                            drive->joint_file ? drive->joint_file : ""));
}

/* ---------------------------------------------------------------- margins */

/* The scale of the bars: zero, every margin and the required one are on it. */
struct scale {
    double low, high; /* K */
};

static struct scale scale_of(const struct sm_sweep *sweep)
{
    struct scale scale = { 0.0, fmax(sweep->required_margin, 1.0) };
    for (size_t i = 0; i < sweep->n_rows; i++) {
        if (!sweep->rows[i].runaway) {
            scale.low = fmin(scale.low, sweep->rows[i].margin);
            scale.high = fmax(scale.high, sweep->rows[i].margin);
        }
    }
    return scale;
}

static long bar_column(const struct scale *scale, double kelvin)
{
    return lround(BAR_WIDTH * (kelvin - scale->low) / (scale->high - scale->low));
}

/* From zero to the margin; a stroke where the required margin lies. */
static const char *bar_words(const struct sweep_sheet *s, const struct scale *scale,
                             const struct sm_sweep_row *row)
{
    const long zero = bar_column(scale, 0.0);
    const long end = row->runaway ? zero : bar_column(scale, row->margin);
    const long mark = bar_column(scale, s->sweep->required_margin);
    struct sm_text bar;
    sm_text_init(&bar);
    for (long i = 0; i <= BAR_WIDTH; i++) {
        const bool over = i < zero && i >= end;
        const bool filled = i >= zero && i < end;
        const char *piece = i == mark ? "|" : over ? "!" : filled ? "\u2588" : " ";
        sm_text_add_bytes(&bar, piece, strlen(piece));
    }
    while (bar.length > 0 && bar.data[bar.length - 1] == ' ') {
        bar.data[--bar.length] = '\0';
    }
    return sheet_take(s->sheet, &bar);
}

static void margin_row(const struct sweep_sheet *s, struct sheet_block *table, size_t row,
                       const struct scale *scale)
{
    const struct sm_sweep_row *r = &s->sweep->rows[row];
    const struct sm_point *worst = &r->points[r->worst];
    value_cell(s, table, row);
    if (r->runaway) {
        sheet_text(s->sheet, table, NOTHING);
        sheet_text(s->sheet, table, NOTHING);
    } else {
        sheet_number(s->sheet, table, r->margin);
        sheet_text(s->sheet, table, word_chip_title(worst->worst));
    }
    if (s->sweep->n_points > 1) {
        sheet_text(s->sheet, table, sheet_quantity(s->sheet, worst->output_hz, "Hz"));
    }
    sheet_text(s->sheet, table, sheet_kept(r->runaway, r->margin, s->sweep->required_margin));
    sheet_text(s->sheet, table, bar_words(s, scale, r));
}

/* The curves, and where the margin passes the required one. */
static void picture(const struct sweep_sheet *s)
{
    struct sheet *sheet = s->sheet;
    const struct sm_sweep *sweep = s->sweep;
    if (!picture_has_curve(sweep)) {
        return;
    }
    struct sheet_block *block =
        picture_margin(sheet, sweep, sheet_format(sheet, "Margin over %s", s->quantity->title));
    block->plot.tall = true;
    for (size_t i = 0; i < sweep->n_crossings; i++) {
        const struct sm_sweep_crossing *crossing = &sweep->crossings[i];
        if (crossing->found) {
            const struct plot_place at = { sweep_shown(sweep, crossing->value),
                                           sweep->required_margin };
            const char *words = sweep_near(sheet, sweep, crossing);
            picture_mark(sheet, block, at, words, sheet_format(sheet, "about %s", words));
        }
    }
}

static void margins(const struct sweep_sheet *s)
{
    const bool many = s->sweep->n_points > 1;
    const struct scale scale = scale_of(s->sweep);
    const char *bars =
        sheet_format(s->sheet, "%.1f K to %.1f K\n| %s required", scale.low, scale.high,
                     sheet_quantity(s->sheet, s->sweep->required_margin, "K"));
    const struct sheet_column columns[] = {
        { "", s->quantity->head, s->quantity->unit, SHEET_RIGHT, false, true },
        { "", "margin", "K", SHEET_NUMBER, false, false },
        { "", "set by", "", SHEET_LEFT, false, false },
        { "", "at", "", SHEET_RIGHT, false, false },
        { "", "", "", SHEET_LEFT, false, false },
        { "", bars, "", SHEET_DRAWN, false, false },
    };
    (void)sheet_add(s->sheet, SHEET_HEADING,
                    many ? "Smallest margin over the test frequencies" : "Margin", "margin");
    picture(s);
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "margin", "");
    for (size_t i = 0; i < COUNT(columns); i++) {
        if (many || i != 3) {
            sheet_columns(s->sheet, table, &columns[i], 1);
        }
    }
    for (size_t i = 0; i < s->sweep->n_rows; i++) {
        margin_row(s, table, i, &scale);
    }
}

/* -------------------------------------------------------------- crossings */

/* Where the margin passes the required one, in one sentence. */
static void crossings(const struct sweep_sheet *s)
{
    struct sheet *sheet = s->sheet;
    const struct sm_sweep *sweep = s->sweep;
    const char *what =
        sheet_format(sheet, "the required %s", sheet_quantity(sheet, sweep->required_margin, "K"));
    const char *words =
        sheet_format(sheet, "The margin %s %s in every row.",
                     sm_sweep_keeps(sweep, 0) ? "stays at or above" : "is short of", what);
    for (size_t i = 0; i < sweep->n_crossings; i++) {
        words =
            sheet_format(sheet, "%s %s%s", i == 0 ? "The margin" : words,
                         sweep_crossing(sheet, sweep, &sweep->crossings[i], i == 0 ? what : "it"),
                         i + 1 < sweep->n_crossings ? ";" : ".");
    }
    (void)sheet_add(sheet, SHEET_PARAGRAPH, "", words);
}

/* ----------------------------------------------------------------- points */

static void point_cells(const struct sweep_sheet *s, struct sheet_block *table,
                        const struct sm_point *point)
{
    const struct sm_chip_result *igbt = &point->chip[SM_IGBT], *diode = &point->chip[SM_DIODE];
    const double values[] = { igbt->tvj_max, diode->tvj_max, fmax(igbt->t_case, diode->t_case),
                              point->t_sink, point->margin };
    for (size_t i = 0; i < COUNT(values); i++) {
        if (point->runaway) {
            sheet_text(s->sheet, table, NOTHING);
        } else {
            sheet_number(s->sheet, table, values[i]);
        }
    }
}

static void points(const struct sweep_sheet *s)
{
    const struct sheet_column value = {
        "", s->quantity->head, s->quantity->unit, SHEET_RIGHT, false, true
    };
    (void)sheet_add(s->sheet, SHEET_HEADING, "Highest junction, hotter case, sink", "temperatures");
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "temperatures", "");
    sheet_columns(s->sheet, table, &value, 1);
    for (size_t i = 0; i < s->sweep->n_points; i++) {
        const char *hz = s->sweep->n_points > 1
                             ? sheet_quantity(s->sheet, s->sweep->rows[0].points[i].output_hz, "Hz")
                             : "";
        const struct sheet_column columns[] = {
            { hz, "IGBT", "degC", SHEET_NUMBER, false, false },
            { hz, "diode", "degC", SHEET_NUMBER, false, false },
            { hz, "case", "degC", SHEET_NUMBER, false, false },
            { hz, "sink", "degC", SHEET_NUMBER, false, false },
            { hz, "margin", "K", SHEET_NUMBER, false, false },
        };
        sheet_columns(s->sheet, table, columns, COUNT(columns));
    }
    for (size_t row = 0; row < s->sweep->n_rows; row++) {
        value_cell(s, table, row);
        for (size_t i = 0; i < s->sweep->n_points; i++) {
            point_cells(s, table, &s->sweep->rows[row].points[i]);
        }
    }
}

/* ------------------------------------------------------------------ notes */

static void notes(const struct sweep_sheet *s, enum sm_note_kind kind, const char *title)
{
    struct sheet_block *block = NULL;
    for (size_t i = 0; i < s->sweep->n_notes; i++) {
        const struct sm_sweep_note *note = &s->sweep->notes[i];
        if (sm_note_kind(note->note.id) != kind) {
            continue;
        }
        if (!block) {
            (void)sheet_add(s->sheet, SHEET_HEADING, title, "");
            block = sheet_add(s->sheet, SHEET_BULLETS, "", "");
        }
        sheet_item(s->sheet, block, "", sweep_note(s->sheet, s->sweep, note));
    }
}

/* What a check looks at and a sweep does not. */
static void not_checked(const struct sweep_sheet *s)
{
    const char *words = "";
    for (size_t i = 0; i < SM_CHECK_COUNT; i++) {
        words = sheet_format(s->sheet, "%s%s%s", words, i > 0 ? "; " : "",
                             word_check((enum sm_check_id)i)->title);
    }
    (void)sheet_add(s->sheet, SHEET_HEADING, "Not checked by a sweep", "not-checked");
    (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "",
                    sheet_format(s->sheet,
                                 "A sweep looks at the margin only, and a row that keeps it is no "
                                 "verdict. `swapmargin check` looks at these too: %s.",
                                 words));
}

void sheet_sweep(struct sheet *sheet, const struct sm_case *c, const struct sm_sweep *sweep)
{
    const struct sweep_sheet s = { sheet, c, sweep, sm_sweep_quantity(sweep->plan.over),
                                   sweep_decimals(sweep) };
    head(&s);
    margins(&s);
    crossings(&s);
    points(&s);
    not_checked(&s);
    notes(&s, SM_KIND_CONDITION, "To be settled by a person");
    notes(&s, SM_KIND_NOTE, "Assumptions and notes");
    sheet_cautions(sheet);
    made_from_sheet(sheet, c);
}
