/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The whole drive as one network: the ladders of IGBT and diode, the cases, the sink, to the air.
 *
 * What behaves alike at every moment is put together: one switch may stand for all switches of its
 * module and one module for all of the drive (means over the output cycle), or each of the six
 * switches may stand by itself (inside the cycle, where they take turns).
 *
 * Equations: docs/method.md, eq. 17.8 to 17.9. */
#ifndef SM_THERMAL_HEAT_NETWORK_H
#define SM_THERMAL_HEAT_NETWORK_H

#include "thermal/cauer.h"
#include "thermal/heat_path.h"
#include "thermal/network.h"

enum { BRIDGE_SWITCHES = 6 };

struct heat_network_plan {
    const struct heat_path *path; /* its sink is not held: rth_sa above 0 */
    struct cauer ladder[SM_CHIP_COUNT];
    double sink_capacity; /* J/K  above 0 */
    double base_capacity; /* J/K  of each module's case; 0: it follows at once.  A joint per switch
                             leaves no place for it: it must be 0 then */
    bool bridge;          /* the six switches apart, else one for all */
};

struct heat_network {
    struct network net;
    const struct heat_path *path;
    size_t sink;
    size_t n_switches;                                 /* 1 or 6; in the order of their modules */
    size_t junction[BRIDGE_SWITCHES][SM_CHIP_COUNT];   /* places */
    size_t case_under[BRIDGE_SWITCHES][SM_CHIP_COUNT]; /* places; the same one where shared */
    double alike; /* 1  how many switches of the drive one stands for */
};

/* Errors: SM_ERR_MEMORY; SM_ERR_CONVERGE and SM_ERR_DOMAIN as network_find_modes(). */
enum sm_status heat_network_build(struct arena *arena, const struct heat_network_plan *plan,
                                  struct heat_network *out);

/* power [net.n], W: what does not come from chips.  lead: W per switch. */
void heat_network_constant(const struct heat_network *heat, double lead, double *power);

/* Adds the loss of one chip of one switch, W. */
static inline void heat_network_loss(const struct heat_network *heat, size_t sw,
                                     enum sm_chip_kind kind, double loss, double *power)
{
    power[heat->junction[sw][kind]] += heat->alike * loss;
}

#endif
