/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The datasheet's curves: the points with their lines in the file, the slopes in them, and what the
 * drive makes of the energies. */
#include "base/maths.h"
#include "explain/builder.h"

#include <string.h>

/* ------------------------------------------------------------ what w means */

const struct sm_rows *curve_rows(const struct builder *b, const struct where *w)
{
    const struct sm_module *m = b->c->module;
    if (!w->switching)
        return w->chip == SM_IGBT ? &m->igbt_conduction.voltage : &m->diode_conduction.voltage;
    if (w->chip == SM_DIODE)
        return &m->diode_recovery.e_rr;
    return w->energy == ENERGY_FIRST ? &m->igbt_switching.e_on : &m->igbt_switching.e_off;
}

enum sm_module_key curve_key(const struct where *w)
{
    if (!w->switching)
        return w->chip == SM_IGBT ? SM_MODULE_VCE_SAT : SM_MODULE_VF;
    if (w->chip == SM_DIODE)
        return SM_MODULE_E_RR;
    return w->energy == ENERGY_FIRST ? SM_MODULE_E_ON : SM_MODULE_E_OFF;
}

static const struct sm_switching *switching_of(const struct ask *ask)
{
    const struct sm_module *m = ask->b->c->module;
    return ask->w.chip == SM_IGBT ? &m->igbt_switching : &m->diode_recovery;
}

/* The currents that the curve's points stand at, and their key. */
static const struct sm_list *curve_currents(const struct ask *ask, enum sm_module_key *key)
{
    const struct sm_module *m = ask->b->c->module;
    const bool igbt = ask->w.chip == SM_IGBT;
    if (ask->w.switching) {
        *key = igbt ? SM_MODULE_IGBT_SWITCHING_CURRENT : SM_MODULE_DIODE_RECOVERY_CURRENT;
        return &switching_of(ask)->current;
    }
    *key = igbt ? SM_MODULE_IGBT_CONDUCTION_CURRENT : SM_MODULE_DIODE_CONDUCTION_CURRENT;
    return igbt ? &m->igbt_conduction.current : &m->diode_conduction.current;
}

/* --------------------------------------------------------------- one curve */

/* A list of a file as a column. */
struct read_list {
    const struct sm_list *list;
    enum sm_module_key key;
    int line;    /* 0: the key's own */
    bool origin; /* a 0 stands before the first value */
};

static const char *after_zero(struct builder *b, const char *key)
{
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "%s, behind an added 0", key);
    return keep(b, &text);
}

static double *say_list(const struct ask *ask, enum column column, const struct read_list *read,
                        const char *unit)
{
    struct column_from from = { .origin = ask->b->c->module->origin[read->key],
                                .key = module_key_name(ask->b, read->key) };
    if (read->line > 0)
        from.origin.line = read->line;
    if (read->origin)
        from.key = after_zero(ask->b, from.key);
    double *values = say_column(ask, column, &from, unit);
    if (values)
        memcpy(values + (read->origin ? 1 : 0), read->list->v, read->list->n * sizeof *values);
    return values;
}

/* What a curve's table is made of. */
struct curve_table {
    struct read_list x, y;
    const char *x_unit, *y_unit, *slope_unit;
    double lead_resistance; /* ohm  taken off; 0 as a rule */
    bool terminal;
};

static void add_slopes(const struct ask *ask, const struct curve_table *table, const double *y,
                       const struct curve *curve)
{
    const size_t last = curve->n - 1;
    const struct column_from distance = { .computed = true, .formula = FORMULA_CURVE_DISTANCE };
    const struct column_from secant = { .computed = true, .formula = FORMULA_CURVE_SECANT };
    const struct column_from slope = { .computed = true, .formula = FORMULA_CURVE_SLOPE };
    double *h = say_column(ask, COLUMN_POINT_H, &distance, table->x_unit);
    double *q = say_column(ask, COLUMN_POINT_Q, &secant, table->slope_unit);
    double *s = say_column(ask, COLUMN_POINT_S, &slope, table->slope_unit);
    for (size_t j = 0; h && q && s && j < curve->n; j++) {
        const size_t k = j < last ? j : last - 1;
        h[j] = curve->x[k + 1] - curve->x[k];
        q[j] = (y[k + 1] - y[k]) / h[j];
        s[j] = curve->piece[j + 1].c[1]; /* the piece that begins in the point */
    }
}

static void say_curve(const struct ask *ask, const struct curve_table *table, enum formula formula)
{
    const size_t extra = table->x.origin ? 1 : 0, n = table->x.list->n + extra;
    say_function(ask, formula);
    say_rows(ask, n);
    const double *x = say_list(ask, COLUMN_POINT_X, &table->x, table->x_unit);
    double *y =
        say_list(ask, table->terminal ? COLUMN_POINT_T : COLUMN_POINT_Y, &table->y, table->y_unit);
    if (!x || !y)
        return;
    if (table->terminal) {
        const double *y_t = y;
        const struct column_from from = { .computed = true, .formula = FORMULA_CURVE_CHIP_LEVEL };
        y = say_column(ask, COLUMN_POINT_Y, &from, table->y_unit);
        for (size_t j = 0; y && j < n; j++)
            y[j] = y_t[j] - table->lead_resistance * x[j];
    }
    const struct curve curve =
        y ? curve_build(ask->b->arena, x, y, n, false) : (struct curve){ .n = 0 };
    if (curve.n == n)
        add_slopes(ask, table, y, &curve);
}

/* Energies pass through (0 A, 0 J), which is added where the table does not start there. */
static void tell_curve(const struct ask *ask)
{
    const struct sm_module *m = ask->b->c->module;
    const struct sm_row *row = &curve_rows(ask->b, &ask->w)->row[ask->w.k];
    struct curve_table table = { .x_unit = "A" };
    table.x.list = curve_currents(ask, &table.x.key);
    table.x.origin = ask->w.switching && table.x.list->v[0] > 0.0;
    table.y = (struct read_list){ &row->values, curve_key(&ask->w), row->line, table.x.origin };
    table.y_unit = ask->w.switching ? "J" : "V";
    table.slope_unit = ask->w.switching ? "J/A" : "V/A";
    table.terminal = !ask->w.switching && m->curves == SM_CURVES_TERMINAL;
    table.lead_resistance = m->lead_resistance;
    say_curve(ask, &table, ask->w.switching ? FORMULA_CURVE_ENERGY : FORMULA_CURVE_VOLTAGE);
}

/* --------------------------------------------------------- gate resistors */

struct resistor {
    const struct sm_optional *used, *test;
    const struct sm_list *rg, *energy;
    enum sm_module_key rg_key, energy_key;
};

static struct resistor resistor_of(const struct ask *ask)
{
    const struct sm_drive_gate *gate = &ask->b->c->drive->gate;
    const struct sm_switching *igbt = &ask->b->c->module->igbt_switching;
    const struct sm_switching *diode = &ask->b->c->module->diode_recovery;
    if (ask->w.chip == SM_DIODE)
        return (struct resistor){ &gate->rg_on,    &igbt->test_rg_on,  &diode->rg,
                                  &diode->e_rr_rg, SM_MODULE_DIODE_RG, SM_MODULE_E_RR_RG };
    if (ask->w.energy == ENERGY_FIRST)
        return (struct resistor){ &gate->rg_on,   &igbt->test_rg_on, &igbt->rg,
                                  &igbt->e_on_rg, SM_MODULE_IGBT_RG, SM_MODULE_E_ON_RG };
    return (struct resistor){ &gate->rg_off,   &igbt->test_rg_off, &igbt->rg,
                              &igbt->e_off_rg, SM_MODULE_IGBT_RG,  SM_MODULE_E_OFF_RG };
}

static void tell_resistor_curve(const struct ask *ask)
{
    const struct resistor r = resistor_of(ask);
    const struct curve_table table = { .x = { r.rg, r.rg_key, 0, false },
                                       .y = { r.energy, r.energy_key, 0, false },
                                       .x_unit = "ohm",
                                       .y_unit = "J",
                                       .slope_unit = "J/ohm" };
    say_curve(ask, &table, FORMULA_CURVE_RESISTOR);
}

static void tell_factor(const struct ask *ask)
{
    const struct resistor r = resistor_of(ask);
    enum formula formula = FORMULA_FACTOR_BUS;
    if (r.rg->n > 1 && r.used->given && r.test->given && !same_number(r.used->value, r.test->value))
        formula = ask->w.chip == SM_IGBT && ask->w.energy == ENERGY_SECOND ? FORMULA_FACTOR_BUS_OFF
                                                                           : FORMULA_FACTOR_BUS_ON;
    say_value(ask, ask->b->base.stage.device[ask->w.chip].energy[ask->w.energy].factor, formula);
}

/* ------------------------------------------------------------ the families */

static void tell_energy(const struct ask *ask)
{
    const bool one_current = switching_of(ask)->current.n == 1;
    const bool one_temperature = curve_rows(ask->b, &ask->w)->n == 1;
    if (one_current)
        say_function(ask, one_temperature ? FORMULA_ENERGY_ONE_POINT : FORMULA_ENERGY_ONE_CURRENT);
    else
        say_function(ask, one_temperature ? FORMULA_ENERGY_ONE_TEMPERATURE : FORMULA_FAMILY);
}

static void tell_row(const struct ask *ask)
{
    const struct sm_row *row = &curve_rows(ask->b, &ask->w)->row[ask->w.k];
    const enum sm_module_key key = curve_key(&ask->w);
    struct sm_origin origin = ask->b->c->module->origin[key];
    origin.line = row->line;
    say_input(ask, ask->q == QUANTITY_ROW_TEMPERATURE ? row->at : row->values.v[0], &origin,
              module_key_name(ask->b, key));
}

static void tell_current(const struct ask *ask)
{
    enum sm_module_key key = SM_MODULE_KEY_COUNT;
    const struct sm_list *current = curve_currents(ask, &key);
    say_input(ask, current->v[0], &ask->b->c->module->origin[key], module_key_name(ask->b, key));
}

/* The key that a Foster term's resistance or time constant was read from: without Foster terms
 * rth_jc and tau_jc stand in for one. */
static enum sm_module_key term_key(const struct ask *ask, bool resistance, bool *stands_in)
{
    static const enum sm_module_key keys[2][2][SM_CHIP_COUNT] = {
        { { SM_MODULE_IGBT_FOSTER_TAU, SM_MODULE_DIODE_FOSTER_TAU },
          { SM_MODULE_IGBT_TAU_JC, SM_MODULE_DIODE_TAU_JC } },
        { { SM_MODULE_IGBT_FOSTER_R, SM_MODULE_DIODE_FOSTER_R },
          { SM_MODULE_IGBT_RTH_JC, SM_MODULE_DIODE_RTH_JC } },
    };
    const enum sm_module_key foster = keys[resistance][0][ask->w.chip];
    *stands_in = ask->b->c->module->origin[foster].kind != SM_ORIGIN_GIVEN;
    return keys[resistance][*stands_in][ask->w.chip];
}

static void tell_term_input(const struct ask *ask)
{
    const bool resistance = ask->q == QUANTITY_FOSTER_R;
    bool stands_in = false;
    const enum sm_module_key key = term_key(ask, resistance, &stands_in);
    const struct sm_list *list = resistance ? ask->b->base.stage.foster_r[ask->w.chip]
                                            : ask->b->base.stage.foster_tau[ask->w.chip];
    struct sm_text name;
    sm_text_init(&name);
    sm_text_add(&name, "%s", module_key_name(ask->b, key));
    if (!stands_in)
        sm_text_add(&name, ", value %zu", ask->w.k + 1);
    say_input(ask, list->v[ask->w.k], &ask->b->c->module->origin[key], keep(ask->b, &name));
}

void tell_device(const struct ask *ask)
{
    const struct sm_list *r = ask->b->base.stage.foster_r[ask->w.chip];
    switch ((int)ask->q) {
    case QUANTITY_R_JC:
        say_value(ask, foster_sum(r->v, r->n), FORMULA_R_JC);
        break;
    case QUANTITY_FOSTER_R:
    case QUANTITY_FOSTER_TAU:
        tell_term_input(ask);
        break;
    case QUANTITY_VOLTAGE:
        say_function(ask, FORMULA_FAMILY);
        break;
    case QUANTITY_ENERGY:
        tell_energy(ask);
        break;
    case QUANTITY_ENERGY_FACTOR:
        tell_factor(ask);
        break;
    case QUANTITY_CURVE:
        tell_curve(ask);
        break;
    case QUANTITY_RESISTOR_CURVE:
        tell_resistor_curve(ask);
        break;
    case QUANTITY_ROW_CURRENT:
        tell_current(ask);
        break;
    default:
        tell_row(ask);
        break;
    }
}
