/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/compare_output.h"

#include "cmd/options.h"
#include "report/json_read.h"

#include <stdlib.h>

/* Bytes of a piece: enough to make writes few. */
enum { PIECE = 64 * 1024 };

void compare_output_init(struct compare_output *output)
{
    *output = (struct compare_output){ .format = SM_FORMAT_TEXT };
    compare_rows_init(&output->rows);
    sm_text_init(&output->line);
}

void compare_output_release(struct compare_output *output)
{
    compare_rows_release(&output->rows);
    sm_text_release(&output->line);
}

bool compare_output_choose(struct compare_output *output, enum sm_standing only, size_t top,
                           bool strict)
{
    struct compare_rows *rows = &output->rows;
    size_t kept = 0, of_drive = 0;
    bool any = false;
    for (size_t i = 0; i < rows->n; i++) {
        const struct row_key key = rows->key[i];
        output->about.standing[key.standing]++;
        any = any || sm_standing_usable(key.standing, strict);
        if (kept == 0 || rows->key[kept - 1].drive != key.drive) {
            of_drive = 0;
        }
        if ((only == SM_STANDING_COUNT || only == key.standing) && (top == 0 || of_drive < top)) {
            rows->key[kept++] = key;
            of_drive++;
        }
    }
    rows->n = kept;
    output->about.shown = kept;
    return any;
}

static enum sm_status broken_fault(enum sm_status status, struct sm_faults *faults)
{
    return sm_fault_add(faults, status, NULL, PROGRAM_NAME ": %s", sm_status_text(status));
}

enum sm_status compare_output_next(void *context, struct sm_text *piece, struct sm_faults *faults)
{
    struct compare_output *output = context;
    piece->length = 0;
    if (output->ended) {
        return SM_OK;
    }
    if (output->next == 0) {
        compare_begin(piece, output->format, &output->about);
    }
    for (; output->next < output->rows.n && piece->length < PIECE; output->next++) {
        enum sm_status status =
            compare_rows_line(&output->rows, output->next, &output->line, faults);
        if (status != SM_OK) {
            return status;
        }
        const struct ranked_line row = { &output->line, output->rows.key[output->next].rank,
                                         output->next };
        status = compare_row(piece, output->format, &output->about, &row);
        if (status != SM_OK) {
            return broken_fault(status, faults);
        }
    }
    if (output->next == output->rows.n) {
        compare_end(piece, output->format, &output->about);
        output->ended = true;
    }
    return piece->out_of_memory ? broken_fault(SM_ERR_MEMORY, faults) : SM_OK;
}

enum sm_status compare_output_candidate(struct compare_output *output, size_t row,
                                        struct candidate *candidate, struct sm_faults *faults)
{
    const enum sm_status status = compare_rows_line(&output->rows, row, &output->line, faults);
    if (status != SM_OK) {
        return status;
    }
    json_t *object = NULL;
    struct candidate_slip slip; /* none: this program wrote the line, or has looked at it */
    const enum sm_status read = json_read(output->line.data, output->line.length, 0, &object);
    if (read != SM_OK) {
        return broken_fault(read, faults);
    }
    const bool whole = candidate_from_json(object, candidate, &slip);
    json_decref(object);
    return whole && !candidate->out_of_memory ? SM_OK : broken_fault(SM_ERR_MEMORY, faults);
}

/* Reads all rows that are shown: ranked[output->rows.n], each released by the caller. */
static enum sm_status rows_read(struct compare_output *output, struct ranked *ranked,
                                struct sm_faults *faults)
{
    enum sm_status status = SM_OK;
    for (size_t i = 0; i < output->rows.n; i++)
        candidate_init(&ranked[i].candidate);
    for (size_t i = 0; status == SM_OK && i < output->rows.n; i++) {
        ranked[i].rank = output->rows.key[i].rank;
        status = compare_output_candidate(output, i, &ranked[i].candidate, faults);
    }
    return status;
}

enum sm_status compare_output_sheet(struct compare_output *output, const struct sm_style *style,
                                    struct sm_text *out, struct sm_faults *faults)
{
    const size_t n = output->rows.n;
    struct ranked *ranked = calloc(n > 0 ? n : 1, sizeof *ranked);
    if (!ranked) {
        return broken_fault(SM_ERR_MEMORY, faults);
    }
    enum sm_status status = rows_read(output, ranked, faults);
    if (status == SM_OK) {
        status = compare_sheet(out, output->format, &output->about, ranked, style, faults);
    }
    for (size_t i = 0; i < n; i++) {
        candidate_release(&ranked[i].candidate);
    }
    free(ranked);
    return status;
}
