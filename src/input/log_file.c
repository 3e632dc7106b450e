/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The log of a load run: columns by name, cells as SI values. */
#define _POSIX_C_SOURCE 200809L
#include "swapmargin/log.h"

#include "base/grow.h"
#include "base/text.h"
#include "input/csv_source.h"
#include "input/ini_text.h"
#include "input/loading.h"
#include "quantity/number.h"
#include "quantity/units.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FAULT_LIMIT 500u /* faults told of one file */

enum need { ALWAYS, COLUMN, READING };

struct column {
    const char *name, *unit;
    double low, high; /* in unit */
    enum need need;
};

static const struct column columns[SM_LOG_COLUMN_COUNT] = {
#define LOG_COLUMN(id, name, unit, low, high, need, meaning)                                       \
    [SM_LOG_##id] = { name, unit, low, high, need },
#include "swapmargin/log_columns.def"
#undef LOG_COLUMN
};

#define NOT_OURS SM_LOG_COLUMN_COUNT

struct reading {
    struct sm_log *log;
    struct csv_source source;
    enum sm_log_column *column; /* owned; of each cell of a row, or NOT_OURS */
    size_t n_columns;
    size_t room; /* rows that fit */
    size_t ignored_room;
    bool any_row; /* below the header, good or bad */
    double clock; /* min  of the row before */
    int clock_line;
    struct sm_faults *faults;
    size_t first_fault;
};

void sm_log_init(struct sm_log *log)
{
    *log = (struct sm_log){ .file = NULL };
}

void sm_log_release(struct sm_log *log)
{
    for (size_t i = 0; i < log->n_ignored; i++)
        free(log->ignored[i]);
    free(log->ignored);
    free(log->rows);
    free(log->file);
    sm_log_init(log);
}

static struct sm_place place_of(const struct reading *r, const char *column)
{
    return (struct sm_place){ .file = r->log->file, .line = r->source.row_line, .key = column };
}

static void out_of_memory(const struct reading *r)
{
    const struct sm_place place = { .file = r->log->file };
    (void)sm_fault_add(r->faults, SM_ERR_MEMORY, &place, "out of memory");
}

/* ----------------------------------------------------------------- header */

static enum sm_log_column column_find(const char *name)
{
    int i = 0;
    while (i < SM_LOG_COLUMN_COUNT && strcmp(columns[i].name, name) != 0)
        i++;
    return (enum sm_log_column)i;
}

static bool ignored_add(struct reading *r, const char *name)
{
    struct sm_log *log = r->log;
    char **grown = list_grow(log->ignored, log->n_ignored, &r->ignored_room, sizeof *grown);
    if (!grown)
        return false;
    log->ignored = grown;
    grown[log->n_ignored] = text_copy(name[0] != '\0' ? name : "(no name)");
    return grown[log->n_ignored++] != NULL;
}

/* One name of the header; false when there is no memory. */
static bool header_name(struct reading *r, size_t i)
{
    char *name = r->source.cells[i];
    char *folded = malloc(strlen(name) + 1);
    if (!folded)
        return false;
    ini_fold(name, folded);
    const enum sm_log_column column = column_find(folded);
    free(folded);
    r->column[i] = column;
    if (column == NOT_OURS)
        return ignored_add(r, name);
    const struct sm_place place = place_of(r, columns[column].name);
    if (r->log->has[column])
        (void)sm_fault_add(r->faults, SM_ERR_KEY, &place, "column given twice; expected once");
    r->log->has[column] = true;
    return true;
}

/* ", found 'a', 'b'": the columns that are not ours, for one who mistyped. */
static void ignored_words(const struct sm_log *log, struct sm_text *out)
{
    for (size_t i = 0; i < log->n_ignored; i++)
        sm_text_add(out, "%s'%s'", i > 0 ? ", " : "; not known: ", ini_clip(log->ignored[i]).text);
}

static void header_check(const struct reading *r)
{
    const struct sm_log *log = r->log;
    struct sm_text strange;
    bool reading = false;
    sm_text_init(&strange);
    ignored_words(log, &strange);
    const char *rest = text_words(&strange);
    for (int i = 0; i < SM_LOG_COLUMN_COUNT; i++) {
        const struct sm_place place = place_of(r, columns[i].name);
        reading = reading || (log->has[i] && columns[i].need == READING);
        if (columns[i].need != READING && !log->has[i])
            (void)sm_fault_add(r->faults, SM_ERR_KEY, &place,
                               "column missing; expected it in the header%s", rest);
    }
    const struct sm_place place = place_of(r, NULL);
    if (!reading)
        (void)sm_fault_add(r->faults, SM_ERR_KEY, &place,
                           "no column of a reading; expected at least one of ambient_c, sink_c, "
                           "case_c, ntc_ohm, iu_a, iv_a, iw_a, bus_v and ripple_v%s",
                           rest);
    sm_text_release(&strange);
}

/* Whether the whole header is one cell because something else parts its names: nobody could read
 * a column missing out of that. */
static bool parted_otherwise(const struct reading *r)
{
    const struct sm_place place = place_of(r, NULL);
    const char *mark = r->source.n_cells == 1 ? strpbrk(r->source.cells[0], "\t|") : NULL;
    if (mark)
        (void)sm_fault_add(r->faults, SM_ERR_SYNTAX, &place,
                           "the cells are parted by %s; expected commas or semicolons",
                           *mark == '|' ? "vertical bars" : "tabs");
    return mark != NULL;
}

/* Returned: false when the rows below cannot be told apart. */
static bool header_read(struct reading *r)
{
    const struct sm_place place = { .file = r->log->file, .line = 1 };
    if (!csv_source_next(&r->source, r->faults)) {
        (void)sm_fault_add(r->faults, SM_ERR_SYNTAX, &place,
                           "is empty; expected a header and rows below it");
        return false;
    }
    if (r->source.broken || parted_otherwise(r))
        return false;
    r->n_columns = r->source.n_cells;
    r->column = calloc(r->n_columns, sizeof *r->column);
    bool memory = r->column != NULL;
    for (size_t i = 0; memory && i < r->n_columns; i++)
        memory = header_name(r, i);
    if (memory)
        header_check(r);
    else
        out_of_memory(r);
    return memory;
}

/* ------------------------------------------------------------------ cells */

/* Reads a cell as a number; false with its fault. */
static bool number_read(const struct reading *r, char *cell, const struct column *column,
                        double *number)
{
    const struct sm_place place = place_of(r, column->name);
    const bool semicolons = r->source.separator == ';';
    char *comma = strchr(cell, ',');
    const bool decimal_comma = comma && !strchr(cell, '.');
    if (decimal_comma && semicolons)
        *comma = '.';
    const size_t n = number_length(cell);
    if (n > 0 && n <= NUMBER_LIMIT && cell[n] == '\0') {
        *number = number_value(cell, n);
        return true;
    }
    if (decimal_comma && semicolons)
        *comma = ',';
    (void)sm_fault_add(r->faults, SM_ERR_VALUE, &place,
                       "'%s' is not a number; expected one in %s, %s", ini_clip(cell).text,
                       column->unit,
                       decimal_comma && !semicolons
                           ? "with a decimal point (a comma needs semicolons between the cells)"
                           : "without the unit");
    return false;
}

static void number_words(char buffer[40], double number)
{
    sm_number_format(buffer, 40, number, 6);
}

/* One cell into the row. */
static void cell_read(struct reading *r, char *cell, enum sm_log_column id, struct sm_log_row *row)
{
    const struct column *column = &columns[id];
    const struct sm_place place = place_of(r, column->name);
    const struct unit *unit = NULL;
    double number = 0.0;
    if (cell[0] == '\0') {
        if (column->need == ALWAYS)
            (void)sm_fault_add(r->faults, SM_ERR_VALUE, &place,
                               "is empty; expected a value in every row");
        return;
    }
    if (!number_read(r, cell, column, &number))
        return;
    if (!(number >= column->low && number <= column->high)) {
        char low[40], high[40];
        number_words(low, column->low);
        number_words(high, column->high);
        (void)sm_fault_add(r->faults, SM_ERR_RANGE, &place,
                           "'%s' is out of range; expected %s to %s %s", ini_clip(cell).text, low,
                           high, column->unit);
        return;
    }
    if (id == SM_LOG_TIME) {
        if (r->clock_line > 0 && number < r->clock)
            (void)sm_fault_add(r->faults, SM_ERR_VALUE, &place,
                               "'%s' is before the time in line %d; expected time that never falls",
                               ini_clip(cell).text, r->clock_line);
        r->clock = number;
        r->clock_line = r->source.row_line;
    }
    (void)unit_find(column->unit, SM_DIM_COUNT, &unit);
    row->cell[id] =
        (struct sm_optional){ .given = true, .value = number * unit->factor + unit->offset };
}

/* ------------------------------------------------------------------- rows */

static struct sm_log_row *row_add(struct reading *r)
{
    struct sm_log *log = r->log;
    struct sm_log_row *grown = list_grow(log->rows, log->n_rows, &r->room, sizeof *grown);
    if (!grown)
        return NULL;
    log->rows = grown;
    struct sm_log_row *row = &grown[log->n_rows++];
    *row = (struct sm_log_row){ .line = r->source.row_line };
    return row;
}

static bool row_read(struct reading *r)
{
    const struct csv_source *source = &r->source;
    if (source->broken)
        return true;
    if (source->n_cells != r->n_columns) {
        const struct sm_place place = place_of(r, NULL);
        (void)sm_fault_add(r->faults, SM_ERR_SYNTAX, &place,
                           "the row has %zu cells, the header %zu; expected as many%s",
                           source->n_cells, r->n_columns,
                           source->separator == ',' && source->n_cells > r->n_columns
                               ? " (a decimal comma needs semicolons between the cells)"
                               : "");
        return true;
    }
    struct sm_log_row *row = row_add(r);
    for (size_t i = 0; row && i < r->n_columns; i++)
        if (r->column[i] != NOT_OURS)
            cell_read(r, source->cells[i], r->column[i], row);
    return row != NULL;
}

static void rows_read(struct reading *r)
{
    bool memory = true;
    while (memory && csv_source_next(&r->source, r->faults)) {
        r->any_row = true;
        memory = row_read(r);
        if (r->faults->count - r->first_fault < FAULT_LIMIT)
            continue;
        const struct sm_place place = place_of(r, NULL);
        (void)sm_fault_add(r->faults, SM_ERR_SYNTAX, &place,
                           "too many faults; the rest was not read");
        return;
    }
    const struct sm_place place = { .file = r->log->file };
    if (!memory || r->source.out_of_memory)
        out_of_memory(r);
    else if (!r->any_row)
        (void)sm_fault_add(r->faults, SM_ERR_SYNTAX, &place,
                           "has no row below its header; expected at least one");
}

enum sm_status sm_log_load(const char *file, struct sm_log *log, struct sm_faults *faults)
{
    const struct sm_place place = { .file = file };
    struct reading r = { .log = log, .faults = faults, .first_fault = faults->count };
    sm_log_init(log);
    log->file = strdup(file);
    if (!log->file)
        return sm_fault_add(faults, SM_ERR_MEMORY, &place, "out of memory");
    if (csv_source_load(file, &r.source, faults) == SM_OK && header_read(&r))
        rows_read(&r);
    memcpy(log->sha256, r.source.sha256, sizeof log->sha256);
    free(r.column);
    csv_source_release(&r.source);
    const enum sm_status status = loading_end(faults, r.first_fault);
    if (status != SM_OK)
        sm_log_release(log);
    return status;
}

enum sm_status sm_log_template(struct sm_text *out)
{
    for (int i = 0; i < SM_LOG_COLUMN_COUNT; i++)
        sm_text_add(out, "%s%s", i > 0 ? "," : "", columns[i].name);
    sm_text_add(out, "\r\n");
    return out->out_of_memory ? SM_ERR_MEMORY : SM_OK;
}
