/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "quantity/number.h"

#include <locale.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

static bool digit(char c)
{
    return c >= '0' && c <= '9';
}

static size_t digits(const char *p)
{
    size_t n = 0;
    while (digit(p[n]))
        n++;
    return n;
}

size_t number_length(const char *p)
{
    size_t n = p[0] == '+' || p[0] == '-';
    const size_t whole = digits(p + n);
    n += whole;
    size_t fraction = 0;
    if (p[n] == '.') {
        fraction = digits(p + n + 1);
        if (whole + fraction > 0)
            n += 1 + fraction;
    }
    if (whole + fraction == 0)
        return 0;
    if (p[n] == 'e' || p[n] == 'E') {
        const size_t sign = p[n + 1] == '+' || p[n + 1] == '-';
        const size_t exponent = digits(p + n + 1 + sign);
        if (exponent > 0)
            n += 1 + sign + exponent;
    }
    return n;
}

/* strtod() follows the caller's locale; ours are always written with a point. */
double number_value(const char *p, size_t n)
{
    const char *point = localeconv()->decimal_point;
    char buffer[NUMBER_LIMIT + 16];
    size_t k = 0;
    for (size_t i = 0; i < n; i++) {
        const char *add = p[i] == '.' ? point : &p[i];
        const size_t length = p[i] == '.' ? strlen(point) : 1;
        if (k + length >= sizeof buffer)
            break;
        memcpy(buffer + k, add, length);
        k += length;
    }
    buffer[k] = '\0';
    return strtod(buffer, NULL);
}
