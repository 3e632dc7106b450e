/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Numbers of the files: the fields behind the keys that formulas use. */
#include "explain/builder.h"
#include "quantity/units.h"

#include <math.h>

enum leaf_kind { LEAF_NUMBER, LEAF_OPTIONAL, LEAF_WHOLE, LEAF_OTHER };

/* Only these kinds of key are single numbers; the rows of lists and curves are told one by one. */
#define KIND_NUMBER LEAF_NUMBER
#define KIND_OPTIONAL LEAF_OPTIONAL
#define KIND_WHOLE LEAF_WHOLE
#define KIND_WORD LEAF_OTHER
#define KIND_TEXT LEAF_OTHER
#define KIND_LIST LEAF_OTHER
#define KIND_ROWS LEAF_OTHER
#define KIND_YES LEAF_OTHER

struct leaf_row {
    const char *section, *key;
    enum leaf_kind kind;
    enum sm_dimension dimension;
    const char *meaning;
    size_t offset; /* of the field */
};

#define LEAF_ROW(type, section, key, field, kind, dimension, need, fallback, min, max, unit,       \
                 extra, meaning)                                                                   \
    {                                                                                              \
        section, key, KIND_##kind, SM_DIM_##dimension, meaning, offsetof(type, field)              \
    }

static const struct leaf_row drive_rows[SM_DRIVE_KEY_COUNT] = {
#define KEY(id, ...) [SM_DRIVE_##id] = LEAF_ROW(struct sm_drive, __VA_ARGS__),
#include "swapmargin/keys_drive.def"
#undef KEY
};

static const struct leaf_row module_rows[SM_MODULE_KEY_COUNT] = {
#define KEY(id, ...) [SM_MODULE_##id] = LEAF_ROW(struct sm_module, __VA_ARGS__),
#include "swapmargin/keys_module.def"
#undef KEY
};

static const char *key_name(struct builder *b, const struct leaf_row *row)
{
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "[%s] %s", row->section, row->key);
    return keep(b, &text);
}

const char *drive_key_name(struct builder *b, enum sm_drive_key key)
{
    return key_name(b, &drive_rows[key]);
}

const char *module_key_name(struct builder *b, enum sm_module_key key)
{
    return key_name(b, &module_rows[key]);
}

/* The unit that expressions evaluate in: SI, but degrees for absolute temperatures. */
static const char *printed_unit(enum sm_dimension dimension)
{
    if (dimension == SM_DIM_TEMPERATURE)
        return "degC";
    for (size_t i = 0; dimension != SM_DIM_NONE && i < unit_count(); i++) {
        const struct unit *unit = unit_at(i);
        if (!unit->foreign && unit->dimension == dimension && fabs(unit->factor - 1.0) <= 0.0 &&
            fabs(unit->offset) <= 0.0)
            return unit->symbol;
    }
    return "";
}

/* The circuit is a word that stands for a number of switches. */
static double field_value(const struct builder *b, const struct symbol_row *symbol,
                          const struct leaf_row *row)
{
    const char *base = symbol->drive ? (const char *)b->c->drive : (const char *)b->c->module;
    const void *field = base + row->offset;
    switch (row->kind) {
    case LEAF_NUMBER:
        return *(const double *)field;
    case LEAF_OPTIONAL:
        return ((const struct sm_optional *)field)->value;
    case LEAF_WHOLE:
        return *(const int *)field;
    case LEAF_OTHER:
        break;
    }
    return sm_module_switches(b->c->module);
}

/* A value of a table that the program read names the table's row: the compound. */
static const char *leaf_note(struct builder *b, const struct symbol_row *symbol,
                             const struct sm_origin *origin)
{
    if (!symbol->drive || origin->kind != SM_ORIGIN_DERIVED)
        return NULL;
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "row %s", b->c->drive->joint.compound);
    return keep(b, &text);
}

const char *drive_key_meaning(enum sm_drive_key key)
{
    return drive_rows[key].meaning;
}

const char *drive_key_unit(enum sm_drive_key key)
{
    return printed_unit(drive_rows[key].dimension);
}

static size_t key_step(struct builder *b, const struct symbol_row *symbol, int key)
{
    const struct leaf_row *row = symbol->drive ? &drive_rows[key] : &module_rows[key];
    const struct sm_origin *origin =
        symbol->drive ? &b->c->drive->origin[key] : &b->c->module->origin[key];
    const char *name = key_name(b, row);
    const char *unit = printed_unit(row->dimension);
    size_t i = 0;
    if (step_named(b, name, &i))
        return i;
    struct sm_step *step = &b->steps[i];
    step->kind = SM_STEP_INPUT;
    step->symbol = symbol->symbol;
    step->unit = unit;
    step->meaning = row->meaning;
    step->given = true;
    step->value = field_value(b, symbol, row);
    if (row->dimension == SM_DIM_TEMPERATURE)
        (void)sm_quantity_to_unit(step->value, unit, &step->value);
    step->origin = *origin;
    step->key = name;
    step->note = leaf_note(b, symbol, origin);
    return i;
}

size_t leaf_step(struct builder *b, const struct symbol_row *symbol, const struct where *w)
{
    const int key = symbol->key[w->chip];
    if (symbol->drive && key == w->variant->changed)
        return quantity_step(b, QUANTITY_VARIED, w);
    return key_step(b, symbol, key);
}
