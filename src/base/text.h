/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Texts on the way into others. */
#ifndef SM_BASE_TEXT_H
#define SM_BASE_TEXT_H

#include "swapmargin/text.h"

/* What the text says so far; "" for one without bytes. */
const char *text_words(const struct sm_text *text);

/* Order of two pointers to plain texts, for qsort(). */
int text_order(const void *left, const void *right);

/* Releases a text that was made for another piece of work: what it lacks for want of memory, that
 * lacks too. */
void text_close(struct sm_text *text, bool *out_of_memory);

#endif
