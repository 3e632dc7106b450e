/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/utf8.h"

static bool follows(unsigned char byte)
{
    return (byte & 0xC0u) == 0x80u;
}

size_t utf8_length(const char *p)
{
    const unsigned char *u = (const unsigned char *)p;
    if (u[0] < 0x80u)
        return 1;
    if (u[0] < 0xC2u || u[0] > 0xF4u || !follows(u[1]))
        return 0;
    if (u[0] < 0xE0u)
        return 2;
    if (!follows(u[2]) || (u[0] == 0xE0u && u[1] < 0xA0u) || (u[0] == 0xEDu && u[1] > 0x9Fu))
        return 0;
    if (u[0] < 0xF0u)
        return 3;
    if (!follows(u[3]) || (u[0] == 0xF0u && u[1] < 0x90u) || (u[0] == 0xF4u && u[1] > 0x8Fu))
        return 0;
    return 4;
}

uint32_t utf8_code(const char *p)
{
    const size_t bytes = utf8_length(p);
    const unsigned char *u = (const unsigned char *)p;
    uint32_t code = bytes == 1 ? u[0] : u[0] & (0x7Fu >> bytes);
    for (size_t i = 1; i < bytes; i++)
        code = (code << 6) | (u[i] & 0x3Fu);
    return code;
}

bool utf8_is_control(const char *p)
{
    const unsigned char *u = (const unsigned char *)p;
    if (u[0] < 0x20u || u[0] == 0x7Fu || (u[0] == 0xC2u && u[1] < 0xA0u))
        return true;
    if (u[0] != 0xE2u)
        return false;
    const uint32_t code = utf8_code(p);
    return (code >= 0x2028u && code <= 0x202Eu) || (code >= 0x2066u && code <= 0x2069u);
}

size_t utf8_blank(const char *p)
{
    if (*p == ' ' || *p == '\t')
        return 1;
    if ((unsigned char)*p < 0x80u)
        return 0;
    const size_t bytes = utf8_length(p);
    const uint32_t code = bytes > 0 ? utf8_code(p) : 0;
    const bool blank = code == 0xA0u || (code >= 0x2000u && code <= 0x200Au) || code == 0x202Fu ||
                       code == 0x205Fu || code == 0x3000u;
    return blank ? bytes : 0;
}

size_t utf8_cut(const char *text, size_t limit)
{
    size_t n = limit;
    while (n > 0 && follows((unsigned char)text[n]))
        n--;
    return n;
}
