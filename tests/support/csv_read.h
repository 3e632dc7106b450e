/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A strict reader of CSV for tests, written from RFC 4180 alone: CRLF ends every line, a cell is
 * quoted as a whole or not at all, every line has as many cells as the first. */
#ifndef SM_TESTS_CSV_READ_H
#define SM_TESTS_CSV_READ_H

#include <stddef.h>

struct csv_table {
    char **cells; /* row by row, the header first */
    size_t columns, rows;
};

/* The test fails where the text breaks a rule. */
struct csv_table csv_read(const char *text);

/* A cell by row (0: the first after the header) and column name; the test fails without it. */
const char *csv_cell(const struct csv_table *table, size_t row, const char *column);

void csv_release(struct csv_table *table);

#endif
