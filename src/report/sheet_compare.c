/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_compare.h"

#include "report/compare_made_from.h"
#include "report/compare_names.h"
#include "report/compare_pictures.h"
#include "report/deliver.h"
#include "report/sheet.h"
#include "report/sheet_check.h"
#include "report/words.h"

#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])
#define NOTHING "-"

enum { MOST_COLUMNS = 40, MOST_DRAWN = 4 };

struct compare_page {
    struct sheet *sheet;
    const struct comparison *about;
    const struct ranked *rows;
    const struct compare_names *names;
    bool priced; /* some row has a price or a lead time */
    bool drawn;  /* a page: with pictures, and what stands against each in its row */
};

/* --------------------------------------------------------------- headline */

static void headline(const struct compare_page *p)
{
    const size_t *n = p->about->standing;
    const struct sm_drive *drive = p->about->drive;
    const char *name = !drive                                  ? ""
                       : drive->name && drive->name[0] != '\0' ? drive->name
                                                               : drive->file;
    (void)sheet_add(p->sheet, SHEET_HEADLINE,
                    sheet_format(p->sheet, "%zu APPROVE, %zu CONDITIONAL, %zu REJECT",
                                 n[SM_STANDING_APPROVE], n[SM_STANDING_CONDITIONAL],
                                 n[SM_STANDING_REJECT]),
                    p->about->several ? sheet_format(p->sheet, "%zu drives", p->about->n_best)
                    : drive           ? sheet_format(p->sheet, "for %s", name)
                                      : "merged");
    size_t all = 0;
    for (int s = 0; s < SM_STANDING_COUNT; s++)
        all += n[s];
    const size_t unreadable = p->about->unreadable_files;
    const char *broken = unreadable > 0 ? sheet_format(p->sheet, " %zu file%s cannot be read.",
                                                       unreadable, unreadable == 1 ? "" : "s")
                                        : "";
    const char *required =
        drive ? sheet_format(p->sheet, " At least %s must be left at every test frequency.",
                             sheet_quantity(p->sheet, drive->test.required_margin, "K"))
              : "";
    const char *hidden = p->about->shown < all ? sheet_format(p->sheet, " %zu of %zu rows shown.",
                                                              p->about->shown, all)
                                               : "";
    (void)sheet_add(p->sheet, SHEET_PARAGRAPH, "",
                    sheet_format(p->sheet,
                                 "Conditional means that a person must settle something first: "
                                 "check the one candidate to see what.%s%s%s",
                                 required, broken, hidden));
}

/* ------------------------------------------------------------------ table */

static void number_or_nothing(const struct compare_page *p, struct sheet_block *table,
                              struct sm_optional value)
{
    if (value.given)
        sheet_number(p->sheet, table, value.value);
    else
        sheet_text(p->sheet, table, NOTHING);
}

/* Margin at a frequency; absent where this drive is not tested there. */
static struct sm_optional margin_at(const struct sm_candidate *numbers, double hz)
{
    for (size_t i = 0; i < numbers->n_points; i++)
        if (fabs(numbers->points[i].output_hz - hz) <= 0.0)
            return numbers->points[i].margin;
    return (struct sm_optional){ .given = false };
}

static const char *set_by(const struct compare_page *p, const struct sm_candidate *numbers)
{
    if (numbers->n_points == 0)
        return NOTHING;
    if (!numbers->margin.given)
        return sheet_format(p->sheet, "runaway, %s",
                            sheet_quantity(p->sheet, numbers->worst_hz, "Hz"));
    return sheet_set_by(p->sheet, numbers->worst_hz, numbers->worst_chip);
}

static bool any_price(const struct comparison *about, const struct ranked *rows)
{
    for (size_t i = 0; i < about->shown; i++)
        if (rows[i].candidate.numbers.price.given || rows[i].candidate.numbers.lead_time.given)
            return true;
    return false;
}

/* A page has room for the margins at a few frequencies; of more it shows the smallest. */
static bool only_smallest(const struct compare_page *p)
{
    return p->drawn && p->about->n_hz > MOST_DRAWN;
}

static size_t columns_make(const struct compare_page *p, struct sheet_column *column)
{
    static const struct sheet_column head[] = {
        { "", "#", "", SHEET_RIGHT, false, true },
        { "", "part", "", SHEET_LEFT, true, true },
        { "", "verdict", "", SHEET_LEFT, false, false },
    };
    static const struct sheet_column tail[] = {
        { "", "set by", "", SHEET_LEFT, false, false },
        { "", "losses", "W", SHEET_NUMBER, false, false },
    };
    static const struct sheet_column price[] = {
        { "price", "set", "", SHEET_NUMBER, false, false },
        { "price", "per K", "", SHEET_NUMBER, false, false },
        { "", "lead", "d", SHEET_NUMBER, false, false },
    };
    size_t n = 0;
    for (size_t i = 0; i < COUNT(head); i++)
        column[n++] = head[i];
    if (only_smallest(p))
        column[n++] =
            (struct sheet_column){ "", "smallest\nmargin", "K", SHEET_NUMBER, false, false };
    for (size_t k = 0;
         !only_smallest(p) && k < p->about->n_hz && n < MOST_COLUMNS - COUNT(tail) - COUNT(price);
         k++)
        column[n++] =
            (struct sheet_column){ "margin at", sheet_quantity(p->sheet, p->about->hz[k], "Hz"),
                                   "K",         SHEET_NUMBER,
                                   false,       false };
    for (size_t i = 0; i < COUNT(tail); i++)
        column[n++] = tail[i];
    for (size_t i = 0; p->priced && i < COUNT(price); i++)
        column[n++] = price[i];
    if (p->drawn)
        column[n++] =
            (struct sheet_column){ "", "first against it", "", SHEET_BELOW, false, false };
    return n;
}

/* The first thing against a candidate: a reason, a fault, or what must be settled; "" for none. */
static const char *against_words(const struct compare_page *p, const struct candidate *c)
{
    const char *words = c->n_reasons > 0 ? c->reasons[0] : c->condition;
    const size_t all = c->n_reasons > 0 ? c->n_reasons : c->numbers.conditions;
    return words[0] != '\0' && all > 1 ? sheet_format(p->sheet, "%s (and %zu more)", words, all - 1)
                                       : words;
}

static void candidate_row(const struct compare_page *p, struct sheet_block *table,
                          const struct ranked *row, size_t n_hz)
{
    const struct candidate *candidate = &row->candidate;
    const struct sm_candidate *numbers = &candidate->numbers;
    sheet_text(p->sheet, table, sheet_format(p->sheet, "%zu", row->rank));
    sheet_text(p->sheet, table, row->name);
    sheet_text(p->sheet, table, word_standing(numbers->standing));
    for (size_t k = 0; k < n_hz; k++)
        number_or_nothing(p, table,
                          only_smallest(p) ? numbers->margin : margin_at(numbers, p->about->hz[k]));
    sheet_text(p->sheet, table, set_by(p, numbers));
    number_or_nothing(p, table, numbers->losses);
    if (p->priced) {
        number_or_nothing(p, table, numbers->price_set);
        number_or_nothing(p, table, numbers->price_per_kelvin);
        number_or_nothing(p, table, numbers->lead_time);
    }
    if (p->drawn)
        sheet_text(p->sheet, table, against_words(p, candidate));
}

/* One drive's rows: from `first` up to the next drive's. */
static size_t rows_table(const struct compare_page *p, size_t first)
{
    struct sheet_column column[MOST_COLUMNS];
    const struct candidate *one = &p->rows[first].candidate;
    const char *drive = one->drive[0] != '\0' ? one->drive : one->drive_file;
    const size_t n = columns_make(p, column);
    const size_t n_hz = n - 5 - (p->priced ? 3 : 0) - (p->drawn ? 1 : 0);
    size_t end = first;
    while (end < p->about->shown && strcmp(p->rows[end].candidate.drive_file, one->drive_file) == 0)
        end++;
    (void)sheet_add(p->sheet, SHEET_HEADING,
                    p->about->drive ? "Candidates" : sheet_format(p->sheet, "For %s", drive), "");
    if (p->drawn)
        pictures_compare(p->sheet, p->about, &p->rows[first], end - first);
    struct sheet_block *table = sheet_add(p->sheet, SHEET_TABLE, "candidates", "");
    table->sortable = true;
    sheet_columns(p->sheet, table, column, n);
    for (size_t i = first; i < end; i++)
        candidate_row(p, table, &p->rows[i], n_hz);
    return end;
}

/* -------------------------------------------------------------- sentences */

static void against(const struct compare_page *p)
{
    struct sheet_block *block = NULL;
    for (size_t i = 0; i < p->about->shown; i++) {
        const char *words = against_words(p, &p->rows[i].candidate);
        if (words[0] == '\0')
            continue;
        if (!block) {
            (void)sheet_add(p->sheet, SHEET_HEADING, "First against each", "against");
            block = sheet_add(p->sheet, SHEET_FACTS, "", "");
        }
        sheet_item(p->sheet, block, sheet_format(p->sheet, "%zu", p->rows[i].rank), words);
    }
}

/* ---------------------------------------------------------- several drives */

static void best_table(const struct compare_page *p)
{
    static const struct sheet_column columns[] = {
        { "", "drive", "", SHEET_LEFT, true, true },
        { "", "best module", "", SHEET_LEFT, true, false },
        { "", "verdict", "", SHEET_LEFT, false, false },
        { "", "margin", "K", SHEET_NUMBER, false, false },
        { "", "price of the set", "", SHEET_NUMBER, false, false },
    };
    (void)sheet_add(p->sheet, SHEET_HEADING, "Best module for each drive", "best");
    struct sheet_block *table = sheet_add(p->sheet, SHEET_TABLE, "best module", "");
    sheet_columns(p->sheet, table, columns, COUNT(columns));
    for (size_t i = 0; i < p->about->n_best; i++) {
        const struct candidate *best = &p->about->best[i].candidate;
        const bool any = best->numbers.standing != SM_STANDING_UNREADABLE;
        sheet_text(p->sheet, table, p->about->best[i].drive);
        sheet_text(p->sheet, table,
                   any ? compare_name_of(p->names, best->part, best->file) : "none");
        sheet_text(p->sheet, table, any ? word_standing(best->numbers.standing) : NOTHING);
        number_or_nothing(p, table, best->numbers.margin);
        number_or_nothing(p, table, best->numbers.price_set);
    }
}

static void stock_table(const struct compare_page *p)
{
    static const struct sheet_column columns[] = {
        { "", "stock", "", SHEET_LEFT, true, true },
        { "drives", "covered", "", SHEET_RIGHT, false, false },
        { "drives", "added", "", SHEET_RIGHT, false, false },
    };
    (void)sheet_add(p->sheet, SHEET_HEADING, "Few modules for most drives", "stock");
    if (p->about->n_stock == 0) {
        (void)sheet_add(p->sheet, SHEET_PARAGRAPH, "", "No candidate can be used in any drive.");
        return;
    }
    struct sheet_block *table = sheet_add(p->sheet, SHEET_TABLE, "stocking list", "");
    sheet_columns(p->sheet, table, columns, COUNT(columns));
    for (size_t i = 0; i < p->about->n_stock; i++) {
        const struct stock_row *row = &p->about->stock[i];
        sheet_text(p->sheet, table, compare_name_of(p->names, row->part, row->file));
        sheet_text(p->sheet, table, sheet_format(p->sheet, "%zu", row->covers));
        sheet_text(p->sheet, table, sheet_format(p->sheet, "%zu", row->adds));
    }
    (void)sheet_add(p->sheet, SHEET_PARAGRAPH, "",
                    "Chosen one by one, each time the module that covers most of the drives still "
                    "open: as a rule the shortest list, not always. Of several that cover as many, "
                    "the one with the lowest price of a set, then the largest margin. Conditional "
                    "counts as covering unless --strict is given.");
}

/* Drives that a module fits, best first; the place in the list where it is the same. */
static size_t fits(const struct compare_page *p, size_t module)
{
    size_t count = 0;
    for (size_t d = 0; d < p->about->n_best; d++)
        count += sm_standing_usable(p->about->cells[module * p->about->n_best + d].standing, false);
    return count;
}

static const char *cell_words(const struct compare_page *p, const struct matrix_cell *cell)
{
    static const char marks[SM_STANDING_COUNT] = { 'a', 'c', 'r', '?' };
    if (p->drawn)
        return cell->margin.given ? sheet_format(p->sheet, "%s %.1f K",
                                                 word_standing(cell->standing), cell->margin.value)
                                  : word_standing(cell->standing);
    if (cell->standing == SM_STANDING_UNREADABLE)
        return "?";
    if (!cell->margin.given)
        return sheet_format(p->sheet, "%c  hot", marks[cell->standing]);
    return sheet_format(p->sheet, "%c %5.1f", marks[cell->standing], cell->margin.value);
}

static void matrix_row(const struct compare_page *p, struct sheet_block *table, size_t module)
{
    sheet_text(
        p->sheet, table,
        compare_name_of(p->names, p->about->modules[module], p->about->module_files[module]));
    for (size_t d = 0; d < p->about->n_best; d++)
        sheet_text(p->sheet, table, cell_words(p, &p->about->cells[module * p->about->n_best + d]));
}

/* Modules that fit somewhere, those that fit most drives first. */
static void matrix(const struct compare_page *p)
{
    const size_t n = p->about->n_best;
    size_t told = 0;
    (void)sheet_add(p->sheet, SHEET_HEADING, "Modules against drives", "matrix");
    for (size_t d = 0; d < n && !p->drawn; d++)
        (void)sheet_add(p->sheet, SHEET_PARAGRAPH, "",
                        sheet_format(p->sheet, "%zu: %s", d + 1, p->about->best[d].drive));
    struct sheet_block *table = sheet_add(p->sheet, SHEET_TABLE, "modules against drives", "");
    sheet_columns(p->sheet, table,
                  &(struct sheet_column){ "", "module", "", SHEET_LEFT, true, true }, 1);
    for (size_t d = 0; d < n; d++) {
        const char *name =
            p->drawn ? p->about->best[d].drive : sheet_format(p->sheet, "%zu", d + 1);
        sheet_columns(
            p->sheet, table,
            &(struct sheet_column){ p->drawn ? "" : "drive", name, "", SHEET_RIGHT, false, false },
            1);
    }
    for (size_t count = n; count > 0; count--)
        for (size_t m = 0; m < p->about->n_modules; m++)
            if (fits(p, m) == count) {
                matrix_row(p, table, m);
                told++;
            }
    (void)sheet_add(
        p->sheet, SHEET_PARAGRAPH, "",
        sheet_format(p->sheet,
                     "%s number is the smallest margin%s. %zu modules that fit no drive "
                     "are left out here; CSV and JSON have every row.",
                     p->drawn ? "The" : "a approve, c conditional, r reject, ? unreadable; the",
                     p->drawn ? "" : " in K", p->about->n_modules - told));
}

/* ------------------------------------------------------------------ sheet */

static void advice_and_cautions(const struct compare_page *p)
{
    (void)sheet_add(p->sheet, SHEET_HEADING, "Before ordering", "ordering");
    struct sheet_block *ticks = sheet_add(p->sheet, SHEET_TICKS, "", "");
    for (size_t i = 0; i < compare_advice_count(); i++)
        sheet_item(p->sheet, ticks, "", compare_advice(i));
    sheet_cautions(p->sheet);
}

static void page_make(const struct compare_page *p)
{
    headline(p);
    if (p->about->several) {
        best_table(p);
        stock_table(p);
        matrix(p);
    } else {
        for (size_t i = 0; i < p->about->shown;)
            i = rows_table(p, i);
        if (!p->drawn)
            against(p);
    }
    advice_and_cautions(p);
    compare_made_from(p->sheet, p->about, p->rows, p->drawn);
}

enum sm_status compare_sheet(struct sm_text *out, enum sm_format format,
                             const struct comparison *about, struct ranked *rows,
                             const struct sm_style *style, struct sm_faults *faults)
{
    struct sheet sheet;
    sheet_init(&sheet);
    struct compare_names names = compare_names_make(&sheet, about, rows);
    for (size_t i = 0; i < about->shown; i++)
        rows[i].name = compare_name_of(&names, rows[i].candidate.part, rows[i].candidate.file);
    page_make(&(struct compare_page){ &sheet, about, rows, &names, any_price(about, rows),
                                      format == SM_FORMAT_HTML });
    compare_names_release(&names);
    return deliver_sheet(&sheet, format, style, out, faults);
}
