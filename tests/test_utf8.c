/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected: RFC 3629, worked out without a table: a sequence is well formed when it is the shortest
 * of its code point, which is no surrogate and at most U+10FFFF. */
#include "base/utf8.h"

#include <criterion/criterion.h>
#include <string.h>

static uint32_t payload(unsigned char byte)
{
    return byte & 0x3Fu;
}

/* Bytes of the well-formed character that begins with u[0..3], and its code point; 0 for none. */
static size_t expected(const unsigned char u[4], uint32_t *code)
{
    static const uint32_t least[] = { 0, 0, 0x80, 0x800, 0x10000 };
    const size_t n = u[0] < 0x80   ? 1
                     : u[0] < 0xC0 ? 0
                     : u[0] < 0xE0 ? 2
                     : u[0] < 0xF0 ? 3
                     : u[0] < 0xF8 ? 4
                                   : 0;
    if (n == 0)
        return 0;
    *code = n == 1 ? u[0] : u[0] & ((1u << (7 - n)) - 1u);
    for (size_t i = 1; i < n; i++) {
        if (u[i] < 0x80 || u[i] > 0xBF)
            return 0;
        *code = (*code << 6) | payload(u[i]);
    }
    const bool surrogate = *code >= 0xD800 && *code <= 0xDFFF;
    return *code >= least[n] && *code <= 0x10FFFF && !surrogate ? n : 0;
}

Test(utf8, every_first_byte_with_bytes_on_either_side_of_every_bound)
{
    static const unsigned char next[] = { 0x00, 0x41, 0x7F, 0x80, 0x8F, 0x90,
                                          0x9F, 0xA0, 0xBF, 0xC0, 0xFF };
    enum { N = sizeof next };
    for (unsigned first = 0; first <= 0xFF; first++)
        for (size_t k = 0; k < (size_t)N * N * N; k++) {
            const unsigned char u[5] = { (unsigned char)first, next[k % N], next[k / N % N],
                                         next[k / N / N], 0 };
            const char *text = (const char *)u;
            uint32_t code = 0;
            const size_t n = expected(u, &code);
            cr_assert_eq(utf8_length(text), n, "%02X %02X %02X %02X", u[0], u[1], u[2], u[3]);
            if (n > 0)
                cr_assert_eq(utf8_code(text), code, "%02X %02X %02X %02X", u[0], u[1], u[2], u[3]);
        }
}

/* The Unicode Character Database: categories Cc, Zl, Zp, and the bidirectional controls of Standard
 * Annex 9, each with its neighbours. */
Test(utf8, what_steers_a_text_and_what_only_stands_beside_it)
{
    static const char *const steering[] = {
        "\x01",         "\t",           "\x1F",         "\x7F",
        "\xC2\x80",     "\xC2\x9F",     "\xE2\x80\xA8", "\xE2\x80\xA9",
        "\xE2\x80\xAA", "\xE2\x80\xAE", "\xE2\x81\xA6", "\xE2\x81\xA9",
    };
    static const char *const plain[] = {
        " ",      "~", "\xC2\xA0", "\xE2\x80\xA7", "\xE2\x80\xAF", "\xE2\x81\xA5", "\xE2\x81\xAA",
        "\u00b5",
    };
    for (size_t i = 0; i < sizeof steering / sizeof steering[0]; i++)
        cr_expect(utf8_is_control(steering[i]), "%zu", i);
    for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++)
        cr_expect_not(utf8_is_control(plain[i]), "%zu", i);
}

/* Category Zs of the same database but U+1680, a letter space of one script, and the tab. */
Test(utf8, blanks_that_documents_are_set_with)
{
    static const struct {
        const char *text;
        size_t bytes;
    } rows[] = {
        { " ", 1 },
        { "\t", 1 },
        { "\xC2\xA0", 2 },
        { "\xE2\x80\x80", 3 },
        { "\xE2\x80\x8A", 3 },
        { "\xE2\x80\xAF", 3 },
        { "\xE2\x81\x9F", 3 },
        { "\xE3\x80\x80", 3 },
        { "", 0 },
        { "a", 0 },
        { "\n", 0 },
        { "\xC2\xA1", 0 },
        { "\xE2\x80\x8B", 0 },
        { "\xE1\xBF\xBF", 0 },
        { "\xE3\x80\x81", 0 },
        { "\xFF", 0 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        cr_expect_eq(utf8_blank(rows[i].text), rows[i].bytes, "%zu", i);
}

/* "a" and two characters of two bytes, U+00B5: cuts stand at 0, 1, 3 and 5. */
Test(utf8, a_cut_splits_no_character)
{
    static const char text[] = "a\u00b5\u00b5b";
    static const size_t cuts[] = { 0, 1, 1, 3, 3, 5 };
    for (size_t limit = 0; limit < sizeof cuts / sizeof cuts[0]; limit++)
        cr_expect_eq(utf8_cut(text, limit), cuts[limit], "%zu", limit);
    cr_expect_eq(utf8_cut("\x80\x80\x80", 2), 0); /* nothing but continuations */
}
