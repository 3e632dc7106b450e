/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_text.h"

#include "base/text.h"
#include "report/text_layout.h"
#include "report/text_table.h"

static void rule_add(struct sm_text *out, const struct sm_style *style, const char *ascii,
                     const char *utf8)
{
    layout_repeat(out, style->utf8 ? utf8 : ascii, style->width);
    sm_text_add(out, "\n");
}

/* The verdict, what it is about at the other end of the line where it fits, and a rule. */
static void headline_add(struct sm_text *out, const struct sheet_block *block,
                         const struct sm_style *style)
{
    struct sm_text about;
    sm_text_init(&about);
    layout_spell(&about, block->text, style);
    const size_t start = out->length;
    layout_spell(out, block->title, style);
    const int blank =
        style->width - layout_columns_since(out, start) - layout_columns_since(&about, 0);
    if (blank >= 2) {
        layout_repeat(out, " ", blank);
        sm_text_add(out, "%s\n", text_words(&about));
    } else {
        out->length = start;
        layout_wrap(out, block->title, &(struct layout){ style, "" });
        layout_wrap(out, block->text, &(struct layout){ style, "" });
    }
    text_close(&about, &out->out_of_memory);
    rule_add(out, style, "=", "\u2550");
}

static void heading_add(struct sm_text *out, const struct sheet_block *block,
                        const struct sm_style *style)
{
    sm_text_add(out, "\n");
    const size_t start = out->length;
    layout_spell(out, block->title, style);
    if (layout_columns_since(out, start) + 2 > style->width) { /* no room for the line behind it */
        out->length = start;
        layout_wrap(out, block->title, &(struct layout){ style, "" });
        return;
    }
    sm_text_add(out, " ");
    layout_repeat(out, style->utf8 ? "\u2500" : "-",
                  style->width - layout_columns_since(out, start));
    sm_text_add(out, "\n");
}

/* Label and text, the texts in one column. */
static void facts_add(struct sm_text *out, const struct sheet_block *block,
                      const struct sm_style *style)
{
    int width = 0;
    struct sm_text label;
    sm_text_init(&label);
    for (size_t i = 0; i < block->n_items; i++) {
        label.length = 0;
        layout_spell(&label, block->items[i].label, style);
        const int columns = layout_columns_since(&label, 0);
        width = columns > width ? columns : width;
    }
    for (size_t i = 0; i < block->n_items; i++) {
        label.length = 0;
        layout_repeat(&label, " ", TEXT_INDENT);
        layout_spell(&label, block->items[i].label, style);
        layout_repeat(&label, " ", TEXT_INDENT + width + 2 - layout_columns_since(&label, 0));
        layout_wrap(out, block->items[i].text, &(struct layout){ style, text_words(&label) });
    }
    text_close(&label, &out->out_of_memory);
}

static void list_add(struct sm_text *out, const struct sheet_block *block,
                     const struct sm_style *style, const char *mark)
{
    for (size_t i = 0; i < block->n_items; i++) {
        layout_wrap(out, block->items[i].text, &(struct layout){ style, mark });
    }
}

/* Fields with a line to write on, two a line, room above for a pen. */
static void sign_add(struct sm_text *out, const struct sheet_block *block,
                     const struct sm_style *style)
{
    const int half = (style->width - TEXT_INDENT) / 2;
    for (size_t i = 0; i < block->n_items; i++) {
        if (i % 2 == 0) {
            sm_text_add(out, "\n");
            layout_repeat(out, " ", TEXT_INDENT);
        }
        const size_t start = out->length;
        layout_spell(out, block->items[i].label, style);
        sm_text_add(out, " ");
        layout_repeat(out, "_", half - 2 - layout_columns_since(out, start));
        sm_text_add(out, i % 2 == 0 && i + 1 < block->n_items ? "  " : "\n");
    }
}

static void block_add(struct sm_text *out, const struct sheet_block *block,
                      const struct sm_style *style)
{
    switch (block->kind) {
    case SHEET_HEADLINE:
        headline_add(out, block, style);
        break;
    case SHEET_HEADING:
        heading_add(out, block, style);
        break;
    case SHEET_PARAGRAPH:
        layout_wrap(out, block->text, &(struct layout){ style, "  " });
        break;
    case SHEET_FACTS:
        facts_add(out, block, style);
        break;
    case SHEET_TABLE:
        text_table(out, block, style);
        break;
    case SHEET_BARS:
        text_bars(out, block, style);
        break;
    case SHEET_PLOT:
        break;
    case SHEET_TICKS:
        list_add(out, block, style, "  [ ] ");
        break;
    case SHEET_BULLETS:
        list_add(out, block, style, style->utf8 ? "  \u00b7 " : "  - ");
        break;
    case SHEET_SIGN:
        sign_add(out, block, style);
        break;
    }
}

/* A blank line parts two blocks under one heading. */
static bool needs_gap(enum sheet_kind before, enum sheet_kind kind)
{
    return kind != SHEET_HEADING && before != SHEET_HEADING && before != SHEET_HEADLINE;
}

void report_text(struct sm_text *out, const struct sheet *sheet, const struct sm_style *style)
{
    const struct sheet_block *before = NULL;
    for (size_t i = 0; i < sheet->count; i++) {
        const struct sheet_block *block = &sheet->blocks[i];
        if (block->kind == SHEET_PLOT || block->pages_only) {
            continue;
        }
        if (before && needs_gap(before->kind, block->kind)) {
            sm_text_add(out, "\n");
        }
        block_add(out, block, style);
        before = block;
    }
    out->out_of_memory = out->out_of_memory || sheet->out_of_memory;
}
