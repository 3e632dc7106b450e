/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/html_text.h"

#include "base/utf8.h"
#include "report/glyph.h"

#include <stdbool.h>
#include <string.h>

#define REPLACEMENT "\xEF\xBF\xBD"   /* U+FFFD */
#define ISOLATE_BEGIN "\xE2\x81\xA8" /* U+2068 first strong isolate */
#define ISOLATE_END "\xE2\x81\xA9"   /* U+2069 pop directional isolate */

struct code_range {
    uint32_t first, last;
};

static bool in_ranges(uint32_t code, const struct code_range *range, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (code >= range[i].first && code <= range[i].last) {
            return true;
        }
    }
    return false;
}

/* Blocks that Unicode sets aside for scripts written from the right (Unicode Standard Annex 9,
 * classes R and AL, blocks taken whole). */
static bool is_from_right(uint32_t code)
{
    static const struct code_range ranges[] = {
        { 0x0590, 0x08FF },   { 0xFB1D, 0xFDFF },   { 0xFE70, 0xFEFE },
        { 0x10800, 0x10FFF }, { 0x1E800, 0x1EFFF },
    };
    return in_ranges(code, ranges, sizeof ranges / sizeof ranges[0]) && code != 0x061C;
}

/* Marks, embeddings, overrides and isolates (Unicode Standard Annex 9), line and paragraph
 * separators, the byte order mark, and what is no character at all. */
static bool is_steering(uint32_t code)
{
    static const struct code_range ranges[] = {
        { 0x061C, 0x061C }, { 0x200E, 0x200F }, { 0x2028, 0x202E }, { 0x2066, 0x2069 },
        { 0xFEFF, 0xFEFF }, { 0xFDD0, 0xFDEF }, { 0xFFFD, 0xFFFF },
    };
    return in_ranges(code, ranges, sizeof ranges / sizeof ranges[0]) || (code & 0xFFFEu) == 0xFFFEu;
}

static void one_add(struct sm_text *out, const char *at, size_t bytes, uint32_t code)
{
    if (*at == '\n') {
        sm_text_add_bytes(out, " ", 1);
    } else if (is_steering(code) || utf8_is_control(at)) {
        sm_text_add_bytes(out, REPLACEMENT, sizeof REPLACEMENT - 1);
    } else if (strchr("&<>\"'", *at)) {
        sm_text_add(out, "&#%d;", *at);
    } else {
        sm_text_add_bytes(out, at, bytes);
    }
}

/* The bytes up to and with the last character from the right, before the next Latin letter: what
 * is read as one run.  Neutral characters after it stay outside. */
static size_t run_length(const char *text, const char *end)
{
    size_t run = 0;
    uint32_t code = 0;
    for (const char *at = text; at < end;) {
        const size_t n = glyph_next(at, &code);
        if (is_steering(code) ||
            (code < 0x80 && ((code | 0x20u) >= 'a' && (code | 0x20u) <= 'z'))) {
            break;
        }
        at += n;
        if (is_from_right(code)) {
            run = (size_t)(at - text);
        }
    }
    return run;
}

void html_text_part(struct sm_text *out, const char *text, size_t length)
{
    const char *end = text + length, *run_end = text;
    uint32_t code = 0;
    for (const char *at = text; at < end;) {
        const size_t n = glyph_next(at, &code);
        if (at >= run_end && is_from_right(code)) {
            sm_text_add_bytes(out, ISOLATE_BEGIN, sizeof ISOLATE_BEGIN - 1);
            run_end = at + run_length(at, end);
        }
        one_add(out, at, n, code);
        at += n;
        if (at == run_end) {
            sm_text_add_bytes(out, ISOLATE_END, sizeof ISOLATE_END - 1);
        }
    }
}

void html_text(struct sm_text *out, const char *text)
{
    html_text_part(out, text, strlen(text));
}

/* One line; what stands between two backticks is code. */
static void line_add(struct sm_text *out, const char *text, size_t length)
{
    const char *end = text + length;
    for (const char *open; (open = memchr(text, '`', (size_t)(end - text))) != NULL;) {
        const char *close = memchr(open + 1, '`', (size_t)(end - open - 1));
        if (!close) {
            break;
        }
        html_text_part(out, text, (size_t)(open - text));
        sm_text_add(out, "<code>");
        html_text_part(out, open + 1, (size_t)(close - open - 1));
        sm_text_add(out, "</code>");
        text = close + 1;
    }
    html_text_part(out, text, (size_t)(end - text));
}

void html_lines(struct sm_text *out, const char *text)
{
    for (;;) {
        const size_t length = strcspn(text, "\n");
        line_add(out, text, length);
        if (text[length] == '\0') {
            return;
        }
        sm_text_add(out, "<br/>");
        text += length + 1;
    }
}

void html_css_string(struct sm_text *out, const char *text)
{
    sm_text_add(out, "\"");
    uint32_t code = 0;
    for (size_t n = 0; (n = glyph_next(text, &code)) > 0; text += n) {
        const bool steers = is_steering(code) || utf8_is_control(text);
        /* six digits end the escape by themselves */
        sm_text_add(out, "\\%06x", steers ? 0xFFFDu : (unsigned)code);
    }
    sm_text_add(out, "\"");
}
