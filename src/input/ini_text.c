/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/ini_text.h"

#include "base/utf8.h"

#include <string.h>

size_t ini_blank(const char *p)
{
    return utf8_blank(p);
}

const char *ini_skip(const char *p)
{
    while (ini_blank(p) > 0)
        p += ini_blank(p);
    return p;
}

void ini_trim_end(char *text)
{
    size_t n = strlen(text);
    for (;;) {
        size_t last = 1; /* bytes of the last character */
        while (last < 3 && last < n && ini_blank(text + n - last) != last)
            last++;
        if (last > n || ini_blank(text + n - last) != last)
            break;
        n -= last;
    }
    text[n] = '\0';
}

char *ini_comment(char *p)
{
    bool open = true;
    while (*p) {
        if (open && (*p == ';' || *p == '#'))
            return p;
        const size_t blank = ini_blank(p);
        open = blank > 0;
        p += blank > 0 ? blank : 1;
    }
    return p;
}

struct ini_clip ini_clip(const char *text)
{
    struct ini_clip clip;
    const size_t n = strlen(text);
    const size_t limit = sizeof clip.text - sizeof "...";
    const size_t keep = n > limit ? utf8_cut(text, limit) : n;
    memcpy(clip.text, text, keep);
    memcpy(clip.text + keep, n > limit ? "..." : "", n > limit ? sizeof "..." : 1);
    return clip;
}

void ini_fold(const char *from, char *to)
{
    while (*from) {
        const char *next = ini_skip(from);
        if (next > from) {
            *to++ = ' ';
            from = next;
        } else {
            const char c = *from++;
            *to++ = c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
        }
    }
    *to = '\0';
}
