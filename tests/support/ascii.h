/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TESTS_ASCII_H
#define SM_TESTS_ASCII_H

#include <stdbool.h>

/* True when a text holds printable ASCII and line ends only. */
bool is_ascii(const char *text);

#endif
