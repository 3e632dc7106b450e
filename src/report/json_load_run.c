/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_loadrun.h"
#include "report/words.h"

#include <stddef.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* The numbers of a reading, and under which name each is told. */
static const struct reading_key {
    const char *name;
    const char *unit;
    size_t offset;
} reading_keys[] = {
    { "sink_c", "degC", offsetof(struct sm_reading, t_sink) },
    { "sink_band_k", "K", offsetof(struct sm_reading, sink_band) },
    { "case_igbt_c", "degC", offsetof(struct sm_reading, t_case[SM_IGBT]) },
    { "case_igbt_band_k", "K", offsetof(struct sm_reading, case_band[SM_IGBT]) },
    { "case_diode_c", "degC", offsetof(struct sm_reading, t_case[SM_DIODE]) },
    { "case_diode_band_k", "K", offsetof(struct sm_reading, case_band[SM_DIODE]) },
    { "tvj_max_c", "degC", offsetof(struct sm_reading, tvj_max) },
};

static json_t *number_of(struct json_writer *writer, const struct sm_reading *reading,
                         const struct reading_key *key)
{
    const double *si = (const double *)(const void *)((const char *)reading + key->offset);
    return json_quantity(writer, *si, key->unit);
}

/* How many entries a list of readings has: as many as there are minutes, but none where no curve is
 * known at all. */
static size_t listed(const struct sm_load_run *run)
{
    return run->untold == SM_UNTOLD_NO_SINK_CAPACITY ? 0 : SM_READINGS;
}

static void readings_put(struct json_writer *writer, json_t *out, const struct sm_load_run *run)
{
    json_t *minutes = json_array(), *hottest = json_array(), *share = json_array();
    for (size_t i = 0; i < SM_READINGS; i++) {
        json_append(writer, minutes, json_number(writer, run->minute[i] / SECONDS_PER_MINUTE));
    }
    json_put(writer, out, "minutes", minutes);
    for (size_t k = 0; k < COUNT(reading_keys); k++) {
        json_t *list = json_array();
        for (size_t i = 0; i < listed(run); i++) {
            json_append(writer, list,
                        i < run->n_readings ? number_of(writer, &run->reading[i], &reading_keys[k])
                                            : json_null());
        }
        json_put(writer, out, reading_keys[k].name, list);
    }
    for (size_t i = 0; i < listed(run); i++) {
        const bool told = i < run->n_readings;
        json_append(writer, hottest,
                    json_words(writer, told ? word_chip(run->reading[i].hottest) : NULL));
        json_append(writer, share,
                    told && run->settled_untold == SM_TOLD
                        ? json_number(writer, run->reading[i].share)
                        : json_null());
    }
    json_put(writer, out, "hottest", hottest);
    json_put(writer, out, "settled_share", share);
    json_put(writer, out, "why", json_words(writer, word_untold(run->untold)));
}

static json_t *settled_json(struct json_writer *writer, const struct sm_load_run *run)
{
    const bool told = run->settled_untold == SM_TOLD;
    json_t *out = json_object();
    for (size_t k = 0; k < COUNT(reading_keys); k++) {
        json_put(writer, out, reading_keys[k].name,
                 told ? number_of(writer, &run->settled, &reading_keys[k]) : json_null());
    }
    json_put(writer, out, "hottest",
             json_words(writer, told ? word_chip(run->settled.hottest) : NULL));
    json_put(writer, out, "why", json_words(writer, word_untold(run->settled_untold)));
    return out;
}

/* A value under `key`, or null with the reason under `why`. */
static void told_put(struct json_writer *writer, json_t *out, const char *key, const char *why,
                     const struct sm_told *told, const char *unit)
{
    json_put(writer, out, key,
             told->untold == SM_TOLD ? json_quantity(writer, told->value, unit) : json_null());
    if (why) {
        json_put(writer, out, why, json_words(writer, word_untold(told->untold)));
    }
}

json_t *json_load_run(struct json_writer *writer, const struct sm_load_run *run)
{
    json_t *out = json_object();
    json_put(writer, out, "output_hz", json_number(writer, run->output_hz));
    json_put(writer, out, "current_a", json_number(writer, run->i_module));
    json_put(writer, out, "drive_current_a", json_number(writer, run->i_drive));
    json_put(writer, out, "imbalance_a", json_number(writer, run->imbalance));
    readings_put(writer, out, run);
    json_put(writer, out, "settled", settled_json(writer, run));
    json_put(writer, out, "bus_v", json_number(writer, run->v_dc));
    told_put(writer, out, "bus_power_w", "bus_power_why", &run->power, "W");
    told_put(writer, out, "ripple_v", "ripple_why", &run->ripple, "V");
    told_put(writer, out, "ripple_lost_phase_v", "ripple_lost_phase_why", &run->ripple_lost, "V");
    told_put(writer, out, "ripple_no_capacitor_v", NULL, &run->ripple_bound, "V");
    told_put(writer, out, "stop_sink_c", "stop_why", &run->stop_sink, "degC");
    told_put(writer, out, "stop_case_c", NULL, &run->stop_case[SM_IGBT], "degC");
    told_put(writer, out, "stop_case_diode_c", NULL, &run->stop_case[SM_DIODE], "degC");
    return out;
}
