/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Plain decimal numbers: optional sign, digits with a point, optional exponent; nothing else. */
#ifndef SM_QUANTITY_NUMBER_H
#define SM_QUANTITY_NUMBER_H

#include <stddef.h>

#define NUMBER_LIMIT 64 /* bytes of one number */

/* Bytes of the number at p; 0 for none. */
size_t number_length(const char *p);

/* The number of the first n bytes at p, whatever the locale.  Given: n of number_length(), at most
 * NUMBER_LIMIT; more digits are not read.  Too large a number is infinite. */
double number_value(const char *p, size_t n);

#endif
