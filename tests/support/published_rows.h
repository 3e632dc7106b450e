/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Include this before a table of rows: PUBLISHED() adds a row to `rows`, counted in `n`.
 */
#ifndef SM_TESTS_PUBLISHED_ROWS_H
#define SM_TESTS_PUBLISHED_ROWS_H

#include "support/published.h"

#define PUBLISHED(what, unit, value, tolerance, why, tag, source, ours)                            \
    rows[n++] = (struct published){ what, unit, #value, value, tolerance, why, tag, source, ours };

#endif
