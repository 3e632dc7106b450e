/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * UTF-8 as a terminal sees it: columns, repair of broken bytes, plain-ASCII spelling. */
#ifndef SWAPMARGIN_REPORT_GLYPH_H
#define SWAPMARGIN_REPORT_GLYPH_H

#include "swapmargin/report.h"

#include <stddef.h>
#include <stdint.h>

/* Reads one character.  Returned: its bytes (>= 1; at the end of the string 0); *code is U+FFFD for
 * a byte that is not UTF-8. */
size_t glyph_next(const char *text, uint32_t *code);

/* Terminal columns of one character and of a text: 2 for wide East Asian ones, 0 for accents that
 * combine with the character before. */
int glyph_columns(uint32_t code);
int glyph_text_columns(const char *text);

/* Adds the text with broken bytes and control characters replaced by U+FFFD, or '?' in ASCII. */
void glyph_add_utf8(struct sm_text *out, const char *text);
void glyph_add_ascii(struct sm_text *out, const char *text);

#endif
