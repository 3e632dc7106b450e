/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Choices -> a drive or module file.  An example is taken apart into its lines; each further choice
 * takes a key's place: another value out of its range, its absence, or new curves.  What comes out
 * keeps the rules of the files, but for a few that tie keys together; the readers judge those. */
#include "fuzz/fuzz.h"

#include "input/key_table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LINES_MOST = 160, CURVE_MOST = 7, ROWS_MOST = 3 };

struct line {
    size_t key;    /* row of the table */
    char name[48]; /* with "@ ..." */
    char value[400];
};

struct book {
    const struct key_table *table;
    struct choices *choices;
    bool wild; /* curves of different temperatures have nothing to do with each other */
    struct line lines[LINES_MOST];
    size_t n;
};

/* ------------------------------------------------------------------ lines */

static void line_drop(struct book *book, size_t key)
{
    size_t kept = 0;
    for (size_t i = 0; i < book->n; i++)
        if (book->lines[i].key != key)
            book->lines[kept++] = book->lines[i];
    book->n = kept;
}

static struct line *line_add(struct book *book, size_t key, const char *name)
{
    FUZZ_CHECK(book->n < LINES_MOST);
    struct line *line = &book->lines[book->n++];
    line->key = key;
    (void)snprintf(line->name, sizeof line->name, "%.*s", (int)sizeof line->name - 1, name);
    line->value[0] = '\0';
    return line;
}

static size_t key_find(const struct key_table *table, const char *section, const char *name)
{
    const size_t length = strcspn(name, " @");
    for (size_t i = 0; i < table->n; i++)
        if (strcmp(table->rows[i].section, section) == 0 && strlen(table->rows[i].key) == length &&
            strncmp(table->rows[i].key, name, length) == 0)
            return i;
    return table->n;
}

/* "key = value ; comment" of an example of ours, where values hold no semicolon. */
static void line_take(struct book *book, const char *section, char *text)
{
    char *equals = strstr(text, " = ");
    if (text[0] == ';' || !equals)
        return;
    *equals = '\0';
    char *value = equals + 3;
    value[strcspn(value, ";\n")] = '\0';
    const size_t key = key_find(book->table, section, text);
    FUZZ_CHECK(key < book->table->n);
    struct line *line = line_add(book, key, text);
    (void)snprintf(line->value, sizeof line->value, "%s", value);
}

static void book_open(struct book *book, const struct key_table *table, struct choices *choices,
                      const char *example)
{
    char text[512], section[48] = "";
    *book = (struct book){ .table = table, .choices = choices };
    FILE *file = fopen(example, "rb");
    FUZZ_CHECK(file != NULL);
    while (fgets(text, sizeof text, file)) {
        if (text[0] == '[')
            (void)snprintf(section, sizeof section, "%.*s", (int)strcspn(text + 1, "]"), text + 1);
        else
            line_take(book, section, text);
    }
    (void)fclose(file);
}

static void book_write(const struct book *book, struct sm_text *out)
{
    const char *section = "";
    for (size_t key = 0; key < book->table->n; key++) {
        for (size_t i = 0; i < book->n; i++) {
            if (book->lines[i].key != key)
                continue;
            const struct key_row *row = &book->table->rows[key];
            if (strcmp(section, row->section) != 0)
                sm_text_add(out, "[%s]\n", row->section);
            section = row->section;
            sm_text_add(out, "%s = %s\n", book->lines[i].name, book->lines[i].value);
        }
    }
}

/* ----------------------------------------------------------------- values */

static void value_add(struct line *line, double si, const char *unit, bool last)
{
    const size_t used = strlen(line->value);
    double shown = 0.0;
    FUZZ_CHECK(sm_quantity_to_unit(si, unit, &shown));
    (void)snprintf(line->value + used, sizeof line->value - used, "%.17g %s", shown,
                   last ? unit : "");
}

/* Somewhere between low and high: at an end, evenly, or evenly in the logarithm. */
static double value_between(struct choices *choices, double low, double high)
{
    const unsigned how = choose_byte(choices);
    const double part = choose_fraction(choices);
    if (how < 16)
        return low;
    if (how < 32)
        return high;
    if (how < 128 || low < 0.0)
        return low + part * (high - low);
    const double least = fmax(low, 1e-6 * high);
    return fmin(high, least * pow(high / least, part));
}

static void word_set(struct line *line, const struct key_row *row, unsigned choice)
{
    const char *word = NULL;
    size_t n = 0, count = 0;
    while (key_word(row->extra, count, &word, &n))
        count++;
    (void)key_word(row->extra, choice % count, &word, &n);
    (void)snprintf(line->value, sizeof line->value, "%.*s", (int)n, word);
}

/* Free text, or the name of a row of the reference tables where one is asked for. */
static void text_set(struct book *book, struct line *line)
{
    const struct sm_tables *tables = fuzz_reference();
    const unsigned choice = choose_byte(book->choices);
    if (strcmp(line->name, "compound") == 0) {
        (void)snprintf(line->value, sizeof line->value, "%s",
                       tables->compounds[choice % tables->n_compounds].name);
    } else if (strcmp(line->name, "surface") == 0) {
        (void)snprintf(line->value, sizeof line->value, "%s",
                       tables->surfaces[choice % tables->n_surfaces].name);
    } else {
        size_t n = 0;
        line->value[n++] = '"';
        while (n <= choice % 120) {
            const unsigned byte = choose_byte(book->choices);
            line->value[n++] = byte == '"' || byte < ' ' ? 'x' : (char)byte;
        }
        line->value[n++] = '"';
        line->value[n] = '\0';
    }
}

static void plain_set(struct book *book, size_t key)
{
    const struct key_row *row = &book->table->rows[key];
    struct line *line = line_add(book, key, row->key);
    const bool words = row->kind == KEY_WORD || (row->kind == KEY_WHOLE && row->extra[0]);
    if (words)
        word_set(line, row, choose_byte(book->choices));
    else if (row->kind == KEY_YES)
        (void)snprintf(line->value, sizeof line->value, "yes");
    else if (row->kind == KEY_TEXT)
        text_set(book, line);
    else if (row->kind == KEY_WHOLE || strcmp(row->extra, "whole") == 0)
        (void)snprintf(line->value, sizeof line->value, "%.0f",
                       value_between(book->choices, row->min, row->max));
    else
        value_add(line, value_between(book->choices, row->min, row->max), row->unit, true);
}

/* ------------------------------------------------------------------ lists */

/* n values that rise strictly from at least `low`, in steps of up to `step`. */
static void rise(struct choices *choices, double *values, size_t n, double low, double step)
{
    for (size_t i = 0; i < n; i++)
        values[i] = (i > 0 ? values[i - 1] + 1e-3 * step : low) + step * choose_fraction(choices);
}

static void list_put(struct book *book, struct line *line, const double *values, size_t n,
                     double factor)
{
    for (size_t i = 0; i < n; i++)
        value_add(line, factor * values[i], book->table->rows[line->key].unit, i + 1 == n);
}

static void list_rising(struct book *book, struct line *line, size_t n, double low, double step)
{
    double values[16];
    rise(book->choices, values, n, low, step);
    list_put(book, line, values, n, 1.0);
}

/* 1: what a curve is multiplied with at another temperature. */
static double over_temperature(struct choices *choices)
{
    return 0.7 + 0.6 * choose_fraction(choices);
}

static size_t count_between(struct choices *choices, size_t low, size_t high)
{
    return low + choose_byte(choices) % (high - low + 1);
}

static struct line *row_add(struct book *book, size_t key, size_t i)
{
    static const int at[ROWS_MOST] = { 25, 125, 150 };
    char name[48];
    const int degrees = at[i] + (int)(choose_byte(book->choices) % 25);
    (void)snprintf(name, sizeof name, "%s @ %d degC", book->table->rows[key].key, degrees);
    return line_add(book, key, name);
}

static void conduction_set(struct book *book, const char *section)
{
    const size_t current = key_find(book->table, section, "current");
    const size_t voltage = current + 1;
    const size_t n = count_between(book->choices, 2, CURVE_MOST);
    const size_t rows = count_between(book->choices, 1, ROWS_MOST);
    line_drop(book, current);
    line_drop(book, voltage);
    list_rising(book, line_add(book, current, "current"), n, 0.0, 200.0);
    double values[CURVE_MOST];
    for (size_t i = 0; i < rows; i++) {
        if (i == 0 || book->wild)
            rise(book->choices, values, n, 0.0, 2.0);
        list_put(book, row_add(book, voltage, i), values, n, over_temperature(book->choices));
    }
}

/* One energy key: rows whose last value keeps the bounds of E/(V I), 1 ns ... 50 us. */
static void energies_set(struct book *book, size_t key, size_t n, double last_current)
{
    const size_t rows = count_between(book->choices, 1, ROWS_MOST);
    double values[CURVE_MOST];
    line_drop(book, key);
    for (size_t i = 0; i < rows; i++) {
        if (i == 0 || book->wild) {
            const double most = 600.0 * last_current * value_between(book->choices, 2e-9, 38e-6);
            for (size_t k = 0; k + 1 < n; k++)
                values[k] = most * choose_fraction(book->choices);
            values[n - 1] = most;
        }
        list_put(book, row_add(book, key, i), values, n, over_temperature(book->choices));
    }
}

static void switching_set(struct book *book, const char *section)
{
    const size_t voltage = key_find(book->table, section, "test_voltage");
    const size_t current = key_find(book->table, section, "current");
    const size_t n = count_between(book->choices, 1, CURVE_MOST);
    line_drop(book, current);
    line_drop(book, voltage);
    (void)snprintf(line_add(book, voltage, "test_voltage")->value, sizeof book->lines[0].value,
                   "600 V");
    struct line *line = line_add(book, current, "current");
    const double step = 300.0 * (choose_fraction(book->choices) + 1e-3);
    for (size_t i = 0; i < n; i++)
        value_add(line, step * (double)(i + 1), "A", i + 1 == n);
    const double last = step * (double)n;
    for (size_t key = current + 1; key < book->table->n; key++)
        if (strcmp(book->table->rows[key].section, section) == 0 &&
            book->table->rows[key].kind == KEY_ROWS)
            energies_set(book, key, n, last);
}

static void rg_set(struct book *book, const char *section)
{
    const size_t rg = key_find(book->table, section, "rg");
    const size_t n = count_between(book->choices, 2, CURVE_MOST);
    for (size_t key = rg; key < book->table->n; key++) {
        const struct key_row *row = &book->table->rows[key];
        if (strcmp(row->section, section) != 0)
            break;
        line_drop(book, key);
        struct line *line = line_add(book, key, row->key);
        if (key == rg)
            list_rising(book, line, n, 0.0, 10.0);
        for (size_t i = 0; key != rg && i < n; i++)
            value_add(line, 1e-4 + 0.05 * choose_fraction(book->choices), "mJ", i + 1 == n);
    }
}

/* Foster terms, with rth_jc as their sum. */
static void foster_set(struct book *book, const char *section)
{
    const size_t rth = key_find(book->table, section, "rth_jc");
    const size_t n = count_between(book->choices, 1, 12);
    double sum = 0.0;
    for (size_t i = 0; i < 3; i++)
        line_drop(book, rth + i);
    struct line *r = line_add(book, rth + 1, "foster_r");
    struct line *tau = line_add(book, rth + 2, "foster_tau");
    for (size_t i = 0; i < n; i++) {
        const double part = value_between(book->choices, 1e-4, 0.8);
        sum += part;
        value_add(r, part, "K/W", i + 1 == n);
        value_add(tau, value_between(book->choices, 1e-9, 1000.0), "s", i + 1 == n);
    }
    value_add(line_add(book, rth, "rth_jc"), sum, "K/W", true);
}

static void power_factor_set(struct book *book, size_t key)
{
    const size_t n = count_between(book->choices, 1, 4);
    line_drop(book, key);
    for (size_t i = 0; i < n; i++) {
        char name[48];
        (void)snprintf(name, sizeof name, "power_factor @ %u Hz",
                       choose_byte(book->choices) + 256 * (unsigned)i);
        const double part = choose_fraction(book->choices) - 0.3;
        value_add(line_add(book, key, i == 0 ? "power_factor" : name),
                  part < 0.0 ? fmin(part / 0.3, -1e-3) : fmax(part / 0.7, 1e-3), "", true);
    }
}

static void list_set(struct book *book, size_t key)
{
    const struct key_row *row = &book->table->rows[key];
    const bool thermal = strstr(row->section, ".thermal") != NULL;
    if (strstr(row->section, ".conduction"))
        conduction_set(book, row->section);
    else if (thermal)
        foster_set(book, row->section);
    else if (strstr(row->key, "rg"))
        rg_set(book, row->section);
    else if (strstr(row->section, ".switching") || strstr(row->section, ".recovery"))
        switching_set(book, row->section);
    else if (row->kind == KEY_ROWS)
        power_factor_set(book, key);
    else { /* screw_torque, frequencies */
        line_drop(book, key);
        const bool two = strcmp(row->key, "screw_torque") == 0;
        list_rising(book, line_add(book, key, row->key),
                    two ? 2 : count_between(book->choices, 1, 16), row->min, two ? 3.0 : 20.0);
    }
}

static void book_change(struct book *book, size_t most)
{
    for (size_t i = 0; i < most && book->choices->next < book->choices->end; i++) {
        const size_t key = choose_byte(book->choices) % book->table->n;
        const struct key_row *row = &book->table->rows[key];
        if (row->kind == KEY_LIST || row->kind == KEY_ROWS) {
            list_set(book, key);
            continue;
        }
        line_drop(book, key);
        const bool absent = row->need != NEED_REQUIRED && choose_byte(book->choices) % 4 == 0;
        if (!absent)
            plain_set(book, key);
    }
}

static void file_make(struct choices *choices, const struct key_table *table, const char *example,
                      bool wild, struct sm_text *out)
{
    struct book *book = malloc(sizeof *book);
    FUZZ_CHECK(book != NULL);
    book_open(book, table, choices, example);
    book->wild = wild;
    book_change(book, choose_byte(choices) % 32);
    book_write(book, out);
    free(book);
}

void make_drive(struct choices *choices, struct sm_text *out)
{
    static const char *const examples[] = { SM_EXAMPLES "/drive.ini",
                                            SM_EXAMPLES "/drive-complete.ini" };
    file_make(choices, &drive_keys, examples[choose_byte(choices) % 2], false, out);
}

void make_module(struct choices *choices, bool wild, struct sm_text *out)
{
    static const char *const examples[] = { SM_EXAMPLES "/module-good.ini",
                                            SM_EXAMPLES "/module-fast.ini",
                                            SM_EXAMPLES "/module-low-frequency.ini" };
    file_make(choices, &module_keys, examples[choose_byte(choices) % 3], wild, out);
}
