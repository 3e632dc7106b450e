/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "device/device.h"

#include "base/maths.h"
#include "device/segment.h"

#include <math.h>
#include <string.h>

/* K: how far apart the two knots stand where the loss is one straight line in temperature anyway.
 */
#define KNOT_SPAN 100.0

/* ------------------------------------------------------------ building */

static struct family voltage_build(struct arena *arena, const struct sm_conduction *conduction,
                                   double lead_resistance)
{
    const size_t n_t = conduction->voltage.n;
    const size_t n_i = conduction->current.n;
    double *t = arena_doubles(arena, n_t);
    struct curve *curve = arena_bytes(arena, n_t * sizeof *curve);
    double *chip_level = arena_doubles(arena, n_i);
    if (!t || !curve || !chip_level)
        return (struct family){ .n = 0 };
    for (size_t k = 0; k < n_t; k++) {
        const struct sm_row *row = &conduction->voltage.row[k];
        for (size_t j = 0; j < n_i; j++)
            chip_level[j] = row->values.v[j] - lead_resistance * conduction->current.v[j];
        t[k] = row->at;
        curve[k] = curve_build(arena, conduction->current.v, chip_level, n_i, false);
    }
    return (struct family){ .n = n_t, .t = t, .curve = curve };
}

double gate_resistor_factor(struct arena *arena, const struct sm_list *rg,
                            const struct sm_list *e_rg, double r_used, double r_test)
{
    const struct curve curve = curve_build(arena, rg->v, e_rg->v, rg->n, false);
    if (curve.n == 0)
        return 1.0;
    return curve_at(&curve, r_used) / curve_at(&curve, r_test);
}

static struct energy energy_build(struct arena *arena, const struct sm_switching *switching,
                                  const struct sm_rows *rows, double factor)
{
    const struct sm_list *current = &switching->current;
    struct energy energy = {
        .present = true,
        .single_point = current->n == 1,
        .current_exponent = switching->current_exponent,
        .temperature_coefficient = switching->temperature_coefficient,
        .factor = factor,
    };
    double *t = arena_doubles(arena, rows->n);
    double *e_ref = arena_doubles(arena, rows->n);
    struct curve *curve = arena_bytes(arena, rows->n * sizeof *curve);
    if (!t || !e_ref || !curve)
        return energy;
    for (size_t k = 0; k < rows->n; k++) {
        t[k] = rows->row[k].at;
        e_ref[k] = rows->row[k].values.v[current->n - 1];
        if (!energy.single_point)
            curve[k] = curve_build(arena, current->v, rows->row[k].values.v, current->n, true);
    }
    energy.i_ref = current->v[current->n - 1];
    energy.e_ref = e_ref;
    energy.family = (struct family){ .n = rows->n, .t = t, .curve = curve };
    return energy;
}

static double bus_factor(const struct sm_switching *switching, double v_dc)
{
    return pow(v_dc / switching->test_voltage, switching->voltage_exponent);
}

/* 1 when the resistor is not known or no table says how the energy follows it: told as a condition.
 */
static double resistor_factor(struct arena *arena, const struct sm_list *rg,
                              const struct sm_list *e_rg, const struct sm_optional *used,
                              const struct sm_optional *test)
{
    if (rg->n < 2 || !used->given || !test->given || same_number(used->value, test->value))
        return 1.0;
    return gate_resistor_factor(arena, rg, e_rg, used->value, test->value);
}

static void energies_build(struct arena *arena, const struct sm_module *module,
                           const struct switching_use *use, struct device *device)
{
    const struct sm_switching *igbt = &module->igbt_switching;
    const struct sm_switching *diode = &module->diode_recovery;
    if (device->kind == SM_IGBT) {
        const double bus = bus_factor(igbt, use->v_dc);
        const double on =
            resistor_factor(arena, &igbt->rg, &igbt->e_on_rg, &use->rg_on, &igbt->test_rg_on);
        const double off =
            resistor_factor(arena, &igbt->rg, &igbt->e_off_rg, &use->rg_off, &igbt->test_rg_off);
        device->energy[ENERGY_FIRST] = energy_build(arena, igbt, &igbt->e_on, bus * on);
        device->energy[ENERGY_SECOND] = energy_build(arena, igbt, &igbt->e_off, bus * off);
    } else {
        const double on =
            resistor_factor(arena, &diode->rg, &diode->e_rr_rg, &use->rg_on, &igbt->test_rg_on);
        device->energy[ENERGY_FIRST] =
            energy_build(arena, diode, &diode->e_rr, bus_factor(diode, use->v_dc) * on);
    }
}

/* Adds a value to a rising list unless it stands there. */
static size_t insert_sorted(double *list, size_t n, double value)
{
    size_t at = n;
    while (at > 0 && list[at - 1] > value)
        at--;
    if ((at > 0 && same_number(list[at - 1], value)) || (at < n && same_number(list[at], value)))
        return n;
    memmove(list + at + 1, list + at, (n - at) * sizeof *list);
    list[at] = value;
    return n + 1;
}

static void knots_build(struct arena *arena, struct device *device)
{
    size_t room = device->voltage.n + 2;
    for (size_t m = 0; m < ENERGY_COUNT; m++)
        room += device->energy[m].family.n;
    double *knot = arena_doubles(arena, room);
    if (!knot)
        return;
    size_t n = 0;
    /* one row alone is a straight line in temperature: it bends nothing */
    for (size_t k = 0; device->voltage.n > 1 && k < device->voltage.n; k++)
        n = insert_sorted(knot, n, device->voltage.t[k]);
    for (size_t m = 0; m < ENERGY_COUNT; m++) {
        const struct family *family = &device->energy[m].family;
        for (size_t k = 0; family->n > 1 && k < family->n; k++)
            n = insert_sorted(knot, n, family->t[k]);
    }
    if (n == 0) {
        knot[0] = device->voltage.t[0];
        knot[1] = knot[0] + KNOT_SPAN;
        n = 2;
    }
    device->t_knot = knot;
    device->n_knots = n;
}

static size_t curve_breaks(double *list, size_t n, const struct curve *curve)
{
    for (size_t j = 0; j < curve->n; j++)
        if (curve->x[j] > 0.0)
            n = insert_sorted(list, n, curve->x[j]);
    return n;
}

/* Where the straight line below a voltage curve's first point meets 0 V. */
static size_t zero_crossing(double *list, size_t n, const struct curve *curve)
{
    const struct curve_piece *line = &curve->piece[0];
    if (line->c[1] <= 0.0)
        return n;
    const double i_zero = line->from - line->c[0] / line->c[1];
    return i_zero > 0.0 && i_zero < curve->x[0] ? insert_sorted(list, n, i_zero) : n;
}

static void breaks_build(struct arena *arena, struct device *device)
{
    size_t room = 2 * device->voltage.n + device->voltage.curve[0].n;
    for (size_t m = 0; m < ENERGY_COUNT; m++)
        if (device->energy[m].family.curve)
            room += device->energy[m].family.curve[0].n;
    double *list = arena_doubles(arena, room);
    if (!list)
        return;
    size_t n = curve_breaks(list, 0, &device->voltage.curve[0]);
    for (size_t k = 0; k < device->voltage.n; k++)
        n = zero_crossing(list, n, &device->voltage.curve[k]);
    for (size_t m = 0; m < ENERGY_COUNT; m++) {
        const struct energy *energy = &device->energy[m];
        if (energy->single_point)
            device->power_law = true;
        else if (energy->family.curve)
            n = curve_breaks(list, n, &energy->family.curve[0]);
    }
    device->i_break = list;
    device->n_breaks = n;
}

/* The row or the two rows that count at a temperature. */
static struct blend blend_at(const struct family *family, double t)
{
    if (family->n == 1)
        return (struct blend){ .row = 0, .low = 1.0 };
    const size_t k = segment_of(family->t, family->n, t);
    for (size_t row = k; row <= k + 1; row++)
        if (same_number(t, family->t[row]))
            return (struct blend){ .row = row, .low = 1.0 };
    const double share = segment_value(family->t, k, 0.0, 1.0, t);
    return (struct blend){ .row = k, .between = true, .low = 1.0 - share, .high = share };
}

static void blends_build(struct arena *arena, const struct device *device, struct family *family)
{
    family->blend = arena_bytes(arena, device->n_knots * sizeof *family->blend);
    for (size_t k = 0; family->blend && k < device->n_knots; k++)
        family->blend[k] = blend_at(family, device->t_knot[k]);
}

static void energy_blends_build(struct arena *arena, const struct device *device,
                                struct energy *energy)
{
    struct family *family = &energy->family;
    blends_build(arena, device, family);
    for (size_t k = 0; family->blend && k < device->n_knots; k++) {
        double factor = energy->factor;
        if (family->n == 1)
            factor *= 1.0 + energy->temperature_coefficient * (device->t_knot[k] - family->t[0]);
        family->blend[k].low *= factor;
        family->blend[k].high *= factor;
    }
}

struct device device_build(struct arena *arena, const struct sm_module *module,
                           enum sm_chip_kind kind, const struct switching_use *use)
{
    struct device device = { .kind = kind };
    const double lead = module->curves == SM_CURVES_TERMINAL ? module->lead_resistance : 0.0;
    device.voltage = voltage_build(
        arena, kind == SM_IGBT ? &module->igbt_conduction : &module->diode_conduction, lead);
    energies_build(arena, module, use, &device);
    if (!arena->failed) {
        knots_build(arena, &device);
        blends_build(arena, &device, &device.voltage);
        for (size_t m = 0; m < ENERGY_COUNT; m++)
            if (device.energy[m].present)
                energy_blends_build(arena, &device, &device.energy[m]);
        breaks_build(arena, &device);
    }
    return device;
}

/* ---------------------------------------------------------- evaluation */

/* Row of a voltage at i, which lies in piece `at` of every row. */
static inline double voltage_row(const struct family *family, size_t row, size_t at, double i)
{
    const double v = curve_piece_value(&family->curve[row], at, i);
    return v > 0.0 ? v : 0.0;
}

static inline double voltage_at_knot(const struct family *family, size_t knot, size_t at, double i)
{
    const struct blend *b = &family->blend[knot];
    const double low = b->low * voltage_row(family, b->row, at, i);
    return b->between ? low + b->high * voltage_row(family, b->row + 1, at, i) : low;
}

static inline double curve_at_knot(const struct family *family, size_t knot, size_t at, double i)
{
    const struct blend *b = &family->blend[knot];
    const double low = b->low * curve_piece_value(&family->curve[b->row], at, i);
    return b->between ? low + b->high * curve_piece_value(&family->curve[b->row + 1], at, i) : low;
}

/* What the current makes of an energy: the piece of its curves, or the single point's power. */
struct at_current {
    size_t piece;
    double power;
};

static inline struct at_current at_current_of(const struct energy *energy, double i)
{
    if (energy->single_point)
        return (struct at_current){ .power = pow(i / energy->i_ref, energy->current_exponent) };
    return (struct at_current){ .piece = curve_piece_of(&energy->family.curve[0], i) };
}

static inline double energy_at_knot(const struct energy *energy, size_t knot,
                                    const struct at_current *at, double i)
{
    if (!energy->single_point)
        return curve_at_knot(&energy->family, knot, at->piece, i);
    const struct blend *b = &energy->family.blend[knot];
    const double low = b->low * energy->e_ref[b->row];
    return at->power * (b->between ? low + b->high * energy->e_ref[b->row + 1] : low);
}

void device_voltage_at_knots(const struct device *device, const double *i, size_t n, double *out)
{
    const struct family *family = &device->voltage;
    for (size_t j = 0; j < n; j++) {
        const size_t at = curve_piece_of(&family->curve[0], i[j]);
        for (size_t k = 0; k < device->n_knots; k++)
            out[k * n + j] = voltage_at_knot(family, k, at, i[j]);
    }
}

void device_energy_at_knots(const struct device *device, enum energy_kind kind, const double *i,
                            size_t n, double *out)
{
    const struct energy *energy = &device->energy[kind];
    if (!energy->present) {
        memset(out, 0, device->n_knots * n * sizeof *out);
        return;
    }
    for (size_t j = 0; j < n; j++) {
        const struct at_current at = at_current_of(energy, i[j]);
        for (size_t k = 0; k < device->n_knots; k++)
            out[k * n + j] = energy_at_knot(energy, k, &at, i[j]);
    }
}

double device_voltage(const struct device *device, double i, double t)
{
    const struct family *family = &device->voltage;
    const size_t k = segment_of(device->t_knot, device->n_knots, t);
    const size_t at = curve_piece_of(&family->curve[0], i);
    return segment_value(device->t_knot, k, voltage_at_knot(family, k, at, i),
                         voltage_at_knot(family, k + 1, at, i), t);
}

double device_energy(const struct device *device, enum energy_kind kind, double i, double t)
{
    const struct energy *energy = &device->energy[kind];
    if (!energy->present)
        return 0.0;
    const size_t k = segment_of(device->t_knot, device->n_knots, t);
    const struct at_current at = at_current_of(energy, i);
    return segment_value(device->t_knot, k, energy_at_knot(energy, k, &at, i),
                         energy_at_knot(energy, k + 1, &at, i), t);
}
