/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/suggest.h"

#include <string.h>

enum { LENGTH_MOST = 40, DISTANCE_MOST = 2 };

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Edit distance of two words (Levenshtein), row by row. */
static size_t distance(const char *a, const char *b)
{
    const size_t n = strlen(b);
    size_t row[LENGTH_MOST + 1];
    for (size_t j = 0; j <= n; j++) {
        row[j] = j;
    }
    for (size_t i = 0; a[i] != '\0'; i++) {
        size_t diagonal = row[0];
        row[0] = i + 1;
        for (size_t j = 0; j < n; j++) {
            const size_t changed = diagonal + (a[i] == b[j] ? 0u : 1u);
            diagonal = row[j + 1];
            row[j + 1] = least(changed, 1 + least(row[j], row[j + 1]));
        }
    }
    return row[n];
}

const char *suggest(const char *typed, const char *const *words, size_t count)
{
    const char *best = NULL;
    size_t best_distance = DISTANCE_MOST + 1;
    const size_t length = strlen(typed);
    for (size_t i = 0; i < count && length > 0 && length <= LENGTH_MOST; i++) {
        if (strlen(words[i]) > LENGTH_MOST) {
            continue;
        }
        /* a word typed in part is nearer than any other; one letter is too little to tell */
        const size_t d =
            length > 1 && strncmp(words[i], typed, length) == 0 ? 0 : distance(typed, words[i]);
        if (d < best_distance && d < length) {
            best_distance = d;
            best = words[i];
        }
    }
    return best;
}
