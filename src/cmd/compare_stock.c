/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/compare_stock.h"

#include "cmd/options.h"

#include <stdlib.h>

/* What decides between modules that add as many drives. */
struct contender {
    struct sm_optional price_set; /* lowest */
    struct sm_optional margin;    /* K  largest */
    size_t module;
};

static int by_preference(const void *left, const void *right)
{
    const struct contender *a = left, *b = right;
    const int price = sm_optional_order(a->price_set, b->price_set, 1.0);
    const int order = price != 0 ? price : sm_optional_order(a->margin, b->margin, -1.0);
    return order != 0 ? order : a->module < b->module ? -1 : 1;
}

/* Keeps the better of two, which is the smaller for sign 1 and the larger for -1. */
static void better_keep(struct sm_optional *kept, struct sm_optional other, double sign)
{
    if (sm_optional_order(other, *kept, sign) < 0) {
        *kept = other;
    }
}

static struct contender contender_of(const struct stock_matrix *matrix, size_t module)
{
    struct contender one = { .module = module };
    const struct matrix_cell *cell = &matrix->cells[module * matrix->n_drives];
    for (size_t d = 0; d < matrix->n_drives; d++) {
        if (sm_standing_usable(cell[d].standing, matrix->strict)) {
            better_keep(&one.price_set, cell[d].price_set, 1.0);
            better_keep(&one.margin, cell[d].margin, -1.0);
        }
    }
    return one;
}

static size_t covered(const bool *row, size_t n)
{
    size_t count = 0;
    for (size_t d = 0; d < n; d++) {
        count += row[d] ? 1 : 0;
    }
    return count;
}

/* The modules in the order of preference, with their drives in `covers`: ties go to the first. */
static void contenders_make(const struct stock_matrix *matrix, struct contender *list, bool *covers)
{
    const size_t n = matrix->n_drives;
    for (size_t m = 0; m < matrix->files->n; m++) {
        list[m] = contender_of(matrix, m);
    }
    if (matrix->files->n > 0) {
        qsort(list, matrix->files->n, sizeof *list, by_preference);
    }
    for (size_t m = 0; m < matrix->files->n; m++) {
        for (size_t d = 0; d < n; d++) {
            covers[m * n + d] =
                sm_standing_usable(matrix->cells[list[m].module * n + d].standing, matrix->strict);
        }
    }
}

enum sm_status compare_stock(const struct stock_matrix *matrix, struct stock_row *rows, size_t *n,
                             struct sm_faults *faults)
{
    const size_t n_modules = matrix->files->n, n_drives = matrix->n_drives;
    bool *covers = calloc(n_modules * n_drives + n_drives + 1, sizeof *covers);
    size_t *chosen = calloc(2 * n_modules + 1, sizeof *chosen);
    struct contender *list = calloc(n_modules + 1, sizeof *list);
    const bool enough = covers && chosen && list;
    if (enough) {
        size_t *gain = chosen + n_modules;
        contenders_make(matrix, list, covers);
        *n = sm_stocking_list(covers, n_modules, n_drives, covers + n_modules * n_drives, chosen,
                              gain);
        for (size_t i = 0; i < *n; i++) {
            const size_t module = list[chosen[i]].module;
            rows[i] =
                (struct stock_row){ .part = matrix->parts[module],
                                    .file = matrix->files->path[module],
                                    .covers = covered(&covers[chosen[i] * n_drives], n_drives),
                                    .adds = gain[i] };
        }
    }
    free(covers);
    free(chosen);
    free(list);
    return enough ? SM_OK : memory_fault(faults);
}
