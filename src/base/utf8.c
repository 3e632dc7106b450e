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

bool utf8_is_control(const char *p)
{
    const unsigned char *u = (const unsigned char *)p;
    return u[0] < 0x20u || u[0] == 0x7Fu || (u[0] == 0xC2u && u[1] < 0xA0u);
}

size_t utf8_cut(const char *text, size_t limit)
{
    size_t n = limit;
    while (n > 0 && follows((unsigned char)text[n]))
        n--;
    return n;
}
