/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The half cycle in which a chip conducts, node by node. */
#include "base/maths.h"
#include "explain/builder.h"
#include "load/modulation.h"
#include "swapmargin/quantity.h"

#include <math.h>
#include <string.h>

static void copy(double *to, const double *from, size_t n)
{
    if (to)
        memcpy(to, from, n * sizeof *to);
}

/* ------------------------------------------------------------- what flows */

/* The stretch of the reference that a node's panel lies in. */
static struct modulation_stretch stretch_of(const struct ask *ask, size_t j)
{
    const struct operating_point *op = &ask->w.site->op;
    const double *psi = ask->w.site->chip[ask->w.chip].cycle.psi;
    const size_t first = j - j % PANEL_NODES;
    return modulation_stretch_at(op->scheme,
                                 op->phi + 0.5 * (psi[first] + psi[first + PANEL_NODES - 1]));
}

static enum formula reference_formula(enum sm_modulation scheme)
{
    switch (scheme) {
    case SM_MOD_THIRD_HARMONIC:
        return FORMULA_REFERENCE_THIRD;
    case SM_MOD_SPACE_VECTOR:
        return FORMULA_REFERENCE_SPACE_VECTOR;
    case SM_MOD_CLAMPED:
        return FORMULA_REFERENCE_CLAMPED;
    case SM_MOD_SINE:
        break;
    }
    return FORMULA_REFERENCE_SINE;
}

static void add_reference(const struct ask *ask, const struct cycle *cycle)
{
    const struct operating_point *op = &ask->w.site->op;
    double *alpha = say_computed(ask, COLUMN_ANGLE, FORMULA_NODE_ANGLE);
    double *u = say_computed(ask, COLUMN_REFERENCE, reference_formula(op->scheme));
    for (size_t j = 0; alpha && u && j < cycle->n_nodes; j++) {
        alpha[j] = cycle->psi[j] + op->phi;
        const struct modulation_stretch stretch = stretch_of(ask, j);
        u[j] = modulation_value(&stretch, op->m, cos(alpha[j]), sin(alpha[j]));
    }
    if (op->scheme != SM_MOD_CLAMPED)
        return;
    double *leg = say_laid_out(ask, COLUMN_HELD_LEG);
    double *sign = say_laid_out(ask, COLUMN_HELD_SIGN);
    for (size_t j = 0; leg && sign && j < cycle->n_nodes; j++) {
        const struct modulation_stretch stretch = stretch_of(ask, j);
        leg[j] = (double)stretch.phase;
        sign[j] = stretch.constant;
    }
}

static void add_switching(const struct ask *ask, const struct cycle *cycle)
{
    const enum sm_modulation scheme = ask->w.site->op.scheme;
    double *a =
        say_computed(ask, COLUMN_SWITCHES,
                     scheme == SM_MOD_CLAMPED ? FORMULA_SWITCHES_CLAMPED : FORMULA_SWITCHES_ALWAYS);
    for (size_t j = 0; a && j < cycle->n_nodes; j++)
        a[j] = stretch_of(ask, j).held ? 0.0 : 1.0;
}

/* --------------------------------------------------------------- the grid */

static void add_panels(const struct ask *ask, const struct cycle *cycle)
{
    double *first = say_laid_out(ask, COLUMN_FIRST_ROW);
    double *place = say_laid_out(ask, COLUMN_PLACE);
    double *share = say_laid_out(ask, COLUMN_SHARE);
    double *width = say_computed(ask, COLUMN_WIDTH, FORMULA_PLACE_WIDTH);
    for (size_t j = 0; first && place && share && width && j < cycle->n_nodes; j++) {
        first[j] = (double)(j - j % PANEL_NODES);
        place[j] = panel_place[j % PANEL_NODES];
        share[j] = panel_mean_weight[j % PANEL_NODES];
        width[j] = cycle->width[j / PANEL_NODES];
    }
}

/* ------------------------------------------------------------- the losses */

static void add_energy(const struct ask *ask, enum column column, enum energy_kind energy)
{
    struct ask own = *ask; /* its formula's symbols mean this energy */
    own.w.energy = energy;
    const struct chip_state *chip = &ask->w.site->chip[ask->w.chip];
    double *e = say_computed(&own, column, FORMULA_ENERGY);
    for (size_t j = 0; e && j < chip->cycle.n_nodes; j++)
        e[j] = device_energy(&ask->b->base.stage.device[ask->w.chip], energy,
                             chip->cycle.current[j], chip->t[j]);
}

static void add_temperature(const struct ask *ask, const struct chip_state *chip)
{
    double *t = say_computed(ask, COLUMN_TEMPERATURE, FORMULA_NODE_TEMPERATURE);
    for (size_t j = 0; t && j < chip->cycle.n_nodes; j++)
        (void)sm_quantity_to_unit(chip->t[j], "degC", &t[j]);
}

static void add_voltage(const struct ask *ask, const struct chip_state *chip)
{
    double *v = say_computed(ask, COLUMN_VOLTAGE, FORMULA_NODE_VOLTAGE);
    for (size_t j = 0; v && j < chip->cycle.n_nodes; j++)
        v[j] = device_voltage(&ask->b->base.stage.device[ask->w.chip], chip->cycle.current[j],
                              chip->t[j]);
}

/* At the temperatures told, which the loop may have moved since its last losses. */
static void add_loss(const struct ask *ask, const struct chip_state *chip)
{
    double *p =
        say_computed(ask, COLUMN_LOSS,
                     ask->w.chip == SM_IGBT ? FORMULA_NODE_LOSS_IGBT : FORMULA_NODE_LOSS_DIODE);
    if (p)
        (void)cycle_losses(&chip->cycle, 1.0, chip->t, p, chip->dp);
}

/* The node nearest to the current's peak is worked out, down to the datasheet's points. */
static void work_out(const struct ask *ask, const struct chip_state *chip)
{
    size_t row = 0;
    for (size_t j = 1; j < chip->cycle.n_nodes; j++)
        if (chip->cycle.current[j] > chip->cycle.current[row])
            row = j;
    say_worked_row(ask, row);
    curves_work_out(ask->b, &ask->w, chip->cycle.current[row], chip->t[row]);
}

void tell_cycle(const struct ask *ask)
{
    if (ask->w.site->point.runaway) {
        say_null(ask, WHY_RUNAWAY);
        return;
    }
    const struct chip_state *chip = &ask->w.site->chip[ask->w.chip];
    const struct cycle *cycle = &chip->cycle;
    say_rows(ask, cycle->n_nodes);
    copy(say_laid_out(ask, COLUMN_PSI), cycle->psi, cycle->n_nodes);
    copy(say_computed(ask, COLUMN_WEIGHT, FORMULA_WEIGHT), cycle->weight, cycle->n_nodes);
    copy(say_computed(ask, COLUMN_CURRENT, FORMULA_NODE_CURRENT), cycle->current, cycle->n_nodes);
    copy(say_computed(ask, COLUMN_DUTY,
                      ask->w.chip == SM_IGBT ? FORMULA_DUTY_IGBT : FORMULA_DUTY_DIODE),
         cycle->duty, cycle->n_nodes);
    add_temperature(ask, chip);
    add_voltage(ask, chip);
    if (ask->w.chip == SM_IGBT) {
        add_energy(ask, COLUMN_E_ON, ENERGY_FIRST);
        add_energy(ask, COLUMN_E_OFF, ENERGY_SECOND);
    } else {
        add_energy(ask, COLUMN_E_RR, ENERGY_FIRST);
    }
    add_loss(ask, chip);
    add_switching(ask, cycle);
    add_reference(ask, cycle);
    add_panels(ask, cycle);
    work_out(ask, chip);
}
