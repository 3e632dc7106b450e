/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/compare_rows.h"

#include "base/grow.h"
#include "base/text.h"
#include "cmd/options.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

void compare_rows_init(struct compare_rows *rows)
{
    *rows = (struct compare_rows){ .key = NULL };
}

void compare_rows_release(struct compare_rows *rows)
{
    if (rows->lines) {
        (void)fclose(rows->lines); /* what was in it is of no use any more */
    }
    free(rows->key);
    compare_rows_init(rows);
}

struct row_key row_key_of(const struct sm_candidate *candidate, const char *file, size_t drive)
{
    return (struct row_key){ .margin = candidate->margin,
                             .price = candidate->price,
                             .losses = candidate->losses,
                             .lead_time = candidate->lead_time,
                             .file = file,
                             .standing = candidate->standing,
                             .drive = drive };
}

/* A file of the program's own, of which whoever uses it knows nothing. */
static enum sm_status lines_fault(struct sm_faults *faults)
{
    const struct sm_place place = { .file = "temporary file" };
    return errno == ENOMEM
               ? memory_fault(faults)
               : sm_fault_add(faults, SM_ERR_SYSTEM, &place, "cannot be used: %s", strerror(errno));
}

enum sm_status compare_rows_add(struct compare_rows *rows, const struct row_key *key,
                                const char *line, size_t length, struct sm_faults *faults)
{
    if (!rows->lines && !(rows->lines = tmpfile())) {
        return lines_fault(faults);
    }
    struct row_key *more = list_grow(rows->key, rows->n, &rows->capacity, sizeof *more);
    if (!more) {
        return memory_fault(faults);
    }
    rows->key = more;
    if (fwrite(line, 1, length, rows->lines) != length) {
        return lines_fault(faults);
    }
    struct row_key *own = &rows->key[rows->n++];
    *own = *key;
    own->offset = rows->end;
    own->length = length;
    rows->end += (long)length;
    return SM_OK;
}

static int by_rank(const void *left, const void *right)
{
    const struct row_key *a = left, *b = right;
    if (a->drive != b->drive) {
        return a->drive < b->drive ? -1 : 1;
    }
    const struct sm_candidate ca = { .standing = a->standing,
                                     .margin = a->margin,
                                     .price = a->price };
    const struct sm_candidate cb = { .standing = b->standing,
                                     .margin = b->margin,
                                     .price = b->price };
    const int order = sm_candidate_order(&ca, &cb);
    return order != 0 ? order : strcmp(a->file, b->file);
}

/* The chosen order of a key: its number, the rank where that is the same. */
static int by_chosen(const void *left, const void *right)
{
    const struct row_key *a = left, *b = right;
    if (a->drive != b->drive) {
        return a->drive < b->drive ? -1 : 1;
    }
    const int order = sm_optional_order(a->chosen, b->chosen, 1.0);
    return order != 0 ? order : a->rank < b->rank ? -1 : 1;
}

static int by_file(const void *left, const void *right)
{
    const struct row_key *a = left, *b = right;
    if (a->drive != b->drive) {
        return a->drive < b->drive ? -1 : 1;
    }
    const int order = strcmp(a->file, b->file);
    return order != 0 ? order : a->rank < b->rank ? -1 : 1;
}

/* What an order goes by; the largest margin comes first. */
static struct sm_optional chosen_of(const struct row_key *key, enum row_order order)
{
    struct sm_optional margin = key->margin;
    margin.value = -margin.value;
    return order == ORDER_MARGIN   ? margin
           : order == ORDER_PRICE  ? key->price
           : order == ORDER_LOSSES ? key->losses
                                   : key->lead_time;
}

void compare_rows_rank(struct compare_rows *rows, enum row_order order)
{
    if (rows->n == 0) {
        return;
    }
    qsort(rows->key, rows->n, sizeof *rows->key, by_rank);
    for (size_t i = 0; i < rows->n; i++) {
        struct row_key *key = &rows->key[i];
        const bool first = i == 0 || key->drive != rows->key[i - 1].drive;
        key->rank = first ? 1 : rows->key[i - 1].rank + 1;
        key->chosen = chosen_of(key, order);
    }
    if (order != ORDER_RANK) {
        qsort(rows->key, rows->n, sizeof *rows->key, order == ORDER_FILE ? by_file : by_chosen);
    }
}

enum sm_status compare_rows_unreadable(const struct compare_rows *rows, size_t *n_files,
                                       struct sm_faults *faults)
{
    const char **names = calloc(rows->n + 1, sizeof *names);
    size_t n = 0;
    if (!names) {
        return memory_fault(faults);
    }
    for (size_t i = 0; i < rows->n; i++) {
        if (rows->key[i].standing == SM_STANDING_UNREADABLE) {
            names[n++] = rows->key[i].file;
        }
    }
    qsort(names, n, sizeof *names, text_order);
    *n_files = n > 0 ? 1 : 0;
    for (size_t i = 1; i < n; i++) {
        *n_files += strcmp(names[i - 1], names[i]) != 0 ? 1u : 0u;
    }
    free(names);
    return SM_OK;
}

enum sm_status compare_rows_line(const struct compare_rows *rows, size_t i, struct sm_text *line,
                                 struct sm_faults *faults)
{
    char piece[4096];
    size_t left = rows->key[i].length;
    line->length = 0;
    if (fseek(rows->lines, rows->key[i].offset, SEEK_SET) != 0) {
        return lines_fault(faults);
    }
    while (left > 0) {
        const size_t want = left < sizeof piece ? left : sizeof piece;
        if (fread(piece, 1, want, rows->lines) != want) {
            return lines_fault(faults);
        }
        sm_text_add_bytes(line, piece, want);
        left -= want;
    }
    return line->out_of_memory ? memory_fault(faults) : SM_OK;
}
