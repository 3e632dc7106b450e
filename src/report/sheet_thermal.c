/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/known.h"
#include "report/sheet_check.h"
#include "report/sheet_pictures.h"
#include "report/words.h"

#include <math.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

#define NOTHING "-"

static void numbers_or_nothing(const struct check_sheet *s, struct sheet_block *table, bool told,
                               const double *si, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (told) {
            sheet_number(s->sheet, table, si[i]);
        } else {
            sheet_text(s->sheet, table, NOTHING);
        }
    }
}

/* ---------------------------------------------------------------- margins */

const char *sheet_kept(bool runaway, double margin, double required)
{
    const enum margin_state state = margin_state(runaway, margin, required);
    return state == MARGIN_SHORT ? "SHORT" : word_margin_state(state); /* to be seen in a table */
}

static void margin_row(const struct check_sheet *s, struct sheet_block *table,
                       const struct sm_point *point)
{
    const struct sm_chip_result *igbt = &point->chip[SM_IGBT];
    const struct sm_chip_result *diode = &point->chip[SM_DIODE];
    const double required = s->c->drive->test.required_margin;
    const double values[] = { igbt->tvj_max, igbt->swing, diode->tvj_max, diode->swing,
                              point->margin };
    sheet_number(s->sheet, table, point->output_hz);
    numbers_or_nothing(s, table, !point->runaway, values, COUNT(values));
    sheet_number(s->sheet, table, required);
    sheet_text(s->sheet, table, point->runaway ? NOTHING : word_chip_title(point->worst));
    sheet_text(s->sheet, table, sheet_kept(point->runaway, point->margin, required));
}

void sheet_margins(const struct check_sheet *s)
{
    static const struct sheet_column columns[] = {
        { "", "output", "Hz", SHEET_NUMBER, false, true },
        { "IGBT junction", "highest", "degC", SHEET_NUMBER, false, false },
        { "IGBT junction", "swing", "K", SHEET_NUMBER, false, false },
        { "diode junction", "highest", "degC", SHEET_NUMBER, false, false },
        { "diode junction", "swing", "K", SHEET_NUMBER, false, false },
        { "", "margin", "K", SHEET_NUMBER, false, false },
        { "", "required", "K", SHEET_NUMBER, false, false },
        { "", "set by", "", SHEET_LEFT, false, false },
        { "", "", "", SHEET_LEFT, false, false },
    };
    const char *limit = sheet_quantity(s->sheet, s->c->module->tvj_op_max, "degC");
    (void)sheet_add(s->sheet, SHEET_HEADING,
                    sheet_format(s->sheet, "Margin to the highest operating junction, %s", limit),
                    "margin");
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "margin", "");
    sheet_columns(s->sheet, table, columns, COUNT(columns));
    for (size_t i = 0; i < s->result->n_points; i++) {
        margin_row(s, table, &s->result->points[i]);
    }
}

/* ------------------------------------------------------------------- path */

static void path_table(const struct check_sheet *s)
{
    static const struct sheet_column columns[] = {
        { "", "output", "Hz", SHEET_NUMBER, false, true },
        { "", "chip", "", SHEET_LEFT, false, true },
        { "", "ambient", "degC", SHEET_NUMBER, false, false },
        { "", "sink", "K", SHEET_NUMBER, false, false },
        { "", "joint", "K", SHEET_NUMBER, false, false },
        { "", "case to\njunction", "K", SHEET_NUMBER, false, false },
        { "", "peak of\nripple", "K", SHEET_NUMBER, false, false },
        { "", "highest\njunction", "degC", SHEET_NUMBER, false, false },
        { "", "limit", "degC", SHEET_NUMBER, false, false },
    };
    const double ambient = s->c->drive->cooling.ambient;
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "path", "");
    sheet_columns(s->sheet, table, columns, COUNT(columns));
    for (size_t i = 0; i < s->result->n_points; i++) {
        const struct sm_point *point = &s->result->points[i];
        for (int kind = 0; kind < SM_CHIP_COUNT; kind++) {
            const struct known_path path = point_path(point, (enum sm_chip_kind)kind, ambient);
            const double values[] = { path.sink, path.joint, path.mean, path.peak,
                                      point->chip[kind].tvj_max };
            sheet_number(s->sheet, table, point->output_hz);
            sheet_text(s->sheet, table, word_chip_title((enum sm_chip_kind)kind));
            sheet_number(s->sheet, table, ambient);
            numbers_or_nothing(s, table, !point->runaway, values, COUNT(values));
            sheet_number(s->sheet, table, s->c->module->tvj_op_max);
        }
    }
}

/* Each stage's bar begins where the one above ends; what is left to the limit follows. */
static void path_bars(const struct check_sheet *s, const struct sm_point *point)
{
    const double ambient = s->c->drive->cooling.ambient;
    const double limit = sheet_shown(s->c->module->tvj_op_max, "degC");
    const double required = s->c->drive->test.required_margin;
    const double highest = sheet_shown(point->chip[point->worst].tvj_max, "degC");
    const struct known_path path = point_path(point, point->worst, ambient);
    const struct {
        const char *label;
        double value;
    } stages[] = {
        { "sink over ambient", path.sink },
        { "joint", path.joint },
        { "case to junction, mean", path.mean },
        { point->hold_governs ? "zero-speed hold, beyond" : "peak of the ripple", path.peak },
    };
    struct sheet_block *block =
        sheet_add(s->sheet, SHEET_BARS, sheet_set_by(s->sheet, point->output_hz, point->worst), "");
    block->scale = (struct sheet_scale){
        .low = sheet_shown(ambient, "degC"),
        .high = fmax(limit, highest),
        .unit = "degC",
        .value_unit = "K",
        .mark = sheet_format(s->sheet, "limit: %s",
                             sheet_quantity(s->sheet, s->c->module->tvj_op_max, "degC")),
        .mark_at = limit,
        .mark_limit = true,
    };
    double at = sheet_shown(ambient, "degC");
    for (size_t i = 0; i < COUNT(stages); i++) {
        sheet_bar(s->sheet, block,
                  &(struct sheet_bar){ stages[i].label, stages[i].value, at, at + stages[i].value,
                                       SHEET_FILL_HEAT, NULL });
        at += stages[i].value;
    }
    sheet_bar(s->sheet, block,
              &(struct sheet_bar){ point->margin < 0.0 ? "OVER THE LIMIT" : "margin left",
                                   fabs(point->margin), highest, limit,
                                   point->margin < 0.0 ? SHEET_FILL_OVER : SHEET_FILL_FREE, NULL });
    sheet_bar(s->sheet, block,
              &(struct sheet_bar){ "margin required", required, limit - required, limit,
                                   SHEET_FILL_WANTED, NULL });
}

static void path_begin(const struct check_sheet *s)
{
    (void)sheet_add(s->sheet, SHEET_HEADING, "Where the kelvins go, from ambient to junction",
                    "kelvins");
    path_table(s);
}

void sheet_path(const struct check_sheet *s)
{
    path_begin(s);
    for (size_t i = 0; i < s->result->n_points; i++) {
        if (!s->result->points[i].runaway) {
            path_bars(s, &s->result->points[i]);
        }
    }
}

void sheet_path_page(const struct check_sheet *s)
{
    const struct picture_points chosen = pictures_choose(s->result);
    path_begin(s);
    for (size_t i = 0; i < chosen.n; i++) {
        if (!s->result->points[chosen.index[i]].runaway) {
            path_bars(s, &s->result->points[chosen.index[i]]);
        }
    }
}

/* ----------------------------------------------------------------- losses */

/* One mechanism: its watts per switch, per module and in the whole drive; `told` from the smallest
 * of them that it belongs to. */
struct loss_row {
    const char *label;
    double watts[3];
    size_t first;
};

enum { LOSS_SWITCH, LOSS_MODULE, LOSS_DRIVE, LOSS_LEVELS, LOSS_ROWS = 9 };

static void losses_of(const struct check_sheet *s, const struct sm_point *point,
                      struct loss_row rows[LOSS_ROWS])
{
    const struct sm_chip_result *igbt = &point->chip[SM_IGBT];
    const struct sm_chip_result *diode = &point->chip[SM_DIODE];
    const double switches = sm_module_switches(s->c->module);
    const double modules = s->result->module_count;
    const struct loss_row all[LOSS_ROWS] = {
        { "IGBT conduction", { igbt->conduction }, LOSS_SWITCH },
        { "IGBT turn-on", { igbt->turn_on }, LOSS_SWITCH },
        { "IGBT turn-off", { igbt->turn_off }, LOSS_SWITCH },
        { "diode conduction", { diode->conduction }, LOSS_SWITCH },
        { "diode recovery", { diode->recovery }, LOSS_SWITCH },
        { "leads", { point->lead }, LOSS_SWITCH },
        { "others in the case", { 0.0, s->c->drive->cooling.same_case_heat }, LOSS_MODULE },
        { "others on the sink", { 0.0, 0.0, s->c->drive->cooling.other_heat }, LOSS_DRIVE },
        { "all heat", { 0.0, point->module_heat, point->sink_heat }, LOSS_LEVELS },
    };
    for (size_t i = 0; i < LOSS_ROWS; i++) {
        rows[i] = all[i];
        if (rows[i].first == LOSS_SWITCH) {
            rows[i].watts[LOSS_MODULE] = switches * rows[i].watts[LOSS_SWITCH];
        }
        if (rows[i].first <= LOSS_MODULE) {
            rows[i].watts[LOSS_DRIVE] = modules * rows[i].watts[LOSS_MODULE];
        }
    }
    /* the sum of one switch: its two chips and its leads */
    rows[LOSS_ROWS - 1].watts[LOSS_SWITCH] = igbt->total + diode->total + point->lead;
    rows[LOSS_ROWS - 1].first = LOSS_SWITCH;
}

static void losses_columns(const struct check_sheet *s, struct sheet_block *table)
{
    static const char *const levels[LOSS_LEVELS] = { "switch", "module", "drive" };
    const struct sheet_column name = { "", "mean over a cycle", "", SHEET_LEFT, false, true };
    sheet_columns(s->sheet, table, &name, 1);
    for (size_t i = 0; i < s->result->n_points; i++) {
        const char *hz = sheet_quantity(s->sheet, s->result->points[i].output_hz, "Hz");
        for (size_t level = 0; level < LOSS_LEVELS; level++) {
            const struct sheet_column column = {
                hz, levels[level], "W", SHEET_NUMBER, false, false
            };
            sheet_columns(s->sheet, table, &column, 1);
        }
    }
}

static void losses_row(const struct check_sheet *s, struct sheet_block *table, size_t row)
{
    for (size_t i = 0; i < s->result->n_points; i++) {
        const struct sm_point *point = &s->result->points[i];
        struct loss_row rows[LOSS_ROWS];
        losses_of(s, point, rows);
        if (i == 0) {
            sheet_text(s->sheet, table, rows[row].label);
        }
        for (size_t level = 0; level < LOSS_LEVELS; level++) {
            const bool told = level >= rows[row].first && !point->runaway;
            numbers_or_nothing(s, table, told, &rows[row].watts[level], 1);
        }
    }
}

void sheet_losses(const struct check_sheet *s)
{
    if (s->result->n_points == 0) {
        return;
    }
    (void)sheet_add(s->sheet, SHEET_HEADING, "Losses by mechanism", "losses");
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "losses", "");
    losses_columns(s, table);
    for (size_t row = 0; row < LOSS_ROWS; row++) {
        losses_row(s, table, row);
    }
}

/* One bar a mechanism and chosen frequency, in one switch; what has no loss has no bar. */
void sheet_losses_picture(const struct check_sheet *s)
{
    const struct picture_points chosen = pictures_choose(s->result);
    struct sheet_block *block = NULL;
    for (size_t row = 0; row < LOSS_ROWS; row++) {
        const char *label = NULL;
        for (size_t i = 0; i < chosen.n; i++) {
            const struct sm_point *point = &s->result->points[chosen.index[i]];
            struct loss_row rows[LOSS_ROWS];
            losses_of(s, point, rows);
            const double watts = rows[row].watts[LOSS_SWITCH];
            if (point->runaway || row == LOSS_ROWS - 1 || !(watts > 0.0)) {
                continue;
            }
            block = block ? block : sheet_add(s->sheet, SHEET_BARS, "Losses of one switch", "");
            block->scale = (struct sheet_scale){ .high = fmax(block->scale.high, watts),
                                                 .unit = "W",
                                                 .value_unit = "W" };
            sheet_bar(s->sheet, block,
                      &(struct sheet_bar){ label ? "" : rows[row].label, watts, 0.0, watts,
                                           SHEET_FILL_HEAT,
                                           sheet_quantity(s->sheet, point->output_hz, "Hz") });
            label = rows[row].label;
        }
    }
}

/* -------------------------------------------------------------- operation */

void sheet_operation(const struct check_sheet *s)
{
    static const struct sheet_column columns[] = {
        { "", "output", "Hz", SHEET_NUMBER, false, true },
        { "current, rms", "drive", "A", SHEET_NUMBER, false, false },
        { "current, rms", "module", "A", SHEET_NUMBER, false, false },
        { "", "bus", "V", SHEET_NUMBER, false, false },
        { "", "output", "V", SHEET_NUMBER, false, false },
        { "modulation index", "asked", "", SHEET_NUMBER, false, false },
        { "modulation index", "reached", "", SHEET_NUMBER, false, false },
        { "", "power factor", "", SHEET_NUMBER, false, false },
    };
    (void)sheet_add(
        s->sheet, SHEET_HEADING,
        sheet_format(s->sheet, "Operating points, %s modulation, %s carrier",
                     word_modulation((enum sm_modulation)s->c->drive->rating.modulation),
                     sheet_quantity(s->sheet, s->c->drive->rating.switching_frequency, "kHz")),
        "operation");
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "operating points", "");
    sheet_columns(s->sheet, table, columns, COUNT(columns));
    for (size_t i = 0; i < s->result->n_points; i++) {
        const struct sm_point *point = &s->result->points[i];
        const double values[COUNT(columns)] = {
            point->output_hz,
            point->i_drive,
            point->i_module,
            point->v_dc,
            point->v_out,
            point->modulation_requested,
            point->modulation_index,
            point->power_factor,
        };
        numbers_or_nothing(s, table, true, values, COUNT(values));
    }
}
