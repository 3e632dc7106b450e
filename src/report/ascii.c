/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/ascii.h"

#define REPLACEMENT 0xFFFDu

/* Bytes that follow a lead byte, and the smallest code of that length; -1 for no lead byte. */
static int utf8_tail(unsigned char lead, uint32_t *least)
{
    *least = lead < 0xE0 ? 0x80u : lead < 0xF0 ? 0x800u : 0x10000u;
    if (lead >= 0xC2 && lead < 0xE0) {
        return 1;
    }
    if (lead >= 0xE0 && lead < 0xF0) {
        return 2;
    }
    return lead >= 0xF0 && lead < 0xF5 ? 3 : -1;
}

size_t utf8_next(const char *text, uint32_t *code)
{
    const unsigned char *p = (const unsigned char *)text;
    *code = p[0];
    if (p[0] < 0x80) {
        return p[0] != 0 ? 1 : 0;
    }
    uint32_t least = 0;
    const int tail = utf8_tail(p[0], &least);
    uint32_t value = p[0] & (0x3Fu >> (tail > 0 ? tail : 0));
    *code = REPLACEMENT;
    for (int i = 1; i <= tail; i++) {
        if ((p[i] & 0xC0) != 0x80) {
            return 1;
        }
        value = (value << 6) | (p[i] & 0x3Fu);
    }
    if (tail < 0 || value < least || value > 0x10FFFF || (value >= 0xD800 && value < 0xE000)) {
        return 1;
    }
    *code = value;
    return (size_t)tail + 1;
}

struct utf8_range {
    uint32_t first, last;
};

/* Scripts that terminals draw two columns wide: the blocks marked W or F in Unicode Standard Annex
 * 11, taken whole. */
static const struct utf8_range wide[] = {
    { 0x1100, 0x115F }, { 0x2E80, 0xA4CF }, { 0xAC00, 0xD7A3 },   { 0xF900, 0xFAFF },
    { 0xFE30, 0xFE6F }, { 0xFF01, 0xFF60 }, { 0xFFE0, 0xFFE6 },   { 0x1F300, 0x1FAFF },
    { 0x20000, 0x3FFFD },
};

int utf8_char_columns(uint32_t code)
{
    if ((code >= 0x300 && code <= 0x36F) || code == 0x200B) {
        return 0;
    }
    for (size_t i = 0; i < sizeof wide / sizeof wide[0]; i++) {
        if (code >= wide[i].first && code <= wide[i].last) {
            return 2;
        }
    }
    return 1;
}

int utf8_columns(const char *text)
{
    int columns = 0;
    uint32_t code = 0;
    for (size_t n = 0; (n = utf8_next(text, &code)) > 0; text += n) {
        columns += utf8_char_columns(code);
    }
    return columns;
}

/* C0 and C1 controls: a file's name must not steer the terminal. */
static bool is_control(uint32_t code)
{
    return code < 0x20 || (code >= 0x7F && code < 0xA0);
}

void utf8_add(struct sm_text *out, const char *text)
{
    uint32_t code = 0;
    for (size_t n = 0; (n = utf8_next(text, &code)) > 0; text += n) {
        if (code == REPLACEMENT || is_control(code)) {
            sm_text_add_bytes(out, "\xEF\xBF\xBD", 3);
        } else {
            sm_text_add_bytes(out, text, n);
        }
    }
}

static const char *ascii_spelling(uint32_t code)
{
    static const struct {
        uint32_t code;
        const char *ascii;
    } rows[] = {
#define FOLD(code, ascii) { code, ascii },
#include "swapmargin/ascii.def"
#undef FOLD
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (rows[i].code == code) {
            return rows[i].ascii;
        }
    }
    return utf8_char_columns(code) > 0 ? "?" : "";
}

void ascii_add(struct sm_text *out, const char *text)
{
    uint32_t code = 0;
    for (size_t n = 0; (n = utf8_next(text, &code)) > 0; text += n) {
        if (code >= 0x20 && code < 0x7F) {
            sm_text_add_bytes(out, text, 1);
        } else {
            const char *spelling = ascii_spelling(code);
            sm_text_add(out, "%s", spelling);
        }
    }
}
