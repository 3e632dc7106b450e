/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/stage.h"

#include "load/operating_point.h"

struct heat_path stage_path(const struct sm_drive *drive, const struct sm_module *module)
{
    const struct sm_case c = { .drive = drive, .module = module };
    const struct sm_joint_result joint = joint_of(&drive->joint, module);
    return (struct heat_path){ .t_base = drive->cooling.ambient,
                               .rth_sa = sink_resistance(&drive->cooling),
                               .other_heat = drive->cooling.other_heat,
                               .same_case_heat = drive->cooling.same_case_heat,
                               .modules = sm_case_module_count(&c),
                               .switches = sm_module_switches(module),
                               .form = joint.form,
                               .rth_module = joint.rth_module,
                               .rth_switch = { joint.rth_switch[SM_IGBT],
                                               joint.rth_switch[SM_DIODE] } };
}

struct stage stage_build(struct arena *arena, const struct sm_case *c)
{
    const struct sm_drive *drive = c->drive;
    const struct sm_module *module = c->module;
    const struct switching_use use = { .v_dc = drive_bus_voltage(&drive->rating),
                                       .rg_on = drive->gate.rg_on,
                                       .rg_off = drive->gate.rg_off };
    struct stage stage = {
        .device = { device_build(arena, module, SM_IGBT, &use),
                    device_build(arena, module, SM_DIODE, &use) },
        .foster_r = { &module->igbt_thermal.foster_r, &module->diode_thermal.foster_r },
        .foster_tau = { &module->igbt_thermal.foster_tau, &module->diode_thermal.foster_tau },
        .path = stage_path(drive, module),
        .lead_resistance = module->lead_resistance,
        .tvj_op_max = module->tvj_op_max,
        .loss_factor = 1.0,
        .widest = PANELS_WIDEST,
    };
    return stage;
}
