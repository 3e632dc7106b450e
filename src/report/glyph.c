/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/glyph.h"

#include "base/utf8.h"

#define REPLACEMENT 0xFFFDu

size_t glyph_next(const char *text, uint32_t *code)
{
    const size_t bytes = utf8_length(text);
    *code = bytes > 0 ? utf8_code(text) : REPLACEMENT;
    if (text[0] == '\0') {
        return 0;
    }
    return bytes > 0 ? bytes : 1;
}

struct glyph_range {
    uint32_t first, last;
};

/* Scripts that terminals draw two columns wide: the blocks marked W or F in Unicode Standard Annex
 * 11, taken whole. */
static const struct glyph_range wide[] = {
    { 0x1100, 0x115F }, { 0x2E80, 0xA4CF },   { 0xAC00, 0xD7A3 },
    { 0xF900, 0xFAFF }, { 0xFE30, 0xFE6F },   { 0xFF01, 0xFF60 },
    { 0xFFE0, 0xFFE6 }, { 0x1F300, 0x1FAFF }, { 0x20000, 0x3FFFD },
};

int glyph_columns(uint32_t code)
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

int glyph_text_columns(const char *text)
{
    int columns = 0;
    uint32_t code = 0;
    for (size_t n = 0; (n = glyph_next(text, &code)) > 0; text += n) {
        columns += glyph_columns(code);
    }
    return columns;
}

void glyph_add_utf8(struct sm_text *out, const char *text)
{
    uint32_t code = 0;
    for (size_t n = 0; (n = glyph_next(text, &code)) > 0; text += n) {
        /* a file's name must not steer the terminal */
        if (code == REPLACEMENT || utf8_is_control(text)) {
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
    return glyph_columns(code) > 0 ? "?" : "";
}

void glyph_add_ascii(struct sm_text *out, const char *text)
{
    uint32_t code = 0;
    for (size_t n = 0; (n = glyph_next(text, &code)) > 0; text += n) {
        if (code >= 0x20 && code < 0x7F) {
            sm_text_add_bytes(out, text, 1);
        } else {
            const char *spelling = ascii_spelling(code);
            sm_text_add(out, "%s", spelling);
        }
    }
}
