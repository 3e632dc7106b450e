/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected: columns by Unicode Standard Annex 11; what stands for broken or steering bytes is the
 * replacement character, U+FFFD. */
#include "report/glyph.h"

#include "base/text.h"

#include <criterion/criterion.h>

/* Both ends of combining marks and of wide blocks, and what stands beside them. */
Test(glyph, columns_of_characters_and_of_their_neighbours)
{
    static const struct {
        uint32_t code;
        int columns;
    } rows[] = {
        { 'a', 1 },    { 0x2FF, 1 },  { 0x300, 0 },  { 0x36F, 0 },  { 0x370, 1 },   { 0x200A, 1 },
        { 0x200B, 0 }, { 0x200C, 1 }, { 0x10FF, 1 }, { 0x1100, 2 }, { 0x115F, 2 },  { 0x1160, 1 },
        { 0x3042, 2 }, { 0xAC00, 2 }, { 0xFF00, 1 }, { 0xFF01, 2 }, { 0x1F300, 2 }, { 0x40000, 1 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        cr_expect_eq(glyph_columns(rows[i].code), rows[i].columns, "U+%04X", rows[i].code);
    cr_expect_eq(glyph_text_columns("e\u0301 \u3042"), 4); /* e with an accent, a blank, a kana */
}

static void spelled(const char *text, const char *utf8, const char *ascii)
{
    struct sm_text out;
    sm_text_init(&out);
    glyph_add_utf8(&out, text);
    cr_expect_str_eq(text_words(&out), utf8);
    sm_text_release(&out);
    glyph_add_ascii(&out, text);
    cr_expect_str_eq(text_words(&out), ascii);
    sm_text_release(&out);
}

Test(glyph, a_text_is_shown_without_what_would_steer_a_terminal)
{
    spelled("", "", "");
    spelled("plain ~", "plain ~", "plain ~");
    spelled("20 \u00b5m", "20 \u00b5m", "20 um");
    spelled("a\x1B[31mb", "a\uFFFD[31mb", "a?[31mb");
    spelled("a\x7F", "a\uFFFD", "a?");
    spelled("\xFFz", "\uFFFDz", "?z");
    spelled("e\u0301", "e\u0301", "e"); /* a mark of no width has no spelling of its own */
    spelled("\u3042", "\u3042", "?");
}
