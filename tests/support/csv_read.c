/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/csv_read.h"

#include <criterion/criterion.h>

#include <stdlib.h>
#include <string.h>

/* Reads one cell from *p on and leaves *p behind it. */
static char *cell_read(const char **p)
{
    char *cell = calloc(strlen(*p) + 1, 1);
    cr_assert_not_null(cell);
    size_t n = 0;
    if (**p != '"') {
        n = strcspn(*p, ",\r\n\"");
        memcpy(cell, *p, n);
        *p += n;
        return cell;
    }
    for ((*p)++; **p != '"' || (*p)[1] == '"'; (*p)++) {
        cr_assert_neq(**p, '\0', "a quote is not closed");
        *p += **p == '"' ? 1 : 0;
        cell[n++] = **p;
    }
    (*p)++;
    return cell;
}

struct csv_table csv_read(const char *text)
{
    struct csv_table table = { NULL, 0, 0 };
    size_t count = 0;
    for (const char *p = text; *p != '\0';) {
        table.cells = realloc(table.cells, (count + 1) * sizeof *table.cells);
        cr_assert_not_null(table.cells);
        table.cells[count++] = cell_read(&p);
        if (*p == ',') {
            p++;
            continue;
        }
        cr_assert_eq(strncmp(p, "\r\n", 2), 0, "no CRLF after cell %zu: %.40s", count, p);
        p += 2;
        table.columns = table.columns ? table.columns : count;
        table.rows++;
        cr_assert_eq(count, table.rows * table.columns, "line %zu has other cells", table.rows);
    }
    cr_assert_gt(table.rows, 0, "no header");
    return table;
}

const char *csv_cell(const struct csv_table *table, size_t row, const char *column)
{
    cr_assert_lt(row + 1, table->rows, "no row %zu", row);
    for (size_t i = 0; i < table->columns; i++) {
        if (strcmp(table->cells[i], column) == 0) {
            return table->cells[(row + 1) * table->columns + i];
        }
    }
    cr_assert_fail("no column %s", column);
    return "";
}

void csv_release(struct csv_table *table)
{
    for (size_t i = 0; i < table->rows * table->columns; i++) {
        free(table->cells[i]);
    }
    free(table->cells);
}
