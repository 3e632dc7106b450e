/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/known.h"
#include "report/made_from.h"
#include "report/report_joint.h"
#include "report/sheet_pictures.h"
#include "report/words.h"

#define PER_AREA "W/(m\u00b2\u00b7K)"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

struct joint_sheet {
    struct sheet *sheet;
    const struct joint_page *page;
    const struct sm_joint_study *study;
};

static const char *quantity(const struct joint_sheet *s, struct sm_optional value, const char *unit)
{
    return value.given ? sheet_quantity(s->sheet, value.value, unit) : "-";
}

/* A number in a unit that no file takes. */
static const char *times(const struct joint_sheet *s, double si, double factor, const char *unit)
{
    return sheet_format(s->sheet, "%.3g %s", si * factor, unit);
}

/* ------------------------------------------------------------------- head */

static const char *judgement(const struct joint_sheet *s)
{
    if (!s->study->result.joint.layer_used)
        return "THE LAYER CANNOT BE JUDGED";
    return joint_keeps(s->page) ? "THE LAYER WILL DO" : "THE LAYER WILL NOT DO";
}

/* The condition of the check that says so, with the keys that are missing. */
static const char *why_not_judged(const struct joint_sheet *s)
{
    const struct sm_notes *conditions = &s->study->result.conditions;
    for (size_t i = 0; i < conditions->count; i++)
        if (conditions->list[i].id == SM_NOTE_JOINT_AS_PRINTED)
            return sheet_format(s->sheet, "%s.", sheet_note(s->sheet, &conditions->list[i]));
    return "";
}

static void headline(const struct joint_sheet *s)
{
    const struct sm_drive *drive = s->page->c->drive;
    const struct sm_result *result = &s->study->result;
    const bool named = drive->name && drive->name[0] != '\0', used = result->joint.layer_used;
    const double required = drive->test.required_margin;
    (void)sheet_add(s->sheet, SHEET_HEADLINE, judgement(s),
                    sheet_format(s->sheet, "%s%s%s", s->page->c->module->part, named ? " for " : "",
                                 named ? drive->name : ""));
    if (!used)
        (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "", why_not_judged(s));
    const char *with = used ? "With this layer" : "With the value printed";
    (void)sheet_add(
        s->sheet, SHEET_PARAGRAPH, "",
        result->runaway
            ? sheet_format(s->sheet, "%s there is no equilibrium: thermal runaway.", with)
            : sheet_format(s->sheet,
                           "%s the smallest margin is %s, and %s must be left. This "
                           "sheet looks at the joint only; `swapmargin check` judges "
                           "the module.",
                           with, sheet_beside(s->sheet, result->margin, required, "K"),
                           sheet_beside(s->sheet, required, result->margin, "K")));
}

static const char *costs(const struct joint_sheet *s)
{
    const char *words = "";
    for (size_t i = 0; i < s->study->result.n_points; i++) {
        const struct sm_point *point = &s->study->result.points[i];
        const char *drop =
            point->runaway ? "runaway" : sheet_quantity(s->sheet, point_joint_drop(point), "K");
        words = sheet_format(s->sheet, "%s%s%s at %s", words, i > 0 ? ", " : "", drop,
                             sheet_quantity(s->sheet, point->output_hz, "Hz"));
    }
    return words;
}

static const char *no_bounds(const struct joint_sheet *s)
{
    struct sm_text why;
    sm_text_init(&why);
    joint_why_no_bounds(&why, s->page);
    return sheet_take(s->sheet, &why);
}

/* The least that passes, or why there is none; nothing where the layer was not searched for. */
static void bound(const struct joint_sheet *s, struct sheet_block *facts, const char *label,
                  struct sm_optional least, const char *unit, const char *why)
{
    if (least.given)
        sheet_item(s->sheet, facts, label,
                   sheet_bound(s->sheet, least.value, unit, PHRASE_AT_LEAST));
    else if (why)
        sheet_item(s->sheet, facts, label, why);
}

static void layer(const struct joint_sheet *s)
{
    const struct sm_joint_study *study = s->study;
    (void)sheet_add(s->sheet, SHEET_HEADING, "The layer as applied", "");
    struct sheet_block *facts = sheet_add(s->sheet, SHEET_FACTS, "", "");
    sheet_item(s->sheet, facts, "Joint", sheet_joint_words(s->sheet, &s->study->result.joint));
    sheet_item(s->sheet, facts, "Costs", costs(s));
    sheet_item(s->sheet, facts, "Thickest layer",
               study->max_thickness.given
                   ? sheet_bound(s->sheet, study->max_thickness.value, "um", PHRASE_AT_MOST)
                   : no_bounds(s));
    bound(s, facts, "Lowest coverage", study->min_coverage, "%", joint_why_no_coverage(s->page));
    bound(s, facts, "Poorest compound", study->min_conductivity, "W/(m.K)",
          joint_why_no_conductivity(s->page));
    if (study->max_thickness.given)
        sheet_item(s->sheet, facts, "",
                   "Each alone, the others as applied, until only the required margin is left at "
                   "the test frequencies; " SHEET_NOT_SEARCHED);
    if (s->page->thickness && picture_has_curve(s->page->thickness))
        picture_over_thickness(s->sheet, &study->result, s->page->thickness);
}

/* What stands against the resistance itself; the other conditions are for a check to tell. */
static bool is_of_joint(enum sm_note_id id)
{
    return id == SM_NOTE_JOINT_AS_PRINTED || id == SM_NOTE_JOINT_EVEN_FLOW ||
           id == SM_NOTE_JOINT_COVERAGE;
}

static void conditions(const struct joint_sheet *s)
{
    const struct sm_notes *notes = &s->study->result.conditions;
    struct sheet_block *ticks = NULL;
    for (size_t i = 0; i < notes->count; i++) {
        if (!is_of_joint(notes->list[i].id))
            continue;
        if (!ticks) {
            (void)sheet_add(s->sheet, SHEET_HEADING, SHEET_TO_SETTLE, "");
            ticks = sheet_add(s->sheet, SHEET_TICKS, "", "");
        }
        sheet_item(s->sheet, ticks, "", sheet_note(s->sheet, &notes->list[i]));
    }
}

/* ----------------------------------------------------------------- amount */

static void amount(const struct joint_sheet *s)
{
    const struct sm_joint_study *study = s->study;
    const int n = study->result.module_count;
    const char *why = joint_why_no_amount(s->page);
    (void)sheet_add(s->sheet, SHEET_HEADING, "Compound to apply", "");
    struct sheet_block *facts = sheet_add(s->sheet, SHEET_FACTS, "", "");
    if (study->compound_mass.given)
        sheet_item(s->sheet, facts, "On one base",
                   sheet_format(s->sheet, "%s, that is %s: weigh the module before and after",
                                times(s, study->compound_mass.value, GRAM_PER_KG, "g"),
                                times(s, study->compound_volume.value, CM3_PER_M3, "cm\u00b3")));
    else if (study->compound_volume.given)
        sheet_item(s->sheet, facts, "On one base",
                   times(s, study->compound_volume.value, CM3_PER_M3, "cm\u00b3"));
    if (study->compound_volume.given && n > 1)
        sheet_item(s->sheet, facts, sheet_format(s->sheet, "On all %d", n),
                   times(s, n * study->compound_volume.value, CM3_PER_M3, "cm\u00b3"));
    if (why)
        sheet_item(s->sheet, facts, "Not told", why);
}

/* --------------------------------------------------------------- pressing */

static void pressing(const struct joint_sheet *s)
{
    const struct sm_joint_study *study = s->study;
    const char *why = joint_why_no_pressing(s->page);
    (void)sheet_add(s->sheet, SHEET_HEADING, "What the screws press it to", "");
    struct sheet_block *facts = sheet_add(s->sheet, SHEET_FACTS, "", "");
    if (study->pressure.given)
        sheet_item(
            s->sheet, facts, "Pressure",
            study->pressure_of_screws
                ? sheet_format(s->sheet,
                               "%s on average, from the screws at %s; friction makes it a "
                               "third more or less, and between the screws it is lower",
                               quantity(s, study->pressure, "MPa"),
                               sheet_quantity(s->sheet, study->screw_torque, "N.m"))
                : sheet_format(s->sheet, "%s, as typed", quantity(s, study->pressure, "MPa")));
    if (study->expected_thickness.given)
        sheet_item(s->sheet, facts, "Layer to expect",
                   sheet_format(s->sheet,
                                "%s between flat faces once it has flowed, %s with a soft and %s "
                                "with a stiff compound; the base's bow comes on top",
                                quantity(s, study->expected_thickness, "um"),
                                quantity(s, study->expected_thin, "um"),
                                quantity(s, study->expected_thick, "um")));
    if (why)
        sheet_item(s->sheet, facts, "Not told", why);
    if (study->bare_rth.given)
        sheet_item(
            s->sheet, facts, "Bare metal",
            sheet_format(s->sheet,
                         "%s per module if both faces were flat (%.0f %s through the "
                         "asperities, %.0f through the air between them). They are not: where "
                         "they gape by %s, air alone makes %s. Never run it bare",
                         quantity(s, study->bare_rth, "K/W"), study->bare_contact.value, PER_AREA,
                         study->bare_gap.value, sheet_quantity(s->sheet, SM_JOINT_GAPE, "um"),
                         quantity(s, study->gaping_rth, "K/W")));
    else
        sheet_item(s->sheet, facts, "Bare metal",
                   sheet_format(s->sheet, "not told: %s", joint_why_no_bare(s->page)));
}

/* ---------------------------------------------------------------- what if */

/* A margin, with a mark where it is short. */
static const char *margin_words(const struct joint_sheet *s, const struct sm_joint_margin *margin)
{
    if (margin->runaway)
        return "hot!";
    return sheet_format(s->sheet, "%.1f%s", margin->margin,
                        margin->margin < s->page->c->drive->test.required_margin ? "!" : " ");
}

static void by_compound(const struct joint_sheet *s)
{
    static const struct sheet_column head[] = {
        { "", "compound", "", SHEET_LEFT, true, true },
        { "", "W/(m\u00b7K)", "", SHEET_NUMBER, false, true },
    };
    const struct sm_joint_study *study = s->study;
    (void)sheet_add(s->sheet, SHEET_HEADING, "Margin left by compound and thickness, K", "");
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "margin by layer", "");
    sheet_columns(s->sheet, table, head, COUNT(head));
    for (size_t k = 0; k < SM_JOINT_THICKNESSES; k++)
        sheet_columns(s->sheet, table,
                      &(struct sheet_column){ "",
                                              sheet_quantity(s->sheet, study->thickness[k], "um"),
                                              "", SHEET_RIGHT, false, false },
                      1);
    for (size_t i = 0; i < study->n_compounds; i++) {
        sheet_text(s->sheet, table, s->page->compounds[i].name);
        sheet_number(s->sheet, table, s->page->compounds[i].conductivity);
        for (size_t k = 0; k < SM_JOINT_THICKNESSES; k++)
            sheet_text(s->sheet, table,
                       margin_words(s, &study->by_compound[i * SM_JOINT_THICKNESSES + k]));
    }
    (void)sheet_add(
        s->sheet, SHEET_PARAGRAPH, "",
        sheet_format(s->sheet,
                     "At the coverage as applied. ! marks what leaves less than %s. "
                     "Compounds by class: the sheet of the tube in hand comes first.",
                     sheet_quantity(s->sheet, s->page->c->drive->test.required_margin, "K")));
}

static void dry_spots(const struct joint_sheet *s)
{
    static const struct sheet_column columns[] = {
        { "", "dry share of the base", "", SHEET_RIGHT, false, true },
        { "", "margin left, K", "", SHEET_RIGHT, false, false },
    };
    (void)sheet_add(s->sheet, SHEET_HEADING, "Dry spots", "");
    struct sheet_block *table = sheet_add(s->sheet, SHEET_TABLE, "dry spots", "");
    sheet_columns(s->sheet, table, columns, COUNT(columns));
    for (size_t i = 0; i < SM_JOINT_COVERAGES; i++) {
        sheet_text(s->sheet, table, sheet_quantity(s->sheet, 1.0 - s->study->coverage[i], "%"));
        sheet_text(s->sheet, table, margin_words(s, &s->study->by_coverage[i]));
    }
    (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "",
                    "Spread over the whole base. The same dry share under one chip costs that chip "
                    "far more than this average tells.");
}

static void mounting(const struct joint_sheet *s)
{
    (void)sheet_add(s->sheet, SHEET_HEADING, "Mounting, in this order", "");
    struct sheet_block *ticks = sheet_add(s->sheet, SHEET_TICKS, "", "");
    for (size_t i = 0; i < joint_step_count(); i++) {
        const char *step = joint_step(s->page, i);
        if (step)
            sheet_item(s->sheet, ticks, "", step);
    }
    const struct sm_list *range = &s->page->c->module->mounting.screw_torque;
    if (range->n == 2)
        sheet_item(s->sheet, ticks, "",
                   sheet_format(s->sheet, "Torque of this module: %s to %s.",
                                sheet_quantity(s->sheet, range->v[0], "N.m"),
                                sheet_quantity(s->sheet, range->v[1], "N.m")));
}

void sheet_joint(struct sheet *sheet, const struct joint_page *page)
{
    const struct joint_sheet s = { sheet, page, page->study };
    headline(&s);
    conditions(&s);
    layer(&s);
    amount(&s);
    pressing(&s);
    if (page->study->n_compounds > 0) {
        by_compound(&s);
        dry_spots(&s);
    }
    mounting(&s);
    sheet_cautions(sheet);
    made_from_sheet(sheet, page->c);
}
