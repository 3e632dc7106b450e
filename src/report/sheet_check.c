/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sheet_check.h"

#include "base/text.h"
#include "report/inputs.h"
#include "report/known.h"
#include "report/made_from.h"
#include "report/phrase.h"
#include "report/words.h"
#include "swapmargin/quantity.h"

#define BY_HAND                                                                                    \
    "With the part in hand. What holds is confirmed in the drive file, under [confirmed], as "     \
    "\"outline = yes\":"
#define NOT_CHECKED                                                                                \
    "Not checked: the files do not give what it takes. Fill in the keys named here, or find out "  \
    "by hand:"

const char *sheet_take(struct sheet *sheet, struct sm_text *text)
{
    const char *kept = sheet_keep(sheet, text_words(text));
    text_close(text, &sheet->out_of_memory);
    return kept;
}

const char *sheet_note(struct sheet *sheet, const struct sm_note *note)
{
    struct sm_text text;
    sm_text_init(&text);
    phrase_note(&text, note, true);
    return sheet_take(sheet, &text);
}

double sheet_shown(double si, const char *unit)
{
    double shown = si;
    (void)sm_quantity_to_unit(si, unit, &shown);
    return shown;
}

const char *sheet_quantity(struct sheet *sheet, double si, const char *unit)
{
    struct sm_text text;
    sm_text_init(&text);
    phrase_quantity(&text, si, unit, true);
    return sheet_take(sheet, &text);
}

const char *sheet_beside(struct sheet *sheet, double si, double other, const char *unit)
{
    struct sm_text text;
    sm_text_init(&text);
    phrase_beside(&text, si, other, unit, true);
    return sheet_take(sheet, &text);
}

const char *sheet_bound(struct sheet *sheet, double si, const char *unit, enum phrase_side side)
{
    struct sm_text text;
    sm_text_init(&text);
    phrase_bound(&text, si, unit, side, true);
    return sheet_take(sheet, &text);
}

const char *sheet_set_by(struct sheet *sheet, double output_hz, enum sm_chip_kind chip)
{
    return sheet_format(sheet, "%s, %s", sheet_quantity(sheet, output_hz, "Hz"),
                        word_chip_title(chip));
}

/* ---------------------------------------------------------------- verdict */

static void headline(const struct check_sheet *s)
{
    static const char *const words[] = { "APPROVE", "CONDITIONAL", "REJECT" };
    const unsigned verdict = (unsigned)s->result->verdict;
    const char *name = s->c->drive->name ? s->c->drive->name : "";
    const char *about = name[0] != '\0'
                            ? sheet_format(s->sheet, "%s for %s", s->c->module->part, name)
                            : sheet_keep(s->sheet, s->c->module->part);
    (void)sheet_add(s->sheet, SHEET_HEADLINE,
                    verdict < sizeof words / sizeof words[0] ? words[verdict] : "", about);
}

/* The reason that weighs most: no equilibrium, else the smallest margin, else the first. */
static size_t reason_first(const struct sm_notes *reasons)
{
    size_t first = 0;
    for (size_t i = 0; i < reasons->count; i++) {
        const struct sm_note *note = &reasons->list[i];
        const struct sm_note *best = &reasons->list[first];
        if (note->id == SM_NOTE_REASON_RUNAWAY) {
            return i;
        }
        if (note->id == SM_NOTE_REASON_MARGIN &&
            (best->id != SM_NOTE_REASON_MARGIN || note->value[0] < best->value[0])) {
            first = i;
        }
    }
    return first;
}

/* The reason in one sentence: of a rejection what weighs most, else the smallest margin. */
const char *sheet_verdict_reason(const struct check_sheet *s)
{
    struct sheet *sheet = s->sheet;
    const struct sm_result *result = s->result;
    if (result->verdict == SM_REJECT && result->reasons.count > 0) {
        const struct sm_note *reason = &result->reasons.list[reason_first(&result->reasons)];
        return sheet_format(sheet, "Rejected: %s.", sheet_note(sheet, reason));
    }
    if (result->n_points == 0) {
        return "No test frequency was computed.";
    }
    const struct sm_point *worst = &result->points[result->worst_point];
    const double required = s->c->drive->test.required_margin;
    return sheet_format(sheet,
                        "The junctions stay cool enough: the smallest margin is %s at %s, set by "
                        "the %s; %s must be left.",
                        sheet_beside(sheet, result->margin, required, "K"),
                        sheet_quantity(sheet, worst->output_hz, "Hz"),
                        word_chip_title(worst->worst),
                        sheet_beside(sheet, required, result->margin, "K"));
}

/* How many points a person must settle, and where they stand. */
static const char *verdict_conditions(const struct check_sheet *s)
{
    const size_t n = s->result->conditions.count;
    if (n == 0) {
        return "";
    }
    return sheet_format(s->sheet, " %zu point%s %sto be settled by a person first: see \"%s\".", n,
                        n == 1 ? "" : "s",
                        s->result->verdict == SM_REJECT ? "would also have "
                        : n == 1                        ? "has "
                                                        : "have ",
                        SHEET_TO_SETTLE);
}

void sheet_verdict(const struct check_sheet *s)
{
    headline(s);
    (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "",
                    sheet_format(s->sheet, "%s%s", sheet_verdict_reason(s), verdict_conditions(s)));
    if (s->result->reasons.count < 2) {
        return;
    }
    struct sheet_block *more = sheet_add(s->sheet, SHEET_BULLETS, "", "");
    const size_t told = reason_first(&s->result->reasons);
    for (size_t i = 0; i < s->result->reasons.count; i++) {
        if (i != told) {
            sheet_item(s->sheet, more, "", sheet_note(s->sheet, &s->result->reasons.list[i]));
        }
    }
}

/* ------------------------------------------------------------------ facts */

const char *sheet_joint_words(struct sheet *sheet, const struct sm_joint_result *joint)
{
    const char *rth =
        joint->form == SM_JOINT_MODULE
            ? sheet_format(sheet, "%s per module", sheet_quantity(sheet, joint->rth_module, "K/W"))
            : sheet_format(sheet, "%s per IGBT, %s per diode",
                           sheet_quantity(sheet, joint->rth_switch[SM_IGBT], "K/W"),
                           sheet_quantity(sheet, joint->rth_switch[SM_DIODE], "K/W"));
    if (!joint->layer_used || !joint->thickness.given || !joint->conductivity.given) {
        return sheet_format(sheet, "%s, as printed in the module file", rth);
    }
    return sheet_format(sheet, "%s: a layer of %s with %s, covering %s of the base", rth,
                        sheet_quantity(sheet, joint->thickness.value, "um"),
                        sheet_quantity(sheet, joint->conductivity.value, "W/(m.K)"),
                        sheet_quantity(sheet, joint->coverage, "%"));
}

static const char *files_words(const struct check_sheet *s)
{
    const char *const files[] = { s->c->drive->file, s->c->module->file,
                                  s->c->original ? s->c->original->file : NULL,
                                  s->c->drive->joint_file };
    struct sm_text text;
    sm_text_init(&text);
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        if (files[i]) {
            sm_text_add(&text, "%s%s", text.length > 0 ? ", " : "", files[i]);
        }
    }
    return sheet_take(s->sheet, &text);
}

void sheet_facts(const struct check_sheet *s, bool files_too)
{
    struct sheet *sheet = s->sheet;
    const struct sm_module *module = s->c->module;
    const struct sm_drive *drive = s->c->drive;
    struct sheet_block *block = sheet_add(sheet, SHEET_FACTS, "", "");
    const char *maker = module->maker ? module->maker : "";
    sheet_item(sheet, block, "Module",
               sheet_format(
                   sheet, "%s%s%s, %s, %d in the drive", module->part, maker[0] != '\0' ? ", " : "",
                   maker, word_circuit((enum sm_circuit)module->circuit), s->result->module_count));
    sheet_item(sheet, block, "Joint", sheet_joint_words(sheet, &s->result->joint));
    sheet_item(sheet, block, "Heatsink",
               sheet_format(sheet, "%s to the air entering it at %s",
                            sheet_quantity(sheet, s->result->rth_sa, "K/W"),
                            sheet_quantity(sheet, drive->cooling.ambient, "degC")));
    if (s->result->comparison.original) {
        sheet_item(sheet, block, "Original", sheet_original_fact(s));
    }
    if (files_too) {
        sheet_item(sheet, block, "Read from", files_words(s));
    }
    const size_t n = s->result->warnings.count;
    if (n > 0) {
        sheet_item(
            sheet, block, "Warnings",
            sheet_format(sheet, "%zu on what the module files say: see \"" SHEET_UNLIKELY "\"", n));
    }
}

/* ------------------------------------------------------------------ lists */

void sheet_assumptions(const struct check_sheet *s)
{
    const struct sm_notes *notes = &s->result->notes;
    if (notes->count == 0) {
        return;
    }
    (void)sheet_add(s->sheet, SHEET_HEADING, "Assumptions and notes", "assumptions");
    struct sheet_block *block = sheet_add(s->sheet, SHEET_BULLETS, "", "");
    for (size_t i = 0; i < notes->count; i++) {
        sheet_item(s->sheet, block, "", sheet_note(s->sheet, &notes->list[i]));
    }
}

/* What asks for the part in hand, and the key under [confirmed] for it. */
static bool settled_by_hand(enum sm_note_id id)
{
    return id == SM_NOTE_HAND_THERMISTOR || id == SM_NOTE_HAND_OUTLINE ||
           id == SM_NOTE_HAND_PINOUT || id == SM_NOTE_HAND_SET_OF_THREE ||
           id == SM_NOTE_HAND_SAME_LOT;
}

/* The ways in which a point is settled, in the order of the sheet, and what introduces them. */
enum settle { SETTLE_STORY, SETTLE_BY_HAND, SETTLE_MISSING, SETTLE_COUNT };

static const char *const settle_words[SETTLE_COUNT] = { "", BY_HAND, NOT_CHECKED };

static enum settle settle_of(const struct sm_note *note)
{
    if (settled_by_hand(note->id)) {
        return SETTLE_BY_HAND;
    }
    return note->id == SM_NOTE_NOT_CHECKED ? SETTLE_MISSING : SETTLE_STORY;
}

/* A check without data: what it is and which keys it lacks; the rest has been said above it. */
static const char *missing_words(struct sheet *sheet, const struct sm_note *note)
{
    struct sm_text text;
    sm_text_init(&text);
    phrase_template(&text, "{text}: {keys}", note, true);
    return sheet_take(sheet, &text);
}

static void conditions_list(const struct check_sheet *s, enum settle way)
{
    const struct sm_notes *notes = &s->result->conditions;
    struct sheet_block *block = NULL;
    for (size_t i = 0; i < notes->count; i++) {
        const struct sm_note *note = &notes->list[i];
        if (settle_of(note) != way) {
            continue;
        }
        if (!block && settle_words[way][0] != '\0') {
            (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "", settle_words[way]);
        }
        block = block ? block : sheet_add(s->sheet, SHEET_TICKS, "", "");
        sheet_item(s->sheet, block, "",
                   way == SETTLE_MISSING ? missing_words(s->sheet, note)
                                         : sheet_note(s->sheet, note));
    }
}

void sheet_conditions(const struct check_sheet *s)
{
    if (s->result->conditions.count > 0) {
        (void)sheet_add(s->sheet, SHEET_HEADING, SHEET_TO_SETTLE, "settle");
        for (int way = 0; way < SETTLE_COUNT; way++) {
            conditions_list(s, (enum settle)way);
        }
    }
}

void sheet_cautions(struct sheet *sheet)
{
    (void)sheet_add(sheet, SHEET_HEADING, "Before anybody touches the drive", "cautions");
    struct sheet_block *block = sheet_add(sheet, SHEET_BULLETS, "", "");
    for (size_t i = 0; i < word_caution_count(); i++) {
        sheet_item(sheet, block, "", word_caution(i));
    }
}

void sheet_sign(const struct check_sheet *s)
{
    static const char *const fields[] = { "Name", "Date", "Drive serial no.", "Module lot no.",
                                          "Signature" };
    (void)sheet_add(s->sheet, SHEET_HEADING, "Settled and signed", "sign");
    struct sheet_block *block = sheet_add(s->sheet, SHEET_SIGN, "", "");
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        sheet_item(s->sheet, block, fields[i], "");
    }
}

void sheet_check(struct sheet *sheet, const struct sm_case *c, const struct sm_result *result)
{
    const struct check_sheet s = { sheet, c, result };
    sheet_verdict(&s);
    sheet_facts(&s, true);
    sheet_margins(&s);
    sheet_path(&s);
    sheet_losses(&s);
    sheet_operation(&s);
    sheet_extremes(&s);
    sheet_limits(&s);
    sheet_checks(&s);
    sheet_original(&s);
    sheet_warnings(&s);
    sheet_conditions(&s);
    inputs_defaults(sheet, c);
    sheet_assumptions(&s);
    sheet_cautions(sheet);
    sheet_sign(&s);
    made_from_sheet(sheet, c);
}
