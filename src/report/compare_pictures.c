/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/compare_pictures.h"

#include "report/sheet_pictures.h"
#include "report/words.h"

#include <math.h>

/* K  End of the scale of bars without any margin and without any that is required. */
#define SCALE_LEAST 1.0

struct pictured {
    struct sheet *sheet;
    const struct comparison *about;
    const struct ranked *rows;
    size_t n;
};

/* The required margin, K; NAN-free: 0 where the rows come from several files and none is known. */
static double required_of(const struct comparison *about)
{
    return about->drive ? about->drive->test.required_margin : 0.0;
}

static const char *title_of(const struct pictured *p, const char *what, size_t all)
{
    return all > p->n ? sheet_format(p->sheet, "%s, the first %zu of %zu", what, p->n, all) : what;
}

/* ------------------------------------------------------------------- bars */

static void bar_add(const struct pictured *p, struct sheet_block *block, const struct ranked *row)
{
    const struct sm_candidate *numbers = &row->candidate.numbers;
    const bool usable = sm_standing_usable(numbers->standing, false);
    const double margin = numbers->margin.value;
    sheet_bar(p->sheet, block,
              &(struct sheet_bar){
                  sheet_format(p->sheet, "%zu  %s", row->rank, row->candidate.part), margin,
                  fmin(margin, 0.0), fmax(margin, 0.0), usable ? SHEET_FILL_FREE : SHEET_FILL_OVER,
                  word_standing(numbers->standing) });
    block->scale.low = fmin(block->scale.low, margin);
    block->scale.high = fmax(block->scale.high, margin);
}

static void bars_add(const struct pictured *p, size_t all)
{
    const double required = required_of(p->about);
    struct sheet_block *block = NULL;
    for (size_t i = 0; i < p->n; i++) {
        if (!p->rows[i].candidate.numbers.margin.given)
            continue;
        if (!block) {
            block = sheet_add(p->sheet, SHEET_BARS, title_of(p, "Smallest margin of each", all),
                              "Hatched: rejected, or no margin left.");
            block->pages_only = true;
            block->scale = (struct sheet_scale){
                .low = 0.0,
                .high = fmax(required, SCALE_LEAST),
                .unit = "K",
                .value_unit = "K",
                .mark = required > 0.0 ? sheet_format(p->sheet, "required: %s",
                                                      sheet_quantity(p->sheet, required, "K"))
                                       : NULL,
                .mark_at = required
            };
        }
        bar_add(p, block, &p->rows[i]);
    }
}

/* ------------------------------------------------------------------- price */

static bool is_priced(const struct ranked *row)
{
    return row->candidate.numbers.margin.given && row->candidate.numbers.price_set.given;
}

static enum plot_shape shape_of(enum sm_standing standing)
{
    return standing == SM_STANDING_APPROVE       ? PLOT_FULL
           : standing == SM_STANDING_CONDITIONAL ? PLOT_OPEN
                                                 : PLOT_CROSS;
}

static void mark_add(const struct pictured *p, struct sheet_block *block, const struct ranked *row)
{
    const struct sm_candidate *numbers = &row->candidate.numbers;
    const char *tip = sheet_format(
        p->sheet, "%s, %s: margin %s, set %.4g", row->name, word_standing(numbers->standing),
        sheet_quantity(p->sheet, numbers->margin.value, "K"), numbers->price_set.value);
    sheet_mark(p->sheet, block,
               &(struct plot_mark){ row->name,
                                    tip,
                                    { numbers->price_set.value, numbers->margin.value },
                                    shape_of(numbers->standing) });
}

static void prices_add(const struct pictured *p, size_t all)
{
    size_t priced = 0;
    for (size_t i = 0; i < p->n; i++)
        priced += is_priced(&p->rows[i]) ? 1 : 0;
    if (priced < 2)
        return;
    struct sheet_block *block =
        sheet_add(p->sheet, SHEET_PLOT, title_of(p, "Margin against the price of the set", all),
                  "Filled: approve. Hollow: conditional. Crossed: reject.");
    block->plot.tall = true;
    block->plot.x = (struct plot_axis){ .title = "price of the set", .unit = "" };
    block->plot.y = (struct plot_axis){ .title = "margin", .unit = "K" };
    picture_margin_levels(p->sheet, block, required_of(p->about));
    for (size_t i = 0; i < p->n; i++)
        if (is_priced(&p->rows[i]))
            mark_add(p, block, &p->rows[i]);
}

void pictures_compare(struct sheet *sheet, const struct comparison *about,
                      const struct ranked *rows, size_t n)
{
    const struct pictured p = { sheet, about, rows, n < COMPARE_PICTURED ? n : COMPARE_PICTURED };
    bars_add(&p, n);
    prices_add(&p, n);
}
