/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/compare_rows.h"

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

static enum sm_status lines_fault(struct sm_faults *faults)
{
    const struct sm_place place = { .file = "temporary file" };
    return sm_fault_add(faults, SM_ERR_FILE, &place, "cannot be used: %s", strerror(errno));
}

enum sm_status compare_rows_add(struct compare_rows *rows, const struct row_key *key,
                                const char *line, size_t length, struct sm_faults *faults)
{
    if (!rows->lines && !(rows->lines = tmpfile())) {
        return lines_fault(faults);
    }
    if (rows->n == rows->capacity) {
        const size_t capacity = rows->capacity ? 2 * rows->capacity : 256;
        struct row_key *more = realloc(rows->key, capacity * sizeof *more);
        if (!more) {
            return sm_fault_add(faults, SM_ERR_MEMORY, NULL, PROGRAM_NAME ": out of memory");
        }
        rows->key = more;
        rows->capacity = capacity;
    }
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

/* Absent values stand last. */
static int number_order(struct sm_optional a, struct sm_optional b, double sign)
{
    if (a.given != b.given) {
        return a.given ? -1 : 1;
    }
    const double difference = a.given ? sign * (a.value - b.value) : 0.0;
    return difference < 0.0 ? -1 : difference > 0.0 ? 1 : 0;
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

/* A chosen number first, the rank where it is the same. */
static int by_number(const struct row_key *a, const struct row_key *b, int order)
{
    if (a->drive != b->drive) {
        return a->drive < b->drive ? -1 : 1;
    }
    return order != 0 ? order : a->rank < b->rank ? -1 : 1;
}

static int by_margin(const void *left, const void *right)
{
    const struct row_key *a = left, *b = right;
    return by_number(a, b, number_order(a->margin, b->margin, -1.0));
}

static int by_price(const void *left, const void *right)
{
    const struct row_key *a = left, *b = right;
    return by_number(a, b, number_order(a->price, b->price, 1.0));
}

static int by_losses(const void *left, const void *right)
{
    const struct row_key *a = left, *b = right;
    return by_number(a, b, number_order(a->losses, b->losses, 1.0));
}

static int by_lead_time(const void *left, const void *right)
{
    const struct row_key *a = left, *b = right;
    return by_number(a, b, number_order(a->lead_time, b->lead_time, 1.0));
}

static int by_file(const void *left, const void *right)
{
    const struct row_key *a = left, *b = right;
    return by_number(a, b, strcmp(a->file, b->file));
}

void compare_rows_rank(struct compare_rows *rows, enum row_order order)
{
    static int (*const orders[ORDER_COUNT])(const void *, const void *) = {
        [ORDER_RANK] = by_rank,     [ORDER_MARGIN] = by_margin,       [ORDER_PRICE] = by_price,
        [ORDER_LOSSES] = by_losses, [ORDER_LEAD_TIME] = by_lead_time, [ORDER_FILE] = by_file,
    };
    if (rows->n == 0) {
        return;
    }
    qsort(rows->key, rows->n, sizeof *rows->key, by_rank);
    for (size_t i = 0; i < rows->n; i++) {
        const bool first = i == 0 || rows->key[i].drive != rows->key[i - 1].drive;
        rows->key[i].rank = first ? 1 : rows->key[i - 1].rank + 1;
    }
    if (order != ORDER_RANK) {
        qsort(rows->key, rows->n, sizeof *rows->key, orders[order]);
    }
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
    return line->out_of_memory
               ? sm_fault_add(faults, SM_ERR_MEMORY, NULL, PROGRAM_NAME ": out of memory")
               : SM_OK;
}
