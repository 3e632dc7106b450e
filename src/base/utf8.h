/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * UTF-8, as far as reading and cutting text needs it (RFC 3629). */
#ifndef SM_BASE_UTF8_H
#define SM_BASE_UTF8_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Bytes of the well-formed character at p, 1 to 4; 0 when there is none (overlong forms, surrogates
 * and code points above U+10FFFF are none).  p is NUL-terminated; a NUL is a character of 1. */
size_t utf8_length(const char *p);

/* The code point of the well-formed character at p. */
uint32_t utf8_code(const char *p);

/* Whether the well-formed character at p steers what shows a text: a control character (C0, DEL,
 * C1), a line or paragraph separator, or one that turns the direction of writing. */
bool utf8_is_control(const char *p);

/* Bytes of the blank at p: a space, a tab, or one of the spaces that documents are set with; 0
 * where there is none. */
size_t utf8_blank(const char *p);

/* The largest n <= limit at which text may be cut without splitting a character.
 * Given: text, longer than limit bytes. */
size_t utf8_cut(const char *text, size_t limit);

#endif
