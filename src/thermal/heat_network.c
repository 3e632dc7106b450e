/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/heat_network.h"

/* While it is put together. */
struct building {
    const struct heat_network_plan *plan;
    struct heat_network *heat;
    size_t next;           /* place that is free */
    size_t switches;       /* of one module that stand by themselves */
    double modules_alike;  /* 1  modules that one case stands for */
    double switches_alike; /* 1  switches of a module that one stands for */
};

static bool shared_case(const struct heat_network_plan *plan)
{
    return plan->path->form == SM_JOINT_MODULE;
}

/* From the junction down to a case. */
static void ladder_add(struct building *b, size_t sw, enum sm_chip_kind kind)
{
    struct network *net = &b->heat->net;
    const struct cauer *ladder = &b->plan->ladder[kind];
    const double alike = b->heat->alike;
    b->heat->junction[sw][kind] = b->next;
    for (size_t k = 0; k < ladder->n; k++) {
        const bool last = k + 1 == ladder->n;
        network_store(net, b->next, ladder->c[k] * alike);
        network_join(net, b->next, last ? b->heat->case_under[sw][kind] : b->next + 1,
                     ladder->r[k] / alike);
        b->next++;
    }
}

/* A case of its own under each chip, over its own joint. */
static void own_cases_add(struct building *b, size_t sw)
{
    for (int k = 0; k < SM_CHIP_COUNT; k++) {
        b->heat->case_under[sw][k] = b->next;
        network_join(&b->heat->net, b->next++, b->heat->sink,
                     b->plan->path->rth_switch[k] / b->heat->alike);
    }
}

static void module_add(struct building *b, size_t module)
{
    const size_t base = b->next;
    if (shared_case(b->plan)) {
        network_store(&b->heat->net, base, b->plan->base_capacity * b->modules_alike);
        network_join(&b->heat->net, base, b->heat->sink,
                     b->plan->path->rth_module / b->modules_alike);
        b->next++;
    }
    for (size_t s = 0; s < b->switches; s++) {
        const size_t sw = module * b->switches + s;
        if (!shared_case(b->plan))
            own_cases_add(b, sw);
        for (int k = 0; k < SM_CHIP_COUNT; k++) {
            if (shared_case(b->plan))
                b->heat->case_under[sw][k] = base;
            ladder_add(b, sw, (enum sm_chip_kind)k);
        }
    }
}

static size_t places_of(const struct heat_network_plan *plan, size_t modules, size_t switches)
{
    const size_t rungs = plan->ladder[SM_IGBT].n + plan->ladder[SM_DIODE].n;
    const size_t cases = shared_case(plan) ? 1 : switches * SM_CHIP_COUNT;
    return 1 + modules * (cases + switches * rungs);
}

enum sm_status heat_network_build(struct arena *arena, const struct heat_network_plan *plan,
                                  struct heat_network *out)
{
    const struct heat_path *path = plan->path;
    const size_t switches = plan->bridge ? (size_t)path->switches : 1;
    const size_t modules = plan->bridge ? BRIDGE_SWITCHES / switches : 1;
    *out = (struct heat_network){ .path = path, .n_switches = modules * switches };
    struct building b = { .plan = plan,
                          .heat = out,
                          .next = 1,
                          .switches = switches,
                          .modules_alike = (double)path->modules / (double)modules,
                          .switches_alike = (double)path->switches / (double)switches };
    out->alike = b.modules_alike * b.switches_alike;
    out->net = network_new(arena, places_of(plan, modules, switches));
    if (arena->failed)
        return SM_ERR_MEMORY;
    network_store(&out->net, out->sink, plan->sink_capacity);
    network_ground(&out->net, out->sink, path->rth_sa);
    for (size_t m = 0; m < modules; m++)
        module_add(&b, m);
    return network_find_modes(arena, &out->net);
}

void heat_network_constant(const struct heat_network *heat, double lead, double *power)
{
    const struct heat_path *path = heat->path;
    const double of_module = path->switches * lead + path->same_case_heat;
    const double of_switch = path->modules * of_module / (double)heat->n_switches;
    for (size_t k = 0; k < heat->net.n; k++)
        power[k] = 0.0;
    power[heat->sink] = path->other_heat;
    for (size_t s = 0; s < heat->n_switches; s++)
        power[path->form == SM_JOINT_MODULE ? heat->case_under[s][SM_IGBT] : heat->sink] +=
            of_switch;
}
