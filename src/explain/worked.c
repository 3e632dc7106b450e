/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One node's voltage and energies worked out from the datasheet's points. */
#include "explain/builder.h"
#include "base/text.h"
#include "swapmargin/quantity.h"

#include <string.h>

static const double *column_of(const struct sm_step *step, const char *symbol)
{
    for (size_t k = 0; k < step->n_columns; k++)
        if (strcmp(step->columns[k].symbol, symbol) == 0)
            return step->columns[k].values;
    return NULL;
}

/* A curve's points as they are printed. */
struct points {
    const double *x, *y, *s;
    size_t n;
};

static void add(struct sm_text *out, const char *before, double number)
{
    char text[40];
    sm_number_format(text, sizeof text, number, SM_EXPLAIN_DIGITS);
    sm_text_add(out, number < 0.0 ? "%s(%s)" : "%s%s", before, text);
}

/* The straight line through a point with its slope. */
static double line_words(const struct points *p, size_t k, double x, struct sm_text *out)
{
    add(out, "", p->y[k]);
    add(out, " + ", p->s[k]);
    add(out, " * (", x);
    add(out, " - ", p->x[k]);
    sm_text_add(out, ")");
    return p->y[k] + p->s[k] * (x - p->x[k]);
}

/* The cubic between points k and k + 1, by its values and slopes there; t is told behind it. */
static double cubic_words(const struct points *p, size_t k, double x, struct sm_text *out)
{
    const double d = p->x[k + 1] - p->x[k], t = (x - p->x[k]) / d, u = 1.0 - t;
    add(out, "", p->y[k]);
    add(out, " * (1 + 2 * t) * (1 - t)^2 + ", d);
    add(out, " * ", p->s[k]);
    add(out, " * t * (1 - t)^2 + ", p->y[k + 1]);
    add(out, " * t^2 * (3 - 2 * t) - ", d);
    add(out, " * ", p->s[k + 1]);
    sm_text_add(out, " * t^2 * (1 - t)");
    return p->y[k] * (1.0 + 2.0 * t) * u * u + d * p->s[k] * t * u * u +
           p->y[k + 1] * t * t * (3.0 - 2.0 * t) - d * p->s[k + 1] * t * t * u;
}

static void add_t(const struct points *p, size_t k, double x, struct sm_text *out)
{
    add(out, ", with t = (", x);
    add(out, " - ", p->x[k]);
    add(out, ") / ", p->x[k + 1] - p->x[k]);
}

/* not_below: 0 V for a voltage. */
static void curve_work_out(struct builder *b, size_t step, double x, bool not_below)
{
    const struct sm_step *s = &b->steps[step];
    const struct points p = { column_of(s, "x"), column_of(s, "y"), column_of(s, "s"), s->n_rows };
    struct sm_text words, out;
    if (b->arena->failed || s->worked || !p.x || !p.y || !p.s)
        return;
    sm_text_init(&words);
    sm_text_init(&out);
    size_t k = 0;
    while (k + 1 < p.n && p.x[k + 1] <= x)
        k++;
    const bool between = x > p.x[0] && k + 1 < p.n;
    const double value = between ? cubic_words(&p, k, x, &words) : line_words(&p, k, x, &words);
    const bool floor = not_below && value < 0.0;
    sm_text_add(&out, floor ? "max(%s, 0)" : "%s", text_words(&words));
    add(&out, " = ", floor ? 0.0 : value);
    if (between)
        add_t(&p, k, x, &out);
    text_close(&words, &out.out_of_memory);
    b->steps[step].worked = keep(b, &out);
    b->steps[step].worked_value = floor ? 0.0 : value;
}

static void family_work_out(struct builder *b, enum quantity q, const struct where *w,
                            const struct function_place *place, double value)
{
    const size_t family = quantity_step(b, q, w);
    struct where row = *w;
    if (b->arena->failed || b->steps[family].worked)
        return;
    const bool curves =
        !w->switching || !b->base.stage.device[w->chip].energy[w->energy].single_point;
    for (row.k = 0; curves && row.k < curve_rows(b, w)->n; row.k++)
        curve_work_out(b, quantity_step(b, QUANTITY_CURVE, &row), place->i, !w->switching);
    if (!b->arena->failed)
        function_work_out(b, family, place, value);
}

void curves_work_out(struct builder *b, const struct where *w, double i, double t)
{
    const struct device *device = &b->base.stage.device[w->chip];
    struct function_place place = { .symbol = quantity_row(QUANTITY_VOLTAGE)->symbol, .i = i };
    struct where own = *w;
    (void)sm_quantity_to_unit(t, "degC", &place.t);
    own.switching = false;
    family_work_out(b, QUANTITY_VOLTAGE, &own, &place, device_voltage(device, i, t));
    own.switching = true;
    place.symbol = quantity_row(QUANTITY_ENERGY)->symbol;
    for (int e = 0; e < ENERGY_COUNT; e++) {
        own.energy = (enum energy_kind)e;
        if (device->energy[e].present)
            family_work_out(b, QUANTITY_ENERGY, &own, &place,
                            device_energy(device, own.energy, i, t) / device->energy[e].factor);
    }
}
