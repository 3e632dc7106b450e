/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_html.h"

#include "base/digest.h"
#include "base/text.h"
#include "report/embedded.h"
#include "report/html_parts.h"
#include "report/html_text.h"
#include "swapmargin/version.h"

#include <stdio.h>
#include <string.h>

enum { ID_SIZE = 64 };

/* Most columns of a table on paper, in two columns of text and in one. */
enum { DENSE_COLUMNS = 9, COLUMNS = 17 };

/* What is open while the blocks are gone through. */
struct page {
    struct sm_text *out;
    const struct sheet *sheet;
    size_t section;   /* number of the one that is open; 0 before the first heading */
    char id[ID_SIZE]; /* its id */
    size_t parts;     /* tables and pictures in it so far */
    bool pictures;    /* a row of pictures is open */
};

static void element(struct sm_text *out, const char *name, const char *text)
{
    sm_text_add(out, "<%s>", name);
    html_lines(out, text);
    sm_text_add(out, "</%s>\n", name);
}

/* ------------------------------------------------------------------- head */

static const struct sheet_block *headline_of(const struct sheet *sheet)
{
    for (size_t i = 0; i < sheet->count; i++) {
        if (sheet->blocks[i].kind == SHEET_HEADLINE) {
            return &sheet->blocks[i];
        }
    }
    return NULL;
}

static bool has_sortable(const struct sheet *sheet)
{
    for (size_t i = 0; i < sheet->count; i++) {
        if (sheet->blocks[i].sortable) {
            return true;
        }
    }
    return false;
}

/* "CONDITIONAL · KT 150-12 HB for Harrow Lane" */
static void name_add(struct sm_text *out, const struct sheet *sheet)
{
    const struct sheet_block *headline = headline_of(sheet);
    if (headline) {
        sm_text_add(out, "%s%s%s", headline->title, headline->text[0] != '\0' ? " \u00b7 " : "",
                    headline->text);
    }
}

/* The style sheet, and what stands at the foot of each printed page. */
static void style_make(struct sm_text *style, const struct sheet *sheet)
{
    struct sm_text name;
    sm_text_init(&name);
    name_add(&name, sheet);
    sm_text_add(&name, " \u00b7 swapmargin %s", sm_version());
    sm_text_add(style, "\n%s@page{@bottom-left{content:", sm_embedded_page_css);
    html_css_string(style, text_words(&name));
    sm_text_add(style, "}}\n");
    text_close(&name, &style->out_of_memory);
}

/* Nothing may be fetched, and only this style and this script are obeyed, by their digests. */
static void policy_add(struct sm_text *out, const struct sm_text *style, bool script)
{
    char digest[DIGEST_BASE64];
    digest_base64(text_words(style), style->length, digest);
    sm_text_add(out,
                "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                "base-uri 'none'; form-action 'none'; style-src 'sha256-%s'",
                digest);
    if (script) {
        digest_base64(sm_embedded_page_js, strlen(sm_embedded_page_js), digest);
        sm_text_add(out, "; script-src 'sha256-%s'", digest);
    }
    sm_text_add(out, "\"/>\n");
}

static void head_add(struct sm_text *out, const struct sheet *sheet)
{
    struct sm_text style, name;
    sm_text_init(&style);
    sm_text_init(&name);
    style_make(&style, sheet);
    name_add(&name, sheet);
    sm_text_add(out, "<!DOCTYPE html>\n<html lang=\"en\" dir=\"ltr\">\n<head>\n"
                     "<meta charset=\"utf-8\"/>\n");
    policy_add(out, &style, has_sortable(sheet));
    sm_text_add(out, "<title>");
    html_text(out, text_words(&name));
    sm_text_add(out, "</title>\n");
    sm_text_add(out,
                "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
                "<meta name=\"color-scheme\" content=\"light dark\"/>\n"
                "<meta name=\"generator\" content=\"swapmargin %s\"/>\n<style>",
                sm_version());
    sm_text_add_bytes(out, text_words(&style), style.length);
    sm_text_add(out, "</style>\n</head>\n<body%s>\n", sheet->dense ? " class=\"dense\"" : "");
    text_close(&style, &out->out_of_memory);
    text_close(&name, &out->out_of_memory);
}

/* ------------------------------------------------------------------ blocks */

static void headline_add(struct sm_text *out, const struct sheet_block *block)
{
    static const char *const verdicts[] = { "APPROVE", "CONDITIONAL", "REJECT" };
    const char *kind = "plain";
    for (size_t i = 0; i < sizeof verdicts / sizeof verdicts[0]; i++) {
        kind = strcmp(block->title, verdicts[i]) == 0 ? verdicts[i] : kind;
    }
    sm_text_add(out, "<header>\n<h1><span class=\"verdict %s\">", kind);
    html_text(out, block->title);
    sm_text_add(out, "</span> <span class=\"about\">");
    html_text(out, block->text);
    sm_text_add(out, "</span></h1>\n</header>\n");
}

static void facts_add(struct sm_text *out, const struct sheet_block *block)
{
    sm_text_add(out, "<dl class=\"facts\">\n");
    for (size_t i = 0; i < block->n_items; i++) {
        if (block->items[i].label[0] != '\0') {
            sm_text_add(out, "<dt>");
            html_text(out, block->items[i].label);
            sm_text_add(out, "</dt>");
        }
        sm_text_add(out, "<dd>");
        html_lines(out, block->items[i].text);
        sm_text_add(out, "</dd>\n");
    }
    sm_text_add(out, "</dl>\n");
}

static void bullets_add(struct sm_text *out, const struct sheet_block *block)
{
    sm_text_add(out, "<ul class=\"bullets\">\n");
    for (size_t i = 0; i < block->n_items; i++) {
        element(out, "li", block->items[i].text);
    }
    sm_text_add(out, "</ul>\n");
}

/* Boxes that can be ticked on the screen too; nothing is kept. */
static void ticks_add(struct sm_text *out, const struct sheet_block *block)
{
    sm_text_add(out, "<ul class=\"ticks\">\n");
    for (size_t i = 0; i < block->n_items; i++) {
        sm_text_add(out, "<li><label><input type=\"checkbox\" autocomplete=\"off\"/> <span>");
        html_lines(out, block->items[i].text);
        sm_text_add(out, "</span></label></li>\n");
    }
    sm_text_add(out, "</ul>\n");
}

/* Fields for a pen, or for the keyboard before printing. */
static void sign_add(struct sm_text *out, const struct sheet_block *block)
{
    sm_text_add(out, "<div class=\"sign\">\n");
    for (size_t i = 0; i < block->n_items; i++) {
        sm_text_add(out, "<label><span>");
        html_text(out, block->items[i].label);
        sm_text_add(out, "</span><input type=\"text\" autocomplete=\"off\"/></label>\n");
    }
    sm_text_add(out, "</div>\n");
}

static void picture_add(struct page *page, const struct sheet_block *block, const char *id)
{
    sm_text_add(page->out, "<figure>\n");
    element(page->out, "figcaption", block->title);
    (block->kind == SHEET_PLOT ? html_plot : html_bars)(page->out, block, id);
    if (block->text[0] != '\0') { /* part of the words of the picture, which are read out */
        sm_text_add(page->out, "<p class=\"key\" aria-hidden=\"true\">");
        html_text(page->out, block->text);
        sm_text_add(page->out, "</p>\n");
    }
    sm_text_add(page->out, "</figure>\n");
}

/* ---------------------------------------------------------------- sections */

static void section_id(char id[ID_SIZE], const struct sheet_block *heading, size_t number)
{
    if (heading->text[0] != '\0') {
        (void)snprintf(id, ID_SIZE, "%s", heading->text);
    } else {
        (void)snprintf(id, ID_SIZE, "part-%zu", number);
    }
}

static void section_end(struct page *page)
{
    if (page->section > 0) {
        sm_text_add(page->out, "</div>\n</section>\n");
    } else {
        sm_text_add(page->out, "</div>\n");
    }
}

static void section_begin(struct page *page, const struct sheet_block *heading)
{
    section_end(page);
    page->section++;
    page->parts = 0;
    section_id(page->id, heading, page->section);
    sm_text_add(page->out,
                "<section id=\"%s\" aria-labelledby=\"%s-heading\">\n<h2 id=\"%s-heading\">",
                page->id, page->id, page->id);
    html_text(page->out, heading->title);
    sm_text_add(page->out, "</h2>\n<div class=\"body\">\n");
}

static void pictures_switch(struct page *page, enum sheet_kind kind)
{
    const bool picture = kind == SHEET_BARS || kind == SHEET_PLOT;
    if (picture != page->pictures) {
        sm_text_add(page->out, picture ? "<div class=\"pictures\">\n" : "</div>\n");
        page->pictures = picture;
    }
}

static void block_add(struct page *page, const struct sheet_block *block)
{
    char id[ID_SIZE + 32];
    pictures_switch(page, block->kind);
    switch (block->kind) {
    case SHEET_HEADLINE: /* stands above all sections */
        break;
    case SHEET_HEADING:
        section_begin(page, block);
        break;
    case SHEET_PARAGRAPH:
        element(page->out, "p", block->text);
        break;
    case SHEET_FACTS:
        facts_add(page->out, block);
        break;
    case SHEET_TABLE:
        (void)snprintf(id, sizeof id, "%s-table-%zu", page->id, ++page->parts);
        html_table(page->out, block, id, page->sheet->dense ? DENSE_COLUMNS : COLUMNS);
        break;
    case SHEET_BARS:
    case SHEET_PLOT:
        (void)snprintf(id, sizeof id, "%s-picture-%zu", page->id, ++page->parts);
        picture_add(page, block, id);
        break;
    case SHEET_TICKS:
        ticks_add(page->out, block);
        break;
    case SHEET_BULLETS:
        bullets_add(page->out, block);
        break;
    case SHEET_SIGN:
        sign_add(page->out, block);
        break;
    }
}

/* -------------------------------------------------------------------- page */

static void contents_add(struct sm_text *out, const struct sheet *sheet)
{
    size_t number = 0;
    sm_text_add(out, "<nav aria-label=\"sections\">\n<ul>\n");
    for (size_t i = 0; i < sheet->count; i++) {
        if (sheet->blocks[i].kind == SHEET_HEADING) {
            char id[ID_SIZE];
            section_id(id, &sheet->blocks[i], ++number);
            sm_text_add(out, "<li><a href=\"#%s\">", id);
            html_text(out, sheet->blocks[i].title);
            sm_text_add(out, "</a></li>\n");
        }
    }
    sm_text_add(out, "</ul>\n</nav>\n");
}

void report_html(struct sm_text *out, const struct sheet *sheet)
{
    struct page page = { .out = out, .sheet = sheet, .id = "top" };
    const struct sheet_block *headline = headline_of(sheet);
    head_add(out, sheet);
    if (headline) {
        headline_add(out, headline);
    }
    sm_text_add(out, "<main>\n<div class=\"intro\">\n");
    for (size_t i = 0; i < sheet->count; i++) {
        block_add(&page, &sheet->blocks[i]);
    }
    pictures_switch(&page, SHEET_PARAGRAPH);
    section_end(&page);
    sm_text_add(out, "</main>\n");
    contents_add(out, sheet);
    sm_text_add(out, "<footer>swapmargin %s</footer>\n", sm_version());
    if (has_sortable(sheet)) {
        sm_text_add(out, "<script>%s</script>\n", sm_embedded_page_js);
    }
    sm_text_add(out, "</body>\n</html>\n");
    out->out_of_memory = out->out_of_memory || sheet->out_of_memory;
}
