/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/key_table.h"

#include "support/files.h"
#include "swapmargin/input.h"
#include "swapmargin/log.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct key_table *const tables[] = { &drive_keys, &module_keys };

Test(key_table, every_row_makes_sense)
{
    for (size_t t = 0; t < 2; t++) {
        for (size_t i = 0; i < tables[t]->n; i++) {
            const struct key_row *row = &tables[t]->rows[i];
            const bool number = row->kind == KEY_NUMBER || row->kind == KEY_OPTIONAL ||
                                row->kind == KEY_WHOLE || row->kind == KEY_LIST ||
                                row->kind == KEY_ROWS;
            double shown = 0.0;
            cr_assert(row->meaning[0], "%s", row->key);
            cr_assert(sm_quantity_to_unit(row->min, row->unit, &shown), "%s", row->key);
            cr_assert(!number || row->min < row->max, "%s", row->key);
            cr_assert(row->unit[0] || row->dimension == SM_DIM_NONE ||
                          row->dimension == SM_DIM_PLAIN,
                      "%s", row->key);
            if (number && row->need == NEED_DEFAULT && row->kind != KEY_LIST)
                cr_assert(row->fallback >= row->min && row->fallback <= row->max, "%s", row->key);
            for (size_t k = 0; k < i; k++)
                cr_assert_not(strcmp(row->key, tables[t]->rows[k].key) == 0 &&
                              strcmp(row->section, tables[t]->rows[k].section) == 0);
        }
    }
}

Test(key_table, the_unit_shown_is_one_of_the_dimension)
{
    for (size_t t = 0; t < 2; t++) {
        for (size_t i = 0; i < tables[t]->n; i++) {
            const struct key_row *row = &tables[t]->rows[i];
            char text[64];
            double si = 0.0;
            (void)snprintf(text, sizeof text, "1 %s", row->unit);
            cr_assert_eq(sm_quantity_parse(text, row->dimension, NULL, &si, NULL), SM_OK, "%s",
                         row->key);
        }
    }
}

/* The two ends of "50 V to 1000 V", read back as a file's value would be. */
static void bounds_read(const struct key_row *row, double *low, double *high)
{
    struct sm_text words;
    sm_text_init(&words);
    key_range_words(row, &words);
    char *to = strstr(words.data, " to ");
    cr_assert_not_null(to, "%s: %s", row->key, words.data);
    *to = '\0';
    cr_assert_eq(sm_quantity_parse(words.data, row->dimension, NULL, low, NULL), SM_OK, "%s",
                 words.data);
    cr_assert_eq(sm_quantity_parse(to + 4, row->dimension, NULL, high, NULL), SM_OK, "%s", to + 4);
    sm_text_release(&words);
}

/* Whatever unit a bound is told in, it is the row's: ten digits are shown. */
Test(key_table, bounds_mean_the_same_in_the_unit_that_they_are_told_in)
{
    for (size_t t = 0; t < 2; t++) {
        for (size_t i = 0; i < tables[t]->n; i++) {
            const struct key_row *row = &tables[t]->rows[i];
            double low = 0.0, high = 0.0;
            if (row->kind == KEY_TEXT || row->kind == KEY_WORD || row->kind == KEY_YES ||
                (row->kind == KEY_WHOLE && row->extra[0]))
                continue;
            bounds_read(row, &low, &high);
            cr_assert_float_eq(low, row->min, 1e-9 * fabs(row->min), "%s", row->key);
            cr_assert_float_eq(high, row->max, 1e-9 * fabs(row->max), "%s", row->key);
        }
    }
}

static void bounds_are(const struct key_table *table, const char *section, const char *key,
                       const char *expected)
{
    for (size_t i = 0; i < table->n; i++) {
        if (strcmp(table->rows[i].section, section) != 0 || strcmp(table->rows[i].key, key) != 0)
            continue;
        struct sm_text words;
        sm_text_init(&words);
        key_range_words(&table->rows[i], &words);
        cr_expect_str_eq(words.data, expected);
        sm_text_release(&words);
        return;
    }
    cr_assert_fail("no [%s] %s", section, key);
}

/* The rows' bounds, converted by hand; a number that reads well keeps the row's unit, and one with
 * no better unit too. */
Test(key_table, a_bound_of_many_digits_is_told_in_a_larger_or_smaller_unit)
{
    bounds_are(&module_keys, "igbt.switching", "e_on", "0 mJ to 1000 J");
    bounds_are(&module_keys, "igbt.thermal", "tau_jc", "1 us to 1000 s");
    bounds_are(&module_keys, "gate", "td_on", "0 ns to 100 us");
    bounds_are(&module_keys, "gate", "gate_charge", "0.001 uC to 1000 uC");
    bounds_are(&module_keys, "thermistor", "b25_50", "100 K to 20000 K");
    bounds_are(&drive_keys, "drive", "bus_capacitance", "1 uF to 1 F");
    bounds_are(&drive_keys, "cooling", "sink_capacity", "10 J/K to 1 MJ/K");
    bounds_are(&drive_keys, "cooling", "ambient", "-40 degC to 90 degC");
    bounds_are(&drive_keys, "gate", "vge_off", "-25 V to 0 V");
}

Test(key_table, sections_come_in_the_order_of_the_rows)
{
    static const char *const want[] = { "drive", "load", "cooling",  "gate",
                                        "joint", "test", "confirmed" };
    for (size_t i = 0; i < 7; i++)
        cr_assert_str_eq(key_table_section(&drive_keys, i), want[i]);
    cr_assert_null(key_table_section(&drive_keys, 7));
    cr_assert_str_eq(key_table_section(&joint_keys, 0), "joint");
    cr_assert_null(key_table_section(&joint_keys, 1));
}

static bool key_exists(const char *key)
{
    for (size_t t = 0; t < 2; t++)
        for (size_t i = 0; i < tables[t]->n; i++)
            if (strcmp(tables[t]->rows[i].key, key) == 0)
                return true;
    return false;
}

/* A row that names no key, or that hides one, would send its reader astray. */
Test(key_table, every_symbol_of_data_sheets_leads_to_a_key)
{
    static const struct {
        const char *typed, *key;
    } symbols[] = {
#define SYMBOL(typed, key) { typed, key },
#include "swapmargin/symbols.def"
#undef SYMBOL
    };
    for (size_t k = 0; k < sizeof symbols / sizeof symbols[0]; k++) {
        cr_assert(key_exists(symbols[k].key), "%s", symbols[k].key);
        cr_assert_eq(strspn(symbols[k].typed, "abcdefghijklmnopqrstuvwxyz0123456789"),
                     strlen(symbols[k].typed), "%s", symbols[k].typed);
        for (size_t i = 0; i < k; i++)
            cr_assert_str_neq(symbols[i].typed, symbols[k].typed);
    }
}

/* ------------------------------------------------------------- tests/bad */

#define BAD "tests/bad"

struct expected {
    char message[400], kind[20], at[200];
    size_t faults;
};

/* "; name: value" in the first lines of the file; where that would spoil what is wrong with it, in
 * a file of the same name with .expect behind it. */
static void read_expected(const char *path, struct expected *want)
{
    char line[2048], beside[330];
    (void)snprintf(beside, sizeof beside, "%s.expect", path);
    FILE *file = fopen(beside, "rb");
    if (!file)
        file = fopen(path, "rb");
    cr_assert(file != NULL, "%s", path);
    *want = (struct expected){ .faults = 1 };
    while (fgets(line, sizeof line, file) && line[0] == ';') {
        line[strcspn(line, "\n")] = '\0';
        const char *value = strstr(line, ": ");
        cr_assert(value != NULL, "%s: %s", path, line);
        value += 2;
        if (strncmp(line, "; expect:", 9) == 0)
            (void)snprintf(want->message, sizeof want->message, "%s", value);
        if (strncmp(line, "; kind:", 7) == 0)
            (void)snprintf(want->kind, sizeof want->kind, "%s", value);
        if (strncmp(line, "; at:", 5) == 0)
            (void)snprintf(want->at, sizeof want->at, "%s", value);
        if (strncmp(line, "; faults:", 9) == 0)
            want->faults = strtoul(value, NULL, 10);
    }
    cr_assert(want->message[0] && want->kind[0], "%s says not what is expected", path);
    (void)fclose(file);
}

static enum sm_status load_kind(const char *kind, const char *path,
                                const struct sm_tables *reference, struct sm_faults *faults)
{
    struct sm_drive drive;
    struct sm_module module;
    enum sm_status status = SM_OK;
    if (strcmp(kind, "module") == 0) {
        status = sm_module_load(path, &module, faults);
        sm_module_release(&module);
        return status;
    }
    if (strcmp(kind, "log") == 0) {
        struct sm_log log;
        status = sm_log_load(path, &log, faults);
        sm_log_release(&log);
        return status;
    }
    const bool joint = strcmp(kind, "joint") == 0;
    status = sm_drive_load(joint ? scratch(0, least_drive) : path, joint ? path : NULL, reference,
                           &drive, faults);
    sm_drive_release(&drive);
    return status;
}

static void check_bad(const char *path, const struct sm_tables *reference)
{
    struct expected want;
    struct sm_faults faults;
    bool found = false;
    read_expected(path, &want);
    sm_faults_init(&faults);
    const enum sm_status status = load_kind(want.kind, path, reference, &faults);
    cr_assert_neq(status, SM_OK, "%s was accepted", path);
    cr_assert_eq(faults.count, want.faults, "%s: %zu faults, the last: %s", path, faults.count,
                 faults.list[faults.count - 1].message);
    cr_assert_eq(status, faults.list[0].status);
    for (size_t i = 0; i < faults.count; i++) {
        struct sm_text place;
        sm_text_init(&place);
        fault_place(&faults.list[i], &place);
        cr_assert_str_eq(faults.list[i].file, path);
        found = found ||
                (strcmp(place.data, want.at) == 0 && strstr(faults.list[i].message, want.message));
        sm_text_release(&place);
    }
    cr_assert(found, "%s: line %d [%s] %s: %s", path, faults.list[0].line, faults.list[0].section,
              faults.list[0].key, faults.list[0].message);
    sm_faults_release(&faults);
}

Test(key_table, every_bad_file_is_refused_at_its_line_with_its_text)
{
    struct sm_tables reference;
    size_t n = 0;
    cr_assert_eq(sm_tables_load(NULL, &reference, NULL), SM_OK);
    DIR *folder = opendir(BAD);
    cr_assert(folder != NULL, "run the tests from the top folder");
    for (const struct dirent *entry; (entry = readdir(folder)) != NULL;) {
        char path[320];
        if (entry->d_name[0] == '.' || strstr(entry->d_name, ".expect"))
            continue;
        (void)snprintf(path, sizeof path, BAD "/%s", entry->d_name);
        check_bad(path, &reference);
        n++;
    }
    (void)closedir(folder);
    cr_assert(n >= 500, "%zu files only", n);
    sm_tables_release(&reference);
}
