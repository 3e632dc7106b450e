/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/case.h"

#define BRIDGE_SWITCHES 6 /* 1  switches of a three-phase bridge */

int sm_module_switches(const struct sm_module *module)
{
    switch ((enum sm_circuit)module->circuit) {
    case SM_CIRCUIT_SINGLE:
        return 1;
    case SM_CIRCUIT_HALF_BRIDGE:
        return 2;
    case SM_CIRCUIT_SIX_PACK:
        return BRIDGE_SWITCHES;
    }
    return 0;
}

int sm_case_module_count(const struct sm_case *c)
{
    const int switches = sm_module_switches(c->module);
    const int wanted = BRIDGE_SWITCHES * c->drive->rating.parallel;
    if (switches == 0 || wanted % switches != 0)
        return 0;
    return wanted / switches;
}
