/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/canvas.h"
#include "base/text.h"
#include "report/html_parts.h"
#include "report/phrase.h"
#include "report/ticks.h"

#include <math.h>
#include <string.h>

/* px of the picture. */
#define ROW_HEIGHT 15.0
#define BAR_HEIGHT 10.0
#define SCALE_HEIGHT 20.0 /* under the rows */
#define MARK_HEIGHT 18.0  /* over them, for the label of a stroke */
#define GAP 7.0
#define BASE_UP 1.5 /* of a text over its bar's lower edge */
#define VALUE_WIDTH 50.0
#define HATCH 5.0 /* between the strokes of a bar that is asked for */

enum { SCALE_TICKS = 6 };

struct bars {
    const struct sheet_block *block;
    struct canvas canvas;
    double left, right, top, bottom; /* px  of the field */
    double low, high;                /* ends of the scale */
};

static double place_of(const struct bars *bars, double at)
{
    return bars->left + (bars->right - bars->left) * (at - bars->low) / (bars->high - bars->low);
}

/* px: upper edge of a bar. */
static double row_top(const struct bars *bars, size_t row)
{
    return bars->top + ROW_HEIGHT * (double)row + 0.5 * (ROW_HEIGHT - BAR_HEIGHT);
}

/* The quantity, spelled; the text is replaced. */
static const char *quantity(struct sm_text *text, double value, int decimals, const char *unit)
{
    text->length = 0;
    sm_text_add(text, "%.*f", decimals, value);
    if (unit[0] != '\0') {
        sm_text_add(text, " ");
        phrase_unit(text, unit, true);
    }
    return text_words(text);
}

/* ------------------------------------------------------------------ words */

/* "sink over ambient 32.8 K, 40.0 to 72.8 degC; joint ..." */
static void shows_add(struct sm_text *out, const struct sheet_block *block)
{
    struct sm_text text;
    sm_text_init(&text);
    if (block->text[0] != '\0') {
        sm_text_add(out, "%s ", block->text);
    }
    for (size_t i = 0; i < block->n_bars; i++) {
        const struct sheet_bar *bar = &block->bars[i];
        sm_text_add(out, "%s%s %s", i > 0 ? "; " : "", bar->label,
                    quantity(&text, bar->value, 1, block->scale.value_unit));
        if (bar->note) {
            sm_text_add(out, " %s", bar->note);
        }
    }
    sm_text_add(out, ".");
    if (block->scale.mark) {
        sm_text_add(out, " Line: %s.", block->scale.mark);
    }
    text_close(&text, &out->out_of_memory);
}

/* ------------------------------------------------------------------ scale */

/* The stroke across all bars, its label above. */
static void mark_add(struct bars *bars)
{
    const struct sheet_scale *scale = &bars->block->scale;
    if (!scale->mark) {
        return;
    }
    const double x = place_of(bars, scale->mark_at);
    const double half = 0.5 * canvas_text_width(scale->mark);
    const double middle = fmax(fmin(x, HTML_PICTURE_WIDTH - half), half);
    canvas_line(&bars->canvas, (struct canvas_point){ x, bars->top - 3.0 },
                (struct canvas_point){ x, bars->bottom + 3.0 },
                (struct canvas_pen){ scale->mark_limit ? "limit" : "asked",
                                     scale->mark_limit ? CANVAS_SOLID : CANVAS_DASHED });
    canvas_text(&bars->canvas, (struct canvas_point){ middle, bars->top - 6.0 },
                (struct canvas_type){ scale->mark_limit ? "said limit" : "value", CANVAS_MIDDLE },
                scale->mark);
}

static void scale_add(struct bars *bars)
{
    const struct ticks ticks = ticks_even(bars->low, bars->high, SCALE_TICKS);
    struct sm_text text;
    sm_text_init(&text);
    for (size_t i = 0; i < ticks.n; i++) {
        const double x = place_of(bars, ticks.at[i]);
        canvas_line(&bars->canvas, (struct canvas_point){ x, bars->top },
                    (struct canvas_point){ x, bars->bottom + 3.0 },
                    (struct canvas_pen){ "grid", CANVAS_SOLID });
        canvas_text(&bars->canvas, (struct canvas_point){ x, bars->bottom + 15.0 },
                    (struct canvas_type){ "tick", CANVAS_MIDDLE },
                    quantity(&text, ticks.at[i], ticks.decimals, ""));
    }
    /* the unit follows the last number */
    const double x =
        place_of(bars, ticks.at[ticks.n - 1]) + 0.5 * canvas_text_width(text_words(&text));
    text.length = 0;
    phrase_unit(&text, bars->block->scale.unit, true);
    canvas_text(&bars->canvas, (struct canvas_point){ x + 2.0, bars->bottom + 15.0 },
                (struct canvas_type){ "tick", CANVAS_START }, text_words(&text));
    text_close(&text, &bars->canvas.out->out_of_memory);
}

/* ------------------------------------------------------------------- rows */

/* An outlined box with slanted strokes. */
static void hatch_add(struct bars *bars, const struct canvas_box *box)
{
    const struct canvas_box all = bars->canvas.clip;
    const double height = box->bottom - box->top;
    bars->canvas.clip = *box;
    for (double x = box->left - height; x < box->right; x += HATCH) {
        const struct canvas_point stroke[] = { { x, box->bottom }, { x + height, box->top } };
        canvas_polyline(&bars->canvas, stroke, 2, (struct canvas_pen){ "hatch", CANVAS_SOLID });
    }
    bars->canvas.clip = all;
}

static const char *fill_class(enum sheet_fill fill)
{
    switch (fill) {
    case SHEET_FILL_HEAT:
        return "heat";
    case SHEET_FILL_FREE:
        return "free";
    case SHEET_FILL_WANTED:
        return "wanted";
    case SHEET_FILL_OVER:
        return "over";
    }
    return "";
}

static void bar_add(struct bars *bars, const struct sheet_bar *bar, double top)
{
    const struct canvas_box box = { place_of(bars, fmin(bar->from, bar->to)), top,
                                    place_of(bars, fmax(bar->from, bar->to)), top + BAR_HEIGHT };
    const double base = top + BAR_HEIGHT - BASE_UP;
    struct sm_text text, tip;
    sm_text_init(&text);
    sm_text_init(&tip);
    const char *value = quantity(&text, bar->value, 1, bars->block->scale.value_unit);
    sm_text_add(&tip, "%s%s%s: %s", bar->label, bar->note ? " " : "", bar->note ? bar->note : "",
                value);
    canvas_text(&bars->canvas, (struct canvas_point){ 0.0, base },
                (struct canvas_type){ "label", CANVAS_START }, bar->label);
    canvas_text(&bars->canvas, (struct canvas_point){ bars->left - GAP, base },
                (struct canvas_type){ "value", CANVAS_END }, value);
    canvas_rect(&bars->canvas, &box, fill_class(bar->fill), text_words(&tip));
    if (bar->fill == SHEET_FILL_WANTED || bar->fill == SHEET_FILL_OVER) {
        hatch_add(bars, &box);
    }
    struct sm_text *out = bars->canvas.out;
    text_close(&text, &out->out_of_memory);
    text_close(&tip, &out->out_of_memory);
}

/* What stands after the bars, upon the stroke across them. */
static void notes_add(struct bars *bars)
{
    for (size_t i = 0; i < bars->block->n_bars; i++) {
        const struct sheet_bar *bar = &bars->block->bars[i];
        const double base = row_top(bars, i) + BAR_HEIGHT - BASE_UP;
        if (bar->note) {
            canvas_text(
                &bars->canvas,
                (struct canvas_point){ place_of(bars, fmax(bar->from, bar->to)) + GAP, base },
                (struct canvas_type){ "note", CANVAS_START }, bar->note);
        }
    }
}

/* --------------------------------------------------------------- picture */

static double labels_width(const struct sheet_block *block)
{
    double width = 0.0;
    for (size_t i = 0; i < block->n_bars; i++) {
        width = fmax(width, canvas_text_width(block->bars[i].label));
    }
    return width;
}

static double notes_width(const struct sheet_block *block)
{
    double width = 0.0;
    for (size_t i = 0; i < block->n_bars; i++) {
        if (block->bars[i].note) {
            width = fmax(width, GAP + canvas_text_width(block->bars[i].note));
        }
    }
    return width;
}

void html_bars(struct sm_text *out, const struct sheet_block *block, const char *id)
{
    struct sm_text shows;
    sm_text_init(&shows);
    shows_add(&shows, block);
    /* a limit is near the right end: its label has room beside the picture's title */
    const double top = block->scale.mark && !block->scale.mark_limit ? MARK_HEIGHT : 0.0;
    const double bottom = top + ROW_HEIGHT * (double)block->n_bars;
    const struct canvas_words words = { id, block->title, text_words(&shows) };
    struct bars bars = {
        .block = block,
        .canvas = canvas_begin(out, HTML_PICTURE_WIDTH, bottom + SCALE_HEIGHT, &words),
        .left = labels_width(block) + VALUE_WIDTH,
        .right = HTML_PICTURE_WIDTH - 20.0 - notes_width(block),
        .top = top,
        .bottom = bottom,
        .low = block->scale.low,
        .high = block->scale.high > block->scale.low ? block->scale.high : block->scale.low + 1.0,
    };
    scale_add(&bars);
    for (size_t i = 0; i < block->n_bars; i++) {
        bar_add(&bars, &block->bars[i], row_top(&bars, i));
    }
    mark_add(&bars);
    notes_add(&bars);
    canvas_end(&bars.canvas);
    text_close(&shows, &out->out_of_memory);
}
