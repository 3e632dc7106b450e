/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "speed_grid.h"

#include <math.h>
#include <stdlib.h>

#define TURN 6.28318530717958647692 /* rad */
#define SETTLED 1e-7                /* K: bound of the error left */
enum { TURN_CAP = 1000, MOST_TERMS = 12 };

/* -------------------------------------------------------------- curves */

/* Slope at point i of Steffen's monotone cubic: that of the parabola through three points, limited
 * to twice the smaller secant; 0 at a turn; the end secants at the ends. */
static double slope_at(const double *x, const double *y, size_t n, size_t i)
{
    const double left = i > 0 ? (y[i] - y[i - 1]) / (x[i] - x[i - 1]) : 0.0;
    const double right = i + 1 < n ? (y[i + 1] - y[i]) / (x[i + 1] - x[i]) : 0.0;
    if (i == 0 || i + 1 == n)
        return i == 0 ? right : left;
    const double h = x[i] - x[i - 1], k = x[i + 1] - x[i];
    const double parabola = (left * k + right * h) / (h + k);
    if (left * right <= 0.0)
        return 0.0;
    const double least = fmin(fabs(parabola), 2.0 * fmin(fabs(left), fabs(right)));
    return copysign(least, parabola);
}

static double steffen(const double *x, const double *y, size_t n, double at)
{
    size_t k = 0;
    while (k + 2 < n && x[k + 1] < at)
        k++;
    const double h = x[k + 1] - x[k], u = (at - x[k]) / h;
    const double a = slope_at(x, y, n, k), b = slope_at(x, y, n, k + 1);
    if (u < 0.0)
        return y[k] + a * (at - x[k]);
    if (u > 1.0)
        return y[k + 1] + b * (at - x[k + 1]);
    const double v = 1.0 - u;
    return y[k] * (1.0 + 2.0 * u) * v * v + y[k + 1] * u * u * (3.0 - 2.0 * u) +
           h * u * v * (a * v - b * u);
}

/* An energy's curve also goes through 0 J at 0 A. */
static double energy_curve(const struct sm_list *current, const double *e, double at)
{
    double x[128] = { 0.0 }, y[128] = { 0.0 };
    const size_t shift = current->v[0] > 0.0 ? 1 : 0;
    if (current->n + shift > 128)
        return (double)NAN;
    for (size_t i = 0; i < current->n; i++) {
        x[i + shift] = current->v[i];
        y[i + shift] = e[i];
    }
    return steffen(x, y, current->n + shift, at);
}

/* --------------------------------------------------- one chip on a grid */

/* A quantity at the grid's currents, one column a table temperature: [row * n + j]. */
struct table {
    const struct sm_rows *rows;
    double *at;
};

struct chip {
    size_t n;
    struct table voltage, energy[2];
    size_t n_energies;
    double *carried;   /* A   duty times current, 0 where the chip does not conduct */
    double *switching; /* 1/s */
    double *p, *t;     /* W, K  one a grid point */
    const struct sm_list *r, *tau;
};

static bool table_make(struct table *table, const struct sm_rows *rows, size_t n)
{
    table->rows = rows;
    table->at = calloc(rows->n * n, sizeof *table->at);
    return table->at && rows->n >= 2;
}

static double between(const struct table *table, size_t n, size_t j, double t)
{
    const struct sm_row *row = table->rows->row;
    size_t k = 0;
    while (k + 2 < table->rows->n && row[k + 1].at < t)
        k++;
    const double u = (t - row[k].at) / (row[k + 1].at - row[k].at);
    return table->at[k * n + j] * (1.0 - u) + table->at[(k + 1) * n + j] * u;
}

static void chip_free(struct chip *chip)
{
    free(chip->voltage.at);
    free(chip->energy[0].at);
    free(chip->energy[1].at);
    free(chip->carried);
    free(chip->switching);
    free(chip->p);
    free(chip->t);
}

static double gate_factor(const struct sm_list *rg, const struct sm_list *e,
                          const struct sm_optional *used, const struct sm_optional *test)
{
    if (rg->n < 2 || !used->given || !test->given)
        return 1.0;
    return steffen(rg->v, e->v, rg->n, used->value) / steffen(rg->v, e->v, rg->n, test->value);
}

static bool chip_make(struct chip *chip, const struct sm_case *c, int kind, size_t n)
{
    const struct sm_module *m = c->module;
    const bool igbt = kind == SM_IGBT;
    const struct sm_switching *s = igbt ? &m->igbt_switching : &m->diode_recovery;
    const struct sm_chip_thermal *thermal = igbt ? &m->igbt_thermal : &m->diode_thermal;
    *chip = (struct chip){ .n = n,
                           .n_energies = igbt ? 2 : 1,
                           .carried = calloc(n, sizeof(double)),
                           .switching = calloc(n, sizeof(double)),
                           .p = calloc(n, sizeof(double)),
                           .t = calloc(n, sizeof(double)),
                           .r = &thermal->foster_r,
                           .tau = &thermal->foster_tau };
    bool ok = chip->carried && chip->switching && chip->p && chip->t && s->current.n >= 2;
    ok = table_make(&chip->voltage,
                    igbt ? &m->igbt_conduction.voltage : &m->diode_conduction.voltage, n) &&
         ok;
    ok = table_make(&chip->energy[0], igbt ? &s->e_on : &s->e_rr, n) && ok;
    return (!igbt || table_make(&chip->energy[1], &s->e_off, n)) && ok;
}

/* Fills the tables at one grid point where the chip carries the current i. */
static void chip_at(struct chip *chip, const struct sm_case *c, int kind, size_t j, double i,
                    const double factor[2])
{
    const struct sm_module *m = c->module;
    const bool igbt = kind == SM_IGBT;
    const struct sm_conduction *v = igbt ? &m->igbt_conduction : &m->diode_conduction;
    const struct sm_switching *s = igbt ? &m->igbt_switching : &m->diode_recovery;
    const double lead = m->curves == SM_CURVES_TERMINAL ? m->lead_resistance : 0.0;
    for (size_t k = 0; k < v->voltage.n; k++)
        chip->voltage.at[k * chip->n + j] = fmax(
            steffen(v->current.v, v->voltage.row[k].values.v, v->current.n, i) - lead * i, 0.0);
    for (size_t e = 0; e < chip->n_energies; e++)
        for (size_t k = 0; k < chip->energy[e].rows->n; k++)
            chip->energy[e].at[k * chip->n + j] =
                factor[e] * energy_curve(&s->current, chip->energy[e].rows->row[k].values.v, i);
}

/* ------------------------------------------------------------ the load */

/* Upper switch's reference by the scheme's definition; *held while the leg does not switch. */
static double reference(int scheme, double m, double theta, bool *held)
{
    double u[3], high = -2.0, low = 2.0;
    int largest = 0;
    for (int k = 0; k < 3; k++) {
        u[k] = m * cos(theta - TURN * k / 3.0);
        high = fmax(high, u[k]);
        low = fmin(low, u[k]);
        largest = fabs(u[k]) > fabs(u[largest]) ? k : largest;
    }
    *held = scheme == SM_MOD_CLAMPED && largest == 0;
    if (scheme == SM_MOD_THIRD_HARMONIC)
        return u[0] - m / 6.0 * cos(3.0 * theta);
    if (scheme == SM_MOD_SPACE_VECTOR)
        return u[0] - 0.5 * (high + low);
    if (scheme == SM_MOD_CLAMPED)
        return u[0] + copysign(1.0, u[largest]) - u[largest];
    return u[0];
}

static void load_chips(struct chip chip[SM_CHIP_COUNT], const struct sm_case *c,
                       const struct sm_point *point)
{
    const struct sm_module *m = c->module;
    const struct sm_drive *d = c->drive;
    const struct sm_switching *t = &m->igbt_switching, *r = &m->diode_recovery;
    const double bus_t = pow(point->v_dc / t->test_voltage, t->voltage_exponent);
    const double bus_r = pow(point->v_dc / r->test_voltage, r->voltage_exponent);
    const double factor[SM_CHIP_COUNT][2] = {
        { bus_t * gate_factor(&t->rg, &t->e_on_rg, &d->gate.rg_on, &t->test_rg_on),
          bus_t * gate_factor(&t->rg, &t->e_off_rg, &d->gate.rg_off, &t->test_rg_off) },
        { bus_r * gate_factor(&r->rg, &r->e_rr_rg, &d->gate.rg_on, &t->test_rg_on), 0.0 }
    };
    for (size_t j = 0; j < chip[0].n; j++) {
        const double theta = TURN * ((double)j + 0.5) / (double)chip[0].n;
        const double i = sqrt(2.0) * point->i_module * cos(theta - point->phi);
        const int kind = i > 0.0 ? SM_IGBT : SM_DIODE;
        bool held = false;
        const double duty =
            0.5 * (1.0 + reference(d->rating.modulation, point->modulation_index, theta, &held));
        chip[kind].carried[j] = fabs(i) * duty; /* upper switch on: its IGBT or its diode */
        chip[kind].switching[j] = held ? 0.0 : d->rating.switching_frequency;
        chip_at(&chip[kind], c, kind, j, fabs(i), factor[kind]);
    }
}

/* ------------------------------------------------------------ the loop */

/* Losses at the temperatures.  Returned: their mean, W. */
static double losses(struct chip *chip)
{
    double sum = 0.0;
    for (size_t j = 0; j < chip->n; j++) {
        chip->p[j] = 0.0;
        if (chip->carried[j] <= 0.0 && chip->switching[j] <= 0.0)
            continue;
        double e = 0.0;
        for (size_t m = 0; m < chip->n_energies; m++)
            e += between(&chip->energy[m], chip->n, j, chip->t[j]);
        chip->p[j] = chip->carried[j] * between(&chip->voltage, chip->n, j, chip->t[j]) +
                     chip->switching[j] * e;
        sum += chip->p[j];
    }
    return sum / (double)chip->n;
}

/* Steady state of a network that each grid interval heats with its own loss: once round from
 * nothing gives the start that repeats, once more the temperatures.  Returned: longest step, K. */
static double march(struct chip *chip, double hz, double t_case)
{
    double x[MOST_TERMS] = { 0.0 }, half[MOST_TERMS], longest = 0.0;
    for (size_t i = 0; i < chip->r->n; i++)
        half[i] = exp(-0.5 / (hz * (double)chip->n * chip->tau->v[i]));
    for (int round = 0; round < 2; round++) {
        for (size_t j = 0; j < chip->n; j++) {
            double t = t_case;
            for (size_t i = 0; i < chip->r->n; i++) {
                const double to = chip->r->v[i] * chip->p[j];
                const double middle = to + (x[i] - to) * half[i];
                x[i] = to + (middle - to) * half[i];
                t += middle;
            }
            if (round == 1) {
                longest = fmax(longest, fabs(t - chip->t[j]));
                chip->t[j] = t;
            }
        }
        for (size_t i = 0; round == 0 && i < chip->r->n; i++)
            x[i] /= -expm1(-1.0 / (hz * chip->tau->v[i]));
    }
    return longest;
}

static bool settle(struct chip chip[SM_CHIP_COUNT], const struct sm_case *c,
                   const struct sm_result *result, const struct sm_point *point,
                   struct grid_point *out)
{
    const int switches = sm_module_switches(c->module);
    double last = 0.0;
    for (out->turns = 1; out->turns < TURN_CAP; out->turns++) {
        double power[SM_CHIP_COUNT], step = 0.0;
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            power[k] = losses(&chip[k]);
        const double module_w =
            switches * (power[0] + power[1] + point->lead) + c->drive->cooling.same_case_heat;
        const double sink =
            c->drive->cooling.ambient +
            result->rth_sa * (result->module_count * module_w + c->drive->cooling.other_heat);
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            out->t_case[k] = sink + (result->joint.form == SM_JOINT_MODULE
                                         ? result->joint.rth_module * module_w
                                         : result->joint.rth_switch[k] * power[k]);
            step = fmax(step, march(&chip[k], point->output_hz, out->t_case[k]));
        }
        const double q = last > 0.0 ? step / last : 1.0;
        if (q < 1.0 && step * q / (1.0 - q) < SETTLED)
            return true;
        last = step;
    }
    return false;
}

bool grid_solve(const struct sm_case *c, const struct sm_result *result,
                const struct sm_point *point, size_t n, struct grid_point *out)
{
    struct chip chip[SM_CHIP_COUNT];
    bool ok = true;
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        ok = chip_make(&chip[k], c, k, n) && chip[k].r->n <= MOST_TERMS && ok;
    if (ok) {
        load_chips(chip, c, point);
        for (int k = 0; k < SM_CHIP_COUNT; k++)
            for (size_t j = 0; j < n; j++)
                chip[k].t[j] = c->drive->cooling.ambient;
        ok = settle(chip, c, result, point, out);
    }
    for (int k = 0; ok && k < SM_CHIP_COUNT; k++) {
        out->tvj_max[k] = 0.0;
        for (size_t j = 0; j < n; j++)
            out->tvj_max[k] = fmax(out->tvj_max[k], chip[k].t[j]);
    }
    for (int k = 0; k < SM_CHIP_COUNT; k++)
        chip_free(&chip[k]);
    return ok;
}
