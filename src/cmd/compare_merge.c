/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/compare_merge.h"

#include "base/grow.h"
#include "cmd/options.h"
#include "report/json_read.h"

#include <errno.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* Bytes of a line, far more than a row with all its reasons has. */
enum { LINE_MOST = 1024 * 1024 };

void merged_init(struct merged *merged)
{
    *merged = (struct merged){ .hz = NULL };
}

void merged_release(struct merged *merged)
{
    file_list_release(&merged->names);
    file_list_release(&merged->drives);
    free(merged->hz);
    free(merged->rows);
    merged_init(merged);
}

bool frequency_keep(double **hz, size_t *n, double value)
{
    const double written = json_as_written(value);
    size_t at = 0;
    while (at < *n && (*hz)[at] < written) {
        at++;
    }
    if (at < *n && fabs((*hz)[at] - written) <= 0.0) {
        return true;
    }
    double *more = realloc(*hz, (*n + 1) * sizeof *more);
    if (!more) {
        return false;
    }
    memmove(more + at + 1, more + at, (*n - at) * sizeof *more);
    more[at] = written;
    *hz = more;
    (*n)++;
    return true;
}

/* Number of a drive's name; a new one is kept.  SIZE_MAX without memory. */
static size_t drive_number(struct merged *merged, const char *name)
{
    for (size_t d = 0; d < merged->drives.n; d++) {
        if (strcmp(merged->drives.path[d], name) == 0) {
            return d;
        }
    }
    return file_list_keep(&merged->drives, name) ? merged->drives.n - 1 : SIZE_MAX;
}

/* Remembers where a row came from.  Returned: false without memory. */
static bool place_keep(struct merged *merged, const struct merged_row *row)
{
    struct merged_row *more =
        list_grow(merged->rows, merged->n_rows, &merged->capacity, sizeof *more);
    if (!more) {
        return false;
    }
    merged->rows = more;
    more[merged->n_rows++] = *row;
    return true;
}

static enum sm_status candidate_keep(struct merged *merged, struct compare_rows *rows,
                                     const struct candidate *candidate, const char *line,
                                     const struct sm_place *place, struct sm_faults *faults)
{
    const size_t drive = drive_number(merged, candidate->drive_file);
    const char *file = file_list_keep(&merged->names, candidate->file);
    bool kept = drive != SIZE_MAX && file &&
                place_keep(merged, &(struct merged_row){ drive, file, merged->n_rows, *place });
    for (size_t i = 0; kept && i < candidate->numbers.n_points; i++) {
        kept = frequency_keep(&merged->hz, &merged->n_hz, candidate->numbers.points[i].output_hz);
    }
    if (!kept) {
        return memory_fault(faults);
    }
    const struct row_key key = row_key_of(&candidate->numbers, file, drive);
    return compare_rows_add(rows, &key, line, strlen(line), faults);
}

static enum sm_status slip_fault(const struct candidate_slip *slip, const struct sm_place *line,
                                 struct sm_faults *faults)
{
    const struct sm_place place = { .file = line->file, .line = line->line, .key = slip->key };
    struct sm_text found;
    if (!slip->found) {
        return sm_fault_add(faults, SM_ERR_VALUE, &place, "missing; expected %s", slip->expected);
    }
    sm_text_init(&found);
    json_add(&found, slip->found, JSON_COMPACT | JSON_ENCODE_ANY);
    const enum sm_status status =
        found.out_of_memory
            ? sm_fault_add(faults, SM_ERR_MEMORY, &place, "out of memory")
            : sm_fault_add(faults, SM_ERR_VALUE, &place, "'%.40s' cannot be used; expected %s",
                           found.data, slip->expected);
    sm_text_release(&found);
    return status;
}

/* One line: the row without its rank goes to the others. */
static enum sm_status line_keep(struct merged *merged, struct compare_rows *rows, const char *line,
                                const struct sm_place *place, struct sm_faults *faults)
{
    struct candidate candidate;
    struct candidate_slip slip = { .key = NULL };
    json_t *object = NULL;
    struct sm_text text;
    candidate_init(&candidate);
    sm_text_init(&text);
    enum sm_status status = json_read(line, strlen(line), JSON_REJECT_DUPLICATES, &object);
    if (status == SM_OK && !candidate_from_json(object, &candidate, &slip)) {
        status = slip.key ? SM_ERR_VALUE : SM_ERR_SYNTAX;
    }
    if (status == SM_OK && candidate.out_of_memory) {
        status = SM_ERR_MEMORY;
    }
    if (status == SM_OK) {
        (void)json_object_del(object, "rank");
        json_add(&text, object, JSON_COMPACT);
        status = text.out_of_memory ? SM_ERR_MEMORY : SM_OK;
    }
    if (status == SM_OK) {
        status = candidate_keep(merged, rows, &candidate, text.data, place, faults);
    } else if (status == SM_ERR_MEMORY) {
        status = sm_fault_add(faults, status, place, "out of memory");
    } else if (status == SM_ERR_VALUE) {
        status = slip_fault(&slip, place, faults);
    } else {
        status = sm_fault_add(faults, status, place,
                              "is no row of a comparison; expected what `compare --format jsonl` "
                              "writes");
    }
    json_decref(object);
    sm_text_release(&text);
    candidate_release(&candidate);
    return status;
}

/* line: room for LINE_MOST bytes. */
static enum sm_status lines_keep(FILE *stream, const char *file, char *line, struct merged *merged,
                                 struct compare_rows *rows, struct sm_faults *faults)
{
    struct sm_place place = { .file = file };
    enum sm_status status = SM_OK;
    while (status == SM_OK && fgets(line, LINE_MOST, stream)) {
        const size_t length = strlen(line);
        place.line++;
        if ((length == 0 || line[length - 1] != '\n') && !feof(stream)) {
            status = sm_fault_add(faults, SM_ERR_SYNTAX, &place,
                                  "has a NUL byte in it or is longer than 1 MiB; expected what "
                                  "`compare --format jsonl` writes");
        } else {
            status = line_keep(merged, rows, line, &place, faults);
        }
    }
    if (status == SM_OK && ferror(stream)) {
        status = sm_fault_add(faults, SM_ERR_FILE, &place, "cannot be read to its end: %s",
                              strerror(errno));
    }
    return status;
}

static enum sm_status file_merge(const char *file, struct merged *merged, struct compare_rows *rows,
                                 struct sm_faults *faults)
{
    struct stat info;
    FILE *stream = stat(file, &info) == 0 && S_ISREG(info.st_mode) ? fopen(file, "r") : NULL;
    if (!stream && errno != ENOMEM) {
        return sm_fault_add(faults, SM_ERR_FILE, &(struct sm_place){ .file = file },
                            "cannot be read: %s",
                            errno != 0 ? strerror(errno) : "it is not an ordinary file");
    }
    char *line = stream ? malloc(LINE_MOST) : NULL;
    const enum sm_status status =
        line ? lines_keep(stream, file, line, merged, rows, faults) : memory_fault(faults);
    free(line);
    if (stream) {
        (void)fclose(stream); /* was only read */
    }
    return status;
}

static int by_drive_and_file(const void *left, const void *right)
{
    const struct merged_row *a = left, *b = right;
    if (a->drive != b->drive) {
        return a->drive < b->drive ? -1 : 1;
    }
    const int order = strcmp(a->file, b->file);
    return order != 0 ? order : a->number < b->number ? -1 : 1;
}

static bool is_again(const struct merged_row *rows, size_t i)
{
    return rows[i].drive == rows[i - 1].drive && strcmp(rows[i].file, rows[i - 1].file) == 0;
}

static enum sm_status again_fault(const struct merged_row *again, size_t n,
                                  struct sm_faults *faults)
{
    const struct sm_place *place = &again->place, *before = &again[-1].place;
    if (place->line == before->line && strcmp(place->file, before->file) == 0) {
        return sm_fault_add(faults, SM_ERR_VALUE, &(struct sm_place){ .file = place->file },
                            "is named twice; expected each file of rows once");
    }
    char more[64] = "";
    if (n > 1) {
        (void)snprintf(more, sizeof more, ", the first of %zu such rows", n);
    }
    return sm_fault_add(faults, SM_ERR_VALUE, place,
                        "the same row as %s:%d, of '%s'%s; expected shards that do not overlap",
                        before->file, before->line, again->file, more);
}

/* Rows that come again are a slip: which of two is the right one nobody knows.  Told is the one
 * that was read first. */
static enum sm_status rows_once(struct merged *merged, struct sm_faults *faults)
{
    struct merged_row *rows = merged->rows;
    const struct merged_row *first = NULL;
    size_t n = 0;
    if (merged->n_rows > 0) {
        qsort(rows, merged->n_rows, sizeof *rows, by_drive_and_file);
    }
    for (size_t i = 1; i < merged->n_rows; i++) {
        if (is_again(rows, i)) {
            first = !first || rows[i].number < first->number ? &rows[i] : first;
            n++;
        }
    }
    return first ? again_fault(first, n, faults) : SM_OK;
}

enum sm_status compare_merge(const char *const *files, size_t n, struct merged *merged,
                             struct compare_rows *rows, struct sm_faults *faults)
{
    enum sm_status status = SM_OK;
    for (size_t i = 0; status == SM_OK && i < n; i++) {
        errno = 0;
        status = file_merge(files[i], merged, rows, faults);
    }
    return status == SM_OK ? rows_once(merged, faults) : status;
}
