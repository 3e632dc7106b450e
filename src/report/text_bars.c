/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"
#include "report/phrase.h"
#include "report/text_layout.h"
#include "report/text_table.h"

#include <math.h>
#include <string.h>

enum { VALUE_WIDTH = 7, FRAME = 2, ROOM_LEAST = 10 };

/* Where the parts of each line stand. */
struct bars {
    const struct sheet_block *block;
    const struct sm_style *style;
    int label; /* columns of the labels */
    int unit;  /* columns of the values' unit */
    int room;  /* columns of the scale */
};

static int spelled_columns(const char *text, const struct sm_style *style)
{
    struct sm_text scratch;
    sm_text_init(&scratch);
    layout_spell(&scratch, text, style);
    const int columns = layout_columns_since(&scratch, 0);
    sm_text_release(&scratch);
    return columns;
}

static struct bars bars_plan(const struct sheet_block *block, const struct sm_style *style)
{
    struct bars bars = { .block = block, .style = style };
    for (size_t i = 0; i < block->n_bars; i++) {
        const int columns = spelled_columns(block->bars[i].label, style);
        bars.label = columns > bars.label ? columns : bars.label;
    }
    bars.unit = spelled_columns(block->scale.value_unit, style);
    const int left = TEXT_INDENT + bars.label + VALUE_WIDTH + 1 + bars.unit + 2 + FRAME;
    bars.room = style->width - left > ROOM_LEAST ? style->width - left : ROOM_LEAST;
    return bars;
}

/* Column of a place on the scale, 0 to room. */
static int scale_column(const struct bars *bars, double at)
{
    const struct sheet_scale *scale = &bars->block->scale;
    const double span = scale->high - scale->low;
    const double share = span > 0.0 ? (at - scale->low) / span : 0.0;
    return (int)lround(fmin(fmax(share, 0.0), 1.0) * bars->room);
}

/* The title, and the two ends of the scale above its frame. */
static void ends_add(struct sm_text *out, const struct bars *bars)
{
    const struct sheet_scale *scale = &bars->block->scale;
    struct sm_text low, high;
    sm_text_init(&low);
    sm_text_init(&high);
    sm_text_add(&low, "%.1f ", scale->low);
    sm_text_add(&high, "%.1f ", scale->high);
    phrase_unit(&low, scale->unit, bars->style->utf8);
    phrase_unit(&high, scale->unit, bars->style->utf8);
    const size_t start = out->length;
    layout_repeat(out, " ", TEXT_INDENT);
    layout_spell(out, bars->block->title, bars->style);
    const int frame = bars->style->width - FRAME - bars->room;
    layout_repeat(out, " ", frame - layout_columns_since(out, start));
    sm_text_add(out, " %s", text_words(&low));
    layout_repeat(out, " ",
                  bars->style->width - layout_columns_since(out, start) -
                      layout_columns_since(&high, 0));
    sm_text_add(out, "%s\n", text_words(&high));
    text_close(&low, &out->out_of_memory);
    text_close(&high, &out->out_of_memory);
}

static const char *fill_piece(enum sheet_fill fill, bool utf8)
{
    switch (fill) {
    case SHEET_FILL_HEAT:
        return utf8 ? "\u2588" : "#";
    case SHEET_FILL_FREE:
        return utf8 ? "\u2591" : ".";
    case SHEET_FILL_WANTED:
        return "/";
    case SHEET_FILL_OVER:
        return "!";
    }
    return "?";
}

static void bar_add(struct sm_text *out, const struct bars *bars, const struct sheet_bar *bar)
{
    const size_t start = out->length;
    layout_repeat(out, " ", TEXT_INDENT);
    layout_spell(out, bar->label, bars->style);
    layout_repeat(out, " ", TEXT_INDENT + bars->label - layout_columns_since(out, start));
    layout_number(out, bar->value, 1, VALUE_WIDTH);
    sm_text_add(out, " ");
    phrase_unit(out, bars->block->scale.value_unit, bars->style->utf8);
    const int from = scale_column(bars, fmin(bar->from, bar->to));
    const int to = scale_column(bars, fmax(bar->from, bar->to));
    layout_repeat(out, " ",
                  bars->style->width - FRAME - bars->room - layout_columns_since(out, start));
    sm_text_add(out, "|");
    layout_repeat(out, " ", from);
    layout_repeat(out, fill_piece(bar->fill, bars->style->utf8), to - from);
    layout_repeat(out, " ", bars->room - to);
    sm_text_add(out, "|\n");
}

void text_bars(struct sm_text *out, const struct sheet_block *block, const struct sm_style *style)
{
    const struct bars bars = bars_plan(block, style);
    ends_add(out, &bars);
    for (size_t i = 0; i < block->n_bars; i++) {
        bar_add(out, &bars, &block->bars[i]);
    }
}
