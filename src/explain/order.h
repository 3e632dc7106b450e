/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The steps in the order in which they are read, and the words that need saying. */
#ifndef SM_EXPLAIN_ORDER_H
#define SM_EXPLAIN_ORDER_H

#include "explain/builder.h"

/* Steps one link away from `top` first, then those two links away, and so on; what `top` does not
 * rest on is left out.  On lack of memory arena->failed is set. */
void order_from(struct builder *b, size_t top, struct sm_explanation *out);

/* The functions that the ordered steps' expressions use. */
void words_collect(struct builder *b, struct sm_explanation *out);

#endif
