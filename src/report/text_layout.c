/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text_layout.h"

#include "base/text.h"
#include "report/glyph.h"

#include <math.h>
#include <string.h>

void layout_spell(struct sm_text *out, const char *text, const struct sm_style *style)
{
    (style->utf8 ? glyph_add_utf8 : glyph_add_ascii)(out, text);
}

void layout_repeat(struct sm_text *out, const char *piece, int n)
{
    for (int i = 0; i < n; i++) {
        sm_text_add_bytes(out, piece, strlen(piece));
    }
}

int layout_columns_since(const struct sm_text *out, size_t start)
{
    return out->data && out->length > start ? glyph_text_columns(out->data + start) : 0;
}

void layout_number(struct sm_text *out, double number, int decimals, int width)
{
    const double half = 0.5 * pow(10.0, -decimals);
    sm_text_add(out, "%*.*f", width, decimals, fabs(number) < half ? 0.0 : number);
}

void layout_trim(struct sm_text *out)
{
    while (out->length > 0 && out->data[out->length - 1] == ' ') {
        out->data[--out->length] = '\0';
    }
}

/* A piece of text that is not parted: a word, or a number and the word after it. */
struct piece {
    const char *begin;
    size_t length;
    int columns;
};

static size_t word_length(const char *text)
{
    return strcspn(text, " \n");
}

static bool word_is_number(const char *word, size_t length)
{
    return length > 0 && strspn(word, "+-0123456789.") >= length &&
           strcspn(word, "0123456789") < length;
}

static int columns_of(const char *text, size_t length)
{
    int columns = 0;
    uint32_t code = 0;
    for (size_t i = 0; i < length;) {
        i += glyph_next(text + i, &code);
        columns += glyph_columns(code);
    }
    return columns;
}

static struct piece piece_at(const char *text)
{
    size_t length = word_length(text);
    if (word_is_number(text, length) && text[length] == ' ') {
        const size_t next = word_length(text + length + 1);
        length += next > 0 ? 1 + next : 0;
    }
    return (struct piece){ text, length, columns_of(text, length) };
}

/* Adds what fits of a piece that is longer than a line: as far as the last hyphen, slash or
 * underscore that fits, where it has one.  Returned: the bytes added. */
static size_t cut_add(struct sm_text *out, const struct piece *piece, int room)
{
    size_t bytes = 0, seam = 0;
    int columns = 0;
    while (bytes < piece->length) {
        uint32_t code = 0;
        const size_t n = glyph_next(piece->begin + bytes, &code);
        columns += glyph_columns(code);
        if (columns > room && bytes > 0) {
            bytes = seam > 0 ? seam : bytes;
            break;
        }
        bytes += n;
        if (code == '-' || code == '/' || code == '_')
            seam = bytes;
    }
    sm_text_add_bytes(out, piece->begin, bytes);
    return bytes;
}

/* Writes words that are already spelled for the terminal. */
static void wrap_words(struct sm_text *out, const char *text, int indent, int width)
{
    int column = indent;
    bool fresh = true; /* nothing on this line yet */
    while (*text != '\0') {
        if (*text == '\n' || *text == ' ') {
            if (*text++ == '\n') {
                sm_text_add(out, "\n");
                layout_repeat(out, " ", indent);
                column = indent;
                fresh = true;
            }
            continue;
        }
        struct piece piece = piece_at(text);
        if (!fresh && column + 1 + piece.columns > width) {
            sm_text_add(out, "\n");
            layout_repeat(out, " ", indent);
            column = indent;
            fresh = true;
        }
        if (!fresh) {
            sm_text_add(out, " ");
            column++;
        }
        const size_t bytes = cut_add(out, &piece, width - column);
        column += columns_of(piece.begin, bytes);
        text += bytes;
        fresh = false;
        if (bytes < piece.length) {
            sm_text_add(out, "\n");
            layout_repeat(out, " ", indent);
            column = indent;
            fresh = true;
        }
    }
}

void layout_wrap(struct sm_text *out, const char *text, const struct layout *layout)
{
    struct sm_text spelled;
    sm_text_init(&spelled);
    for (const char *line = text; *line != '\0';) {
        /* newlines are ours; spelling would take them for control characters */
        const size_t length = strcspn(line, "\n");
        struct sm_text part;
        sm_text_init(&part);
        sm_text_add_bytes(&part, line, length);
        layout_spell(&spelled, text_words(&part), layout->style);
        text_close(&part, &out->out_of_memory);
        line += length;
        if (*line == '\n') {
            sm_text_add(&spelled, "\n");
            line++;
        }
    }
    const size_t start = out->length;
    layout_spell(out, layout->first, layout->style);
    const int indent = layout_columns_since(out, start);
    wrap_words(out, text_words(&spelled), indent, layout->style->width);
    layout_trim(out);
    sm_text_add(out, "\n");
    text_close(&spelled, &out->out_of_memory);
}
