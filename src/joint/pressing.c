/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "joint/pressing.h"

#include "thermal/contact.h"
#include "thermal/heat_path.h"

#include <stdlib.h>

/* Pa: yield stress of filled silicone greases: soft, usual, stiff (value from memory of what
 * rheometers give for them; a maker's sheet rarely tells). */
#define YIELD_SOFT 30.0
#define YIELD_USUAL 100.0
#define YIELD_STIFF 300.0

#define MILLIMETRE 1e-3 /* m */

double thread_diameter(const char *text)
{
    char *end = NULL;
    if (!text || text[0] != 'M' || text[1] < '1' || text[1] > '9')
        return 0.0;
    const double millimetres = strtod(text + 1, &end);
    const bool ends = end[0] == '\0' || end[0] == 'x' || end[0] == ' ';
    return ends && millimetres < 100.0 ? millimetres * MILLIMETRE : 0.0;
}

/* N.m: what was used, else the middle of what the module asks for. */
static double torque_used(const struct sm_case *c)
{
    const struct sm_optional *used = &c->drive->joint.screw_torque;
    const struct sm_list *range = &c->module->mounting.screw_torque;
    if (used->given)
        return used->value;
    return range->n == 2 ? 0.5 * (range->v[0] + range->v[1]) : 0.0;
}

static void pressure_find(const struct sm_case *c, struct sm_joint_study *study)
{
    const struct sm_mounting *m = &c->module->mounting;
    const double diameter = thread_diameter(m->screw_size), torque = torque_used(c);
    if (c->drive->joint.pressure.given) {
        study->pressure = c->drive->joint.pressure;
    } else if (m->screws.given && diameter > 0.0 && torque > 0.0 && study->base_area.given) {
        study->pressure =
            sm_given(m->screws.value * screw_force(torque, diameter) / study->base_area.value);
        study->pressure_of_screws = true;
        study->screw_torque = torque;
    }
}

static void layer_find(struct sm_joint_study *study)
{
    const double p = study->pressure.value;
    if (!study->pressure.given || p < BOND_LINE_LEAST || p > BOND_LINE_MOST)
        return;
    study->expected_thickness = sm_given(bond_line(YIELD_USUAL, p));
    study->expected_thin = sm_given(bond_line(YIELD_SOFT, p));
    study->expected_thick = sm_given(bond_line(YIELD_STIFF, p));
}

static void bare_find(const struct sm_surface *surface, struct sm_joint_study *study)
{
    if (!surface->given || !study->pressure.given || !(study->pressure.value > 0.0))
        return;
    study->bare_contact = sm_given(contact_conductance(surface, study->pressure.value));
    study->bare_gap = sm_given(gap_conductance(surface, study->pressure.value));
    if (!study->base_area.given)
        return;
    const double area = study->base_area.value;
    study->bare_rth = sm_given(1.0 / ((study->bare_contact.value + study->bare_gap.value) * area));
    study->gaping_rth =
        sm_given(1.0 / (layer_conductance(SM_JOINT_GAPE, AIR_CONDUCTIVITY, 1.0) * area));
}

void pressing_find(const struct sm_case *c, struct sm_joint_study *study)
{
    pressure_find(c, study);
    layer_find(study);
    bare_find(&c->drive->joint.surface, study);
}
