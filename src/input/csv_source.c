/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/csv_source.h"

#include "input/ini_text.h"
#include "input/text_file.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

void csv_source_init(struct csv_source *source)
{
    *source = (struct csv_source){ .line = 1 };
}

void csv_source_release(struct csv_source *source)
{
    free(source->bytes);
    free(source->cells);
    csv_source_init(source);
}

static void row_fault(struct csv_source *source, struct sm_faults *faults, int line,
                      const char *found, const char *expected)
{
    const struct sm_place place = { .file = source->file, .line = line };
    if (!source->broken)
        (void)sm_fault_add(faults, SM_ERR_SYNTAX, &place, "%s; %s", found, expected);
    source->broken = true;
}

/* The first of the two outside of quotes; a comma when the header has one column. */
static char separator_of(const char *header)
{
    bool quoted = false;
    for (const char *p = header; *p != '\0' && (quoted || *p != '\n'); p++) {
        if (*p == '"')
            quoted = !quoted;
        if (!quoted && (*p == ',' || *p == ';'))
            return *p;
    }
    return ',';
}

/* Bytes of a first line "sep=;", with which spreadsheets tell each other the separator; 0 for none,
 * and where the header below it has another one. */
static size_t separator_line(const char *text)
{
    const size_t letters = sizeof "sep=" - 1;
    if (strncasecmp(text, "sep=", letters) != 0 || (text[letters] != ',' && text[letters] != ';'))
        return 0;
    const char *end = text + letters + 1;
    end += *end == '\r' ? 1 : 0;
    return *end == '\n' && separator_of(end + 1) == text[letters] ? (size_t)(end + 1 - text) : 0;
}

enum sm_status csv_source_load(const char *file, struct csv_source *source,
                               struct sm_faults *faults)
{
    size_t n = 0;
    csv_source_init(source);
    enum sm_status status = text_file_read(file, LOG_FILE_LIMIT, &source->bytes, &n, faults);
    if (status != SM_OK)
        return status;
    digest_hex(source->bytes, n, source->sha256);
    const struct sm_place place = { .file = file, .line = 1 };
    const size_t mark = text_mark(source->bytes, n);
    const char *no_text = text_is_no_text(source->bytes, n);
    if (no_text)
        status = sm_fault_add(faults, SM_ERR_SYNTAX, &place, "%s", no_text);
    else if (memchr(source->bytes, '\r', n) && !memchr(source->bytes, '\n', n))
        status = sm_fault_add(faults, SM_ERR_SYNTAX, &place,
                              "lines end in CR alone; expected LF or CR LF");
    if (status != SM_OK) {
        csv_source_release(source);
        return status;
    }
    source->file = file;
    source->at = source->bytes + mark;
    source->end = source->bytes + n;
    const size_t told = separator_line(source->at);
    source->at += told;
    source->line += told > 0 ? 1 : 0;
    source->separator = separator_of(source->at);
    return SM_OK;
}

static bool cell_add(struct csv_source *source, char *cell)
{
    if (source->n_cells == source->room) {
        const size_t room = source->room ? 2 * source->room : 32;
        char **grown = realloc(source->cells, room * sizeof *grown);
        if (!grown) {
            source->out_of_memory = true;
            return false;
        }
        source->cells = grown;
        source->room = room;
    }
    source->cells[source->n_cells++] = cell;
    return true;
}

static bool at_line_end(const struct csv_source *source)
{
    const char *p = source->at;
    return p == source->end || *p == '\n' || (*p == '\r' && p[1] == '\n');
}

static bool at_cell_end(const struct csv_source *source)
{
    return at_line_end(source) || *source->at == source->separator;
}

/* A cell that begins with a quote; left behind its closing one.  Two quotes stand for one.
 * Returned: its end. */
static char *quoted_cell(struct csv_source *source, struct sm_faults *faults)
{
    char *to = source->at;
    const int first = source->line;
    for (source->at++; source->at < source->end; source->at++) {
        if (*source->at == '"' && source->at[1] != '"')
            break;
        if (*source->at == '"')
            source->at++;
        if (*source->at == '\n')
            source->line++;
        *to++ = *source->at;
    }
    if (source->at == source->end)
        row_fault(source, faults, first, "a quote is never closed",
                  "expected one at the end of the cell");
    else
        source->at++;
    if (!at_cell_end(source))
        row_fault(source, faults, source->line, "a cell goes on after its closing quote",
                  "expected two quotes where one is meant");
    while (!at_cell_end(source))
        source->at++;
    return to;
}

static char *plain_cell(struct csv_source *source, struct sm_faults *faults)
{
    for (; !at_cell_end(source); source->at++)
        if (*source->at == '"')
            row_fault(source, faults, source->line, "a cell has a quote in it",
                      "expected the whole cell in quotes, or none");
    return source->at;
}

/* One cell; false at the end of its row. */
static bool cell_read(struct csv_source *source, struct sm_faults *faults)
{
    char *cell = source->at;
    char *stop = *cell == '"' ? quoted_cell(source, faults) : plain_cell(source, faults);
    const bool more = !at_line_end(source);
    if (!more && *source->at == '\r')
        source->at++;
    if (source->at < source->end)
        source->at++;
    source->line += more ? 0 : 1;
    *stop = '\0';
    const char *complaint = text_complaint(cell, (size_t)(stop - cell), "\t\r\n");
    if (complaint)
        row_fault(source, faults, source->row_line, complaint, "expected text in UTF-8");
    ini_trim_end(cell);
    cell += ini_skip(cell) - cell;
    return cell_add(source, cell) && more;
}

static bool row_is_empty(const struct csv_source *source)
{
    for (size_t i = 0; i < source->n_cells; i++)
        if (source->cells[i][0] != '\0')
            return false;
    return !source->broken;
}

bool csv_source_next(struct csv_source *source, struct sm_faults *faults)
{
    do {
        if (source->at == source->end)
            return false;
        source->n_cells = 0;
        source->row_line = source->line;
        source->broken = false;
        while (cell_read(source, faults)) {
        }
        if (source->out_of_memory)
            return false;
    } while (row_is_empty(source));
    return true;
}
