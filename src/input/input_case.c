/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What only both files together can tell. */
#include "base/maths.h"
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

/* ---------------------------------------------------------- gate resistors */

/* An energy over the gate resistor, and what the drive and the test use. */
struct rg_use {
    const struct sm_list *rg, *energy;
    const struct sm_optional *used, *test;
    enum sm_module_key key; /* of the table's resistors */
};

/* J: where the straight line through the table's nearest two points is at a resistor outside it. */
static double energy_outside(const struct rg_use *use, double r)
{
    const struct sm_list *x = use->rg, *y = use->energy;
    const size_t i = r < x->v[0] ? 0 : x->n - 2;
    const double slope = (y->v[i + 1] - y->v[i]) / (x->v[i + 1] - x->v[i]);
    return y->v[i] + slope * (r - x->v[i]);
}

static enum sm_status rg_check(const struct sm_module *module, const struct rg_use *use,
                               struct sm_faults *faults)
{
    if (use->rg->n < 2 || !use->used->given || !use->test->given ||
        same_number(use->used->value, use->test->value)) /* then the table is not used */
        return SM_OK;
    const double low = use->rg->v[0], high = use->rg->v[use->rg->n - 1];
    const double asked[] = { use->used->value, use->test->value };
    for (size_t i = 0; i < 2; i++) {
        if ((asked[i] >= low && asked[i] <= high) || energy_outside(use, asked[i]) > 0.0)
            continue;
        const struct key_row *row = &module_keys.rows[use->key];
        const struct sm_place place = { module->file, module->origin[use->key].line, row->section,
                                        row->key };
        return sm_fault_add(faults, SM_ERR_RANGE, &place,
                            "its energies fall to nothing on the straight line from %.4g ohm to "
                            "%.4g ohm, the %s resistor; expected a table that reaches it",
                            asked[i] < low ? low : high, asked[i], i == 0 ? "drive's" : "test's");
    }
    return SM_OK;
}

static enum sm_status rg_tables_check(const struct sm_drive *drive, const struct sm_module *module,
                                      struct sm_faults *faults)
{
    const struct sm_switching *igbt = &module->igbt_switching, *diode = &module->diode_recovery;
    const struct rg_use uses[] = {
        { &igbt->rg, &igbt->e_on_rg, &drive->gate.rg_on, &igbt->test_rg_on, SM_MODULE_IGBT_RG },
        { &igbt->rg, &igbt->e_off_rg, &drive->gate.rg_off, &igbt->test_rg_off, SM_MODULE_IGBT_RG },
        { &diode->rg, &diode->e_rr_rg, &drive->gate.rg_on, &igbt->test_rg_on, SM_MODULE_DIODE_RG },
    };
    enum sm_status first = SM_OK;
    for (size_t i = 0; i < sizeof uses / sizeof uses[0]; i++) {
        const enum sm_status status = rg_check(module, &uses[i], faults);
        if (first == SM_OK)
            first = status;
    }
    return first;
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

/* What one part needs of the drive, but for the layer. */
static enum sm_status part_check(const struct sm_drive *drive, const struct sm_module *module,
                                 struct sm_faults *faults)
{
    const struct sm_case alone = { .drive = drive, .module = module };
    const enum sm_status count = count_check(&alone, faults);
    const enum sm_status tables = rg_tables_check(drive, module, faults);
    return count != SM_OK ? count : tables;
}

enum sm_status sm_case_assemble(const struct sm_drive *drive, const struct sm_module *module,
                                const struct sm_module *original, struct sm_case *out,
                                struct sm_faults *faults)
{
    enum sm_status status = part_check(drive, module, faults);
    const enum sm_status other = original ? part_check(drive, original, faults) : SM_OK;
    if (status == SM_OK)
        status = other;

    /* the layer that one part lacks the other lacks too: told once */
    enum sm_status layer = layer_check(drive, module, faults);
    if (original && layer == SM_OK)
        layer = layer_check(drive, original, faults);
    if (status == SM_OK)
        status = layer;
    if (status == SM_OK)
        *out = (struct sm_case){ drive, module, original };
    return status;
}
