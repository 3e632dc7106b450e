/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_loadrun.h"
#include "report/words.h"

#include <stddef.h>

/* A list of numbers, in a unit. */
static json_t *column(struct json_writer *writer, const double *si, size_t n, const char *unit)
{
    json_t *list = json_array();
    for (size_t i = 0; i < n; i++) {
        json_append(writer, list, json_quantity(writer, si[i], unit));
    }
    return list;
}

/* ----------------------------------------------------------------- a run */

/* The temperatures of a mark, and under which name each is told. */
static const struct mark_key {
    const char *name;
    const char *unit;
    size_t offset;
} mark_keys[] = {
    { "time_s", "s", offsetof(struct sm_mark, time) },
    { "sink_c", "degC", offsetof(struct sm_mark, network.t_sink) },
    { "case_igbt_c", "degC", offsetof(struct sm_mark, network.t_case[SM_IGBT]) },
    { "case_diode_c", "degC", offsetof(struct sm_mark, network.t_case[SM_DIODE]) },
    { "tvj_max_c", "degC", offsetof(struct sm_mark, network.tvj_max) },
    { "rules_sink_c", "degC", offsetof(struct sm_mark, rules.t_sink) },
    { "rules_case_igbt_c", "degC", offsetof(struct sm_mark, rules.t_case[SM_IGBT]) },
    { "rules_case_diode_c", "degC", offsetof(struct sm_mark, rules.t_case[SM_DIODE]) },
    { "rules_tvj_max_c", "degC", offsetof(struct sm_mark, rules.tvj_max) },
};

static void curves_put(struct json_writer *writer, json_t *out, const struct sm_network_run *run)
{
    for (size_t k = 0; k < sizeof mark_keys / sizeof mark_keys[0]; k++) {
        json_t *list = json_array();
        for (size_t i = 0; i < run->n_marks; i++) {
            const char *mark = (const char *)&run->mark[i];
            const double *si = (const double *)(const void *)(mark + mark_keys[k].offset);
            json_append(writer, list, json_quantity(writer, *si, mark_keys[k].unit));
        }
        json_put(writer, out, mark_keys[k].name, list);
    }
}

static json_t *told_number(struct json_writer *writer, bool told, double number)
{
    return told ? json_number(writer, number) : json_null();
}

static json_t *run_json(struct json_writer *writer, const struct sm_network_run *run)
{
    const bool told = run->untold == SM_TOLD;
    json_t *out = json_object();
    json_put(writer, out, "output_hz", json_number(writer, run->output_hz));
    json_put(writer, out, "sink_difference_k", told_number(writer, told, run->sink.value));
    json_put(writer, out, "sink_difference_at_s", told_number(writer, told, run->sink.time));
    json_put(writer, out, "tvj_difference_k", told_number(writer, told, run->tvj.value));
    json_put(writer, out, "tvj_difference_at_s", told_number(writer, told, run->tvj.time));
    json_put(writer, out, "follows_after_s",
             told_number(writer, told && run->follows.given, run->follows.value));
    json_put(writer, out, "why", json_words(writer, word_untold(run->untold)));
    curves_put(writer, out, run);
    return out;
}

static json_t *runs_json(struct json_writer *writer, const struct sm_network_run *runs, size_t n)
{
    json_t *list = json_array();
    for (size_t i = 0; i < n; i++) {
        json_append(writer, list, run_json(writer, &runs[i]));
    }
    return list;
}

/* --------------------------------------------------------------- a cycle */

static void cycle_curves_put(struct json_writer *writer, json_t *out,
                             const struct sm_network_cycle *cycle, size_t n)
{
    json_put(writer, out, "time_s", column(writer, cycle->time, n, "s"));
    json_put(writer, out, "sink_c", column(writer, cycle->t_sink, n, "degC"));
    json_put(writer, out, "case_igbt_c", column(writer, cycle->t_case[SM_IGBT], n, "degC"));
    json_put(writer, out, "case_diode_c", column(writer, cycle->t_case[SM_DIODE], n, "degC"));
    json_put(writer, out, "tvj_igbt_c", column(writer, cycle->tvj[SM_IGBT], n, "degC"));
    json_put(writer, out, "tvj_diode_c", column(writer, cycle->tvj[SM_DIODE], n, "degC"));
}

static json_t *chip_json(struct json_writer *writer, const struct sm_network_cycle *cycle, int k)
{
    const bool told = cycle->untold == SM_TOLD;
    json_t *out = json_object();
    json_put(writer, out, "tvj_max_c",
             told ? json_quantity(writer, cycle->tvj_max[k], "degC") : json_null());
    json_put(writer, out, "rules_tvj_max_c",
             told ? json_quantity(writer, cycle->rules_tvj_max[k], "degC") : json_null());
    json_put(writer, out, "difference_k",
             told_number(writer, told, cycle->tvj_max[k] - cycle->rules_tvj_max[k]));
    json_put(writer, out, "case_ripple_k", told_number(writer, told, cycle->case_ripple[k]));
    return out;
}

static json_t *cycle_json(struct json_writer *writer, const struct sm_network_cycle *cycle)
{
    const bool told = cycle->untold == SM_TOLD;
    json_t *out = json_object();
    json_put(writer, out, "output_hz", json_number(writer, cycle->output_hz));
    json_put(writer, out, "igbt", chip_json(writer, cycle, SM_IGBT));
    json_put(writer, out, "diode", chip_json(writer, cycle, SM_DIODE));
    json_put(writer, out, "sink_ripple_k", told_number(writer, told, cycle->sink_ripple));
    json_put(writer, out, "why", json_words(writer, word_untold(cycle->untold)));
    cycle_curves_put(writer, out, cycle, told ? SM_CYCLE_POINTS : 0);
    return out;
}

/* ---------------------------------------------------------------- the whole */

static json_t *ladder_json(struct json_writer *writer, const struct sm_ladder *ladder)
{
    json_t *out = json_object();
    json_put(writer, out, "r_k_per_w", column(writer, ladder->r, ladder->n, "K/W"));
    json_put(writer, out, "c_j_per_k", column(writer, ladder->c, ladder->n, "J/K"));
    return out;
}

static json_t *told_json(struct json_writer *writer, bool any, const struct sm_told *told)
{
    return told_number(writer, any && told->untold == SM_TOLD, told->value);
}

json_t *json_network(struct json_writer *writer, const struct sm_network *network)
{
    const bool any = network->untold == SM_TOLD;
    json_t *out = json_object(), *cycles = json_array();
    json_put(writer, out, "why", json_words(writer, word_untold(network->untold)));
    json_put(writer, out, "places", any ? json_integer((json_int_t)network->places) : json_null());
    json_put(writer, out, "base_capacity_j_per_k",
             told_json(writer, true, &network->base_capacity));
    json_put(writer, out, "base_capacity_why",
             json_words(writer, word_untold(network->base_capacity.untold)));
    json_put(writer, out, "case_over_sink_s", told_json(writer, any, &network->case_over_sink));
    json_put(writer, out, "sink_s", told_number(writer, any, network->sink_to_air));
    json_put(writer, out, "chips_and_case_s", told_number(writer, any, network->rest_to_air));
    json_put(writer, out, "chips_and_case_share",
             told_number(writer, any, any ? network->rest_to_air / network->sink_to_air : 0.0));
    json_put(writer, out, "slowest_s", told_number(writer, any, network->slowest));
    json_put(writer, out, "igbt_ladder", ladder_json(writer, &network->ladder[SM_IGBT]));
    json_put(writer, out, "diode_ladder", ladder_json(writer, &network->ladder[SM_DIODE]));
    json_put(writer, out, "runs", runs_json(writer, network->runs, network->n_runs));
    json_put(writer, out, "overload", runs_json(writer, network->overloads, network->n_overloads));
    json_put(writer, out, "overload_why",
             json_words(writer, any && network->n_overloads == 0
                                    ? word_untold(SM_UNTOLD_NO_OVERLOAD)
                                    : NULL));
    for (size_t i = 0; i < network->n_cycles; i++) {
        json_append(writer, cycles, cycle_json(writer, &network->cycles[i]));
    }
    json_put(writer, out, "low_frequency", cycles);
    return out;
}
