/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "quantity/number.h"

#include "swapmargin/quantity.h"

#include <locale.h>
#include <stdbool.h>
#include <stdio.h>
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

/* Below 1e-4 and from 1e9 on an exponent reads better than a row of zeros. */
#define EXPONENT_SMALLEST (-4)
#define EXPONENT_LARGEST 8

void sm_number_format(char *buffer, size_t size, double number, int n_digits)
{
    char text[64];
    (void)snprintf(text, sizeof text, "%.*e", n_digits - 1, number);
    const char *e = strchr(text, 'e');
    if (!e) { /* not finite: never in a result, but never garbage either */
        (void)snprintf(buffer, size, "%s", text);
        return;
    }
    const int exponent = (int)strtol(e + 1, NULL, 10);
    const double rounded = strtod(text, NULL);
    const int places = n_digits - 1 - exponent;
    if (exponent >= EXPONENT_SMALLEST && exponent <= EXPONENT_LARGEST)
        (void)snprintf(text, sizeof text, "%.*f", places > 0 ? places : 0, rounded);

    const char *point = localeconv()->decimal_point;
    char *at = strstr(text, point);
    if (at) {
        memmove(at + 1, at + strlen(point), strlen(at + strlen(point)) + 1);
        *at = '.';
        char *end = strchr(text, 'e');
        if (!end)
            end = text + strlen(text);
        char *last = end;
        while (last[-1] == '0')
            last--;
        if (last[-1] == '.')
            last--;
        memmove(last, end, strlen(end) + 1);
    }
    (void)snprintf(buffer, size, "%s", strcmp(text, "-0") == 0 ? "0" : text);
}
