/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What only both files together can tell. */
#include "input/key_table.h"
#include "swapmargin/input.h"

/* Whether a part's joint needs conductivity and thickness of the layer that was applied.  The
 * module's rth_cs counts before the two of the switches, and those before the base's size. */
static bool needs_layer(const struct sm_module *module)
{
    const struct sm_mounting *mounting = &module->mounting;
    const struct sm_chip_thermal *igbt = &module->igbt_thermal, *diode = &module->diode_thermal;
    if (mounting->rth_cs.given)
        return mounting->rth_cs_conductivity.given;
    if (igbt->rth_cs.given && diode->rth_cs.given)
        return igbt->rth_cs_conductivity.given || diode->rth_cs_conductivity.given;
    return true;
}

static const char *layer_reason(const struct sm_module *module)
{
    const bool printed = module->mounting.rth_cs.given ||
                         (module->igbt_thermal.rth_cs.given && module->diode_thermal.rth_cs.given);
    return printed ? "rth_cs holds for a reference compound" : "only the base's size is known";
}

static void layer_fault(const struct sm_drive *drive, const struct sm_module *module,
                        const char *key, struct sm_faults *faults)
{
    const struct sm_place place = {
        .file = drive->joint_file ? drive->joint_file : drive->file,
        .line = drive->joint_line,
        .section = "joint",
        .key = key,
    };
    (void)sm_fault_add(
        faults, SM_ERR_KEY, &place,
        "missing; expected %s, or a compound: the joint of '%s' depends on the layer "
        "(%s)",
        key ? "it" : "a section with conductivity and thickness", module->part,
        layer_reason(module));
}

static enum sm_status layer_check(const struct sm_drive *drive, const struct sm_module *module,
                                  struct sm_faults *faults)
{
    const struct sm_joint *joint = &drive->joint;
    if (!needs_layer(module) || (joint->conductivity.given && joint->thickness.given))
        return SM_OK;
    if (drive->joint_line == 0) {
        layer_fault(drive, module, NULL, faults);
        return SM_ERR_KEY;
    }
    if (!joint->conductivity.given)
        layer_fault(drive, module, "conductivity", faults);
    if (!joint->thickness.given)
        layer_fault(drive, module, "thickness", faults);
    return SM_ERR_KEY;
}

static enum sm_status count_check(const struct sm_case *c, struct sm_faults *faults)
{
    if (sm_case_module_count(c) > 0)
        return SM_OK;
    const struct sm_origin *origin = &c->module->origin[SM_MODULE_CIRCUIT];
    const struct key_row *row = &module_keys.rows[SM_MODULE_CIRCUIT];
    const struct sm_place place = { c->module->file, origin->line, row->section, row->key };
    return sm_fault_add(
        faults, SM_ERR_VALUE, &place,
        "%d switches in one case do not make the 6 of a bridge with %d in parallel; "
        "expected a number of modules without a remainder",
        sm_module_switches(c->module), c->drive->rating.parallel);
}

enum sm_status sm_case_assemble(const struct sm_drive *drive, const struct sm_module *module,
                                const struct sm_module *original, struct sm_case *out,
                                struct sm_faults *faults)
{
    const struct sm_case assembled = { drive, module, original };
    enum sm_status status = count_check(&assembled, faults);
    if (original && status == SM_OK)
        status = count_check(&(struct sm_case){ drive, original, NULL }, faults);

    /* the layer that one part lacks the other lacks too: told once */
    enum sm_status layer = layer_check(drive, module, faults);
    if (original && layer == SM_OK)
        layer = layer_check(drive, original, faults);
    if (status == SM_OK)
        status = layer;
    if (status == SM_OK)
        *out = assembled;
    return status;
}
