/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/near.h"

#include <string.h>

#define NAME_LIMIT 64u /* bytes of a name that is compared */

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Letters changed, added, left out or swapped with their neighbour (optimal string alignment). */
static size_t edit_distance(const char *a, const char *b)
{
    const size_t n = strlen(a), m = strlen(b);
    size_t row[3][NAME_LIMIT + 1];
    for (size_t j = 0; j <= m; j++)
        row[0][j] = j;
    for (size_t i = 1; i <= n; i++) {
        size_t *now = row[i % 3];
        const size_t *last = row[(i - 1) % 3], *before = row[(i + 1) % 3];
        now[0] = i;
        for (size_t j = 1; j <= m; j++) {
            const size_t changed = last[j - 1] + (a[i - 1] != b[j - 1]);
            now[j] = least(changed, least(last[j], now[j - 1]) + 1);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                now[j] = least(now[j], before[j - 2] + 1);
        }
    }
    return row[n % 3][m];
}

bool name_near(const char *a, const char *b, size_t *distance)
{
    const size_t n = strlen(a), m = strlen(b);
    if (n > NAME_LIMIT || m > NAME_LIMIT)
        return false;
    *distance = edit_distance(a, b);
    /* a third of the letters may be wrong, two in a short name */
    const size_t allowed = m / 3 > 2 ? m / 3 : 2;
    return *distance <= allowed && *distance < m;
}
