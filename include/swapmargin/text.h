/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A growable text buffer: whatever the library writes, it writes into one of these. */
#ifndef SWAPMARGIN_TEXT_H
#define SWAPMARGIN_TEXT_H

#include "swapmargin/error.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

struct sm_text {
    char *data; /* owned, NUL-terminated; NULL when empty */
    size_t length, capacity;
    bool out_of_memory; /* something could not be added: the text is incomplete */
};

/* An empty text.  Cannot fail, allocates nothing. */
void sm_text_init(struct sm_text *text);

/* Adds formatted text.  When memory runs out, out_of_memory is set and nothing more is added. */
void sm_text_add(struct sm_text *text, const char *format, ...) SM_PRINTF(2, 3);

/* Adds n bytes as they are. */
void sm_text_add_bytes(struct sm_text *text, const char *bytes, size_t n);

/* Frees the contents; the text is empty and usable again.  Safe twice and on an empty text. */
void sm_text_release(struct sm_text *text);

#ifdef __cplusplus
}
#endif

#endif
