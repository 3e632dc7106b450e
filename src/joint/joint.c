/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/joint.h"

#include "joint/layer_margin.h"
#include "joint/pressing.h"
#include "swapmargin/engine.h"
#include "thermal/heat_path.h"

#include <math.h>
#include <stdlib.h>

/* m: thin foil to a spatula's slip. */
static const double thicknesses[SM_JOINT_THICKNESSES] = { 25e-6,  50e-6,  100e-6,
                                                          150e-6, 200e-6, 300e-6 };
static const double coverages[SM_JOINT_COVERAGES] = { 1.0, 0.9, 0.8, 0.7, 0.5 };

void sm_joint_init(struct sm_joint_study *study)
{
    *study = (struct sm_joint_study){ .n_compounds = 0 };
    sm_result_init(&study->result);
}

void sm_joint_release(struct sm_joint_study *study)
{
    sm_result_release(&study->result);
    free(study->by_compound);
    sm_joint_init(study);
}

/* ------------------------------------------------------------- how bad */

/* The thickest layer has the least conductance per area that still passes; a thinner coverage or a
 * poorer compound may come down to the same. */
static void bounds_find(const struct sm_joint *joint, struct sm_joint_study *study)
{
    const struct sm_limit *limit = &study->result.limits[SM_LIMIT_JOINT_THICKNESS];
    if (limit->state != SM_LIMIT_FOUND)
        return;
    const double t = joint->thickness.value, k = joint->conductivity.value, c = joint->coverage;
    const double h = layer_conductance(limit->value, k, c);
    study->max_thickness = sm_given(limit->value);
    const double coverage = (h * t - AIR_CONDUCTIVITY) / (k - AIR_CONDUCTIVITY);
    if (k > AIR_CONDUCTIVITY && coverage > 0.0 && coverage <= 1.0)
        study->min_coverage = sm_given(coverage);
    const double conductivity = (h * t - (1.0 - c) * AIR_CONDUCTIVITY) / c;
    if (conductivity > 0.0)
        study->min_conductivity = sm_given(conductivity);
}

/* ------------------------------------------------------------ how much */

static void amount_find(const struct sm_case *c, struct sm_joint_study *study)
{
    const struct sm_mounting *m = &c->module->mounting;
    const struct sm_joint *joint = &c->drive->joint;
    if (!m->base_width.given || !m->base_length.given)
        return;
    study->base_area = sm_given(m->base_width.value * m->base_length.value);
    if (!joint->thickness.given)
        return;
    study->compound_volume =
        sm_given(study->base_area.value * joint->thickness.value * joint->coverage);
    if (joint->density.given)
        study->compound_mass = sm_given(study->compound_volume.value * joint->density.value);
}

/* ---------------------------------------------------------- what if */

static enum sm_status what_ifs(struct layer_margins *margins, const struct sm_joint *joint,
                               const struct sm_joint_compound *compounds, size_t n,
                               struct sm_joint_study *study)
{
    enum sm_status status = SM_OK;
    for (size_t i = 0; status == SM_OK && i < SM_JOINT_COVERAGES; i++) {
        struct sm_joint layer = *joint;
        study->coverage[i] = layer.coverage = coverages[i];
        status = layer_margin(margins, &layer, &study->by_coverage[i]);
    }
    for (size_t i = 0; status == SM_OK && i < n * SM_JOINT_THICKNESSES; i++) {
        struct sm_joint layer = *joint;
        layer.conductivity = sm_given(compounds[i / SM_JOINT_THICKNESSES].conductivity);
        layer.thickness = sm_given(thicknesses[i % SM_JOINT_THICKNESSES]);
        status = layer_margin(margins, &layer, &study->by_compound[i]);
    }
    return status;
}

static enum sm_status what_ifs_find(const struct sm_case *c,
                                    const struct sm_joint_compound *compounds, size_t n,
                                    struct sm_joint_study *study)
{
    struct layer_margins margins;
    for (size_t i = 0; i < SM_JOINT_THICKNESSES; i++)
        study->thickness[i] = thicknesses[i];
    if (!study->result.joint.layer_used)
        return SM_OK;
    study->by_compound = calloc(n > 0 ? n * SM_JOINT_THICKNESSES : 1, sizeof *study->by_compound);
    if (!study->by_compound)
        return SM_ERR_MEMORY;
    study->n_compounds = n;
    enum sm_status status = layer_margins_open(&margins, c);
    if (status == SM_OK)
        status = what_ifs(&margins, &c->drive->joint, compounds, n, study);
    layer_margins_close(&margins);
    return status;
}

enum sm_status sm_joint(const struct sm_case *c, const struct sm_joint_compound *compounds,
                        size_t n, struct sm_joint_study *study, struct sm_faults *faults)
{
    enum sm_status status = sm_run(c, &study->result, faults);
    if (status == SM_OK)
        status = sm_run_limits(c, &study->result, faults);
    if (status == SM_OK) {
        bounds_find(&c->drive->joint, study);
        amount_find(c, study);
        pressing_find(c, study);
        status = what_ifs_find(c, compounds, n, study);
        if (status != SM_OK) {
            const struct sm_place place = { .file = c->module->file };
            (void)sm_fault_add(faults, status, &place, "%s", sm_status_text(status));
        }
    }
    if (status != SM_OK)
        sm_joint_release(study);
    return status;
}
