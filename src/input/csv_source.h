/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A CSV file row by row (RFC 4180), its cells cut out in place.
 *
 * Strict where a slip could change a number: an open quote, text after a closing quote, a quote
 * inside a plain cell are faults, and so are bytes that are no text.  Lenient where none can:
 * lines may end in LF as well as CR LF, the last one in nothing, empty lines do not count, and a
 * first line "sep=;" is passed over where the header is parted so. */
#ifndef SM_INPUT_CSV_SOURCE_H
#define SM_INPUT_CSV_SOURCE_H

#include "base/digest.h"
#include "swapmargin/error.h"

#include <stdbool.h>
#include <stddef.h>

struct csv_source {
    const char *file; /* borrowed, for faults */
    char sha256[DIGEST_HEX];
    char *bytes; /* owned; cells point into it */
    char *at, *end;
    int line;       /* of `at` */
    char separator; /* , or ; whichever comes first in the header */
    char **cells;   /* owned; of the row read last */
    size_t n_cells, room;
    int row_line;       /* where that row began */
    bool broken;        /* it has a fault and its cells are not to be used */
    bool out_of_memory; /* then there are no more rows */
};

void csv_source_init(struct csv_source *source);

/* Reads a file.  Errors: as text_file_read(), SM_ERR_SYNTAX (UTF-16, no text, lines that end in
 * CR). */
enum sm_status csv_source_load(const char *file, struct csv_source *source,
                               struct sm_faults *faults);

/* The next row that has anything in it, blanks cut off its cells; false after the last. */
bool csv_source_next(struct csv_source *source, struct sm_faults *faults);

void csv_source_release(struct csv_source *source);

#endif
