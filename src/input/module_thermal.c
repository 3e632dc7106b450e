/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/input_module.h"

#include <math.h>
#include <stdlib.h>

#define FOSTER_SUM_TOLERANCE 0.02 /* 1  Foster terms against rth_jc (file format) */

/* The keys of one kind of chip. */
struct chip_ids {
    int rth_jc, foster_r, foster_tau, tau_jc, rth_cs, conductivity, thickness;
};

static const struct chip_ids igbt_ids = {
    SM_MODULE_IGBT_RTH_JC,          SM_MODULE_IGBT_FOSTER_R, SM_MODULE_IGBT_FOSTER_TAU,
    SM_MODULE_IGBT_TAU_JC,          SM_MODULE_IGBT_RTH_CS,   SM_MODULE_IGBT_RTH_CS_CONDUCTIVITY,
    SM_MODULE_IGBT_RTH_CS_THICKNESS
};
static const struct chip_ids diode_ids = {
    SM_MODULE_DIODE_RTH_JC,          SM_MODULE_DIODE_FOSTER_R, SM_MODULE_DIODE_FOSTER_TAU,
    SM_MODULE_DIODE_TAU_JC,          SM_MODULE_DIODE_RTH_CS,   SM_MODULE_DIODE_RTH_CS_CONDUCTIVITY,
    SM_MODULE_DIODE_RTH_CS_THICKNESS
};

/* Both or none of two keys; a fault at the one that is there. */
static bool together(const struct loading *l, int a, int b, const char *names)
{
    const bool has_a = loading_given(l, a), has_b = loading_given(l, b);
    if (has_a != has_b && loading_absent(l, has_a ? b : a))
        (void)loading_fault(l, l->origins[has_a ? a : b].line, SM_ERR_KEY,
                            "stands alone; expected %s together", names);
    return has_a && has_b;
}

/* ------------------------------------------------------------------- Foster */

static void foster_check(const struct loading *l, const struct sm_chip_thermal *thermal,
                         const struct chip_ids *ids)
{
    const int line = l->origins[ids->foster_r].line;
    if (thermal->foster_r.n != thermal->foster_tau.n) {
        (void)loading_fault(l, l->origins[ids->foster_tau].line, SM_ERR_VALUE,
                            "%zu values for %zu of foster_r in line %d; expected as many",
                            thermal->foster_tau.n, thermal->foster_r.n, line);
        return;
    }
    double sum = 0.0;
    for (size_t i = 0; i < thermal->foster_r.n; i++)
        sum += thermal->foster_r.v[i];
    if (loading_given(l, ids->rth_jc) &&
        fabs(sum - thermal->rth_jc) > FOSTER_SUM_TOLERANCE * thermal->rth_jc)
        (void)loading_fault(l, line, SM_ERR_VALUE,
                            "terms add up to %.4g K/W; expected rth_jc, %.4g K/W, within 2 %%", sum,
                            thermal->rth_jc);
}

static bool list_single(struct sm_list *list, double value)
{
    list->v = malloc(sizeof *list->v);
    if (!list->v)
        return false;
    list->v[0] = value;
    list->n = 1;
    return true;
}

/* Without Foster terms the path is the one term rth_jc with tau_jc. */
static void foster_derive(const struct loading *l, struct sm_chip_thermal *thermal,
                          const struct chip_ids *ids, struct sm_origin *origins)
{
    if (!loading_absent(l, ids->foster_r) || !loading_absent(l, ids->foster_tau) ||
        !loading_given(l, ids->rth_jc))
        return;
    if (!list_single(&thermal->foster_r, thermal->rth_jc) ||
        !list_single(&thermal->foster_tau, thermal->tau_jc)) {
        (void)loading_fault(l, 0, SM_ERR_MEMORY, "out of memory");
        return;
    }
    const struct sm_origin derived = { SM_ORIGIN_DERIVED, l->file, l->origins[ids->rth_jc].line };
    origins[ids->foster_r] = derived;
    origins[ids->foster_tau] = derived;
}

static void chip_check(const struct loading *l, struct sm_chip_thermal *thermal,
                       const struct chip_ids *ids, struct sm_origin *origins)
{
    if (together(l, ids->foster_r, ids->foster_tau, "foster_r and foster_tau")) {
        foster_check(l, thermal, ids);
        loading_unused(&origins[ids->tau_jc]);
    } else {
        foster_derive(l, thermal, ids, origins);
    }
}

/* -------------------------------------------------------------------- joint */

/* The reference behind an rth_cs: both of it, and only with it. */
static void reference_check(const struct loading *l, int rth_cs, int conductivity, int thickness)
{
    const int first = loading_given(l, conductivity) ? conductivity : thickness;
    if (!loading_given(l, first))
        return;
    (void)together(l, conductivity, thickness, "rth_cs_conductivity and rth_cs_thickness");
    if (loading_absent(l, rth_cs))
        (void)loading_fault(l, l->origins[first].line, SM_ERR_KEY,
                            "stands without rth_cs; expected rth_cs of the same section with it");
}

static void no_joint_fault(const struct loading *l)
{
    const struct ini_section *section = ini_source_section(l->source, "mounting");
    const struct sm_place place = { .file = l->source->file,
                                    .line = section ? section->line : 0,
                                    .section = "mounting" };
    (void)sm_fault_add(l->faults, SM_ERR_KEY, &place,
                       "%s; expected one of: base_width and base_length, rth_cs here, or rth_cs in "
                       "both [igbt.thermal] and [diode.thermal]",
                       section ? "nothing about the joint in it" : "missing");
}

static void joint_check(const struct loading *l)
{
    const bool base =
        together(l, SM_MODULE_BASE_WIDTH, SM_MODULE_BASE_LENGTH, "base_width and base_length");
    const bool igbt = !loading_absent(l, SM_MODULE_IGBT_RTH_CS);
    const bool diode = !loading_absent(l, SM_MODULE_DIODE_RTH_CS);
    reference_check(l, SM_MODULE_MOUNTING_RTH_CS, SM_MODULE_MOUNTING_RTH_CS_CONDUCTIVITY,
                    SM_MODULE_MOUNTING_RTH_CS_THICKNESS);
    reference_check(l, igbt_ids.rth_cs, igbt_ids.conductivity, igbt_ids.thickness);
    reference_check(l, diode_ids.rth_cs, diode_ids.conductivity, diode_ids.thickness);

    if (base || !loading_absent(l, SM_MODULE_MOUNTING_RTH_CS) || (igbt && diode))
        return;
    if (igbt || diode) {
        (void)loading_fault(
            l, l->origins[igbt ? SM_MODULE_IGBT_RTH_CS : SM_MODULE_DIODE_RTH_CS].line, SM_ERR_KEY,
            "stands in one thermal section only; expected it in both, or "
            "rth_cs or the base's size in [mounting]");
        return;
    }
    /* half a base has its fault already */
    if (loading_absent(l, SM_MODULE_BASE_WIDTH) && loading_absent(l, SM_MODULE_BASE_LENGTH))
        no_joint_fault(l);
}

/* ---------------------------------------------------------------- the others */

static void thermistor_check(const struct loading *l)
{
    static const int ids[] = { SM_MODULE_B25_50, SM_MODULE_B25_80, SM_MODULE_B25_100 };
    int first = -1;
    for (size_t i = 0; i < sizeof ids / sizeof ids[0]; i++) {
        if (!loading_given(l, ids[i]))
            continue;
        if (first >= 0) {
            (void)loading_fault(l, l->origins[ids[i]].line, SM_ERR_KEY,
                                "second B value, the first stands in line %d; expected one",
                                l->origins[first].line);
            return;
        }
        first = ids[i];
    }
    if (first >= 0 && loading_absent(l, SM_MODULE_R25))
        (void)loading_fault(l, l->origins[first].line, SM_ERR_KEY,
                            "stands without r25; expected both");
}

static void screws_check(const struct loading *l, const struct sm_mounting *mounting)
{
    const struct sm_list *torque = &mounting->screw_torque;
    if (torque->n == 2 && torque->v[0] > torque->v[1])
        (void)loading_fault(l, l->origins[SM_MODULE_SCREW_TORQUE].line, SM_ERR_VALUE,
                            "the first torque is above the second; expected least, then most");
}

void module_thermal_check(const struct loading *l, struct sm_module *module)
{
    chip_check(l, &module->igbt_thermal, &igbt_ids, module->origin);
    chip_check(l, &module->diode_thermal, &diode_ids, module->origin);
    joint_check(l);
    thermistor_check(l);
    screws_check(l, &module->mounting);
}
