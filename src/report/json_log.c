/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_log.h"

#include "base/text.h"

/* The unit of thermal resistances; their intervals carry none in their names. */
#define RESISTANCE "K/W"

static json_t *causes_json(struct json_writer *writer, const struct sm_log_finding *finding)
{
    json_t *list = json_array();
    for (size_t i = 0; i < finding->n_causes; i++) {
        const struct log_cause_words *words = word_log_cause(finding->cause[i]);
        json_t *cause = json_object();
        json_put(writer, cause, "name", json_words(writer, words->name));
        json_put(writer, cause, "text", json_words(writer, words->text));
        json_put(writer, cause, "look", json_words(writer, words->look));
        json_append(writer, list, cause);
    }
    return list;
}

static void finding_put(struct json_writer *writer, json_t *out,
                        const struct sm_log_finding *finding, const char *why)
{
    json_put(writer, out, "result", json_words(writer, word_log_result(finding->result)));
    json_put(writer, out, "why", json_words(writer, why));
    json_put(writer, out, "rows", json_number(writer, (double)finding->rows));
    json_put(writer, out, "causes", causes_json(writer, finding));
}

static struct sm_optional known(bool given, double value)
{
    return (struct sm_optional){ .given = given, .value = value };
}

static void put(struct json_writer *writer, json_t *out, const char *key, struct sm_optional value,
                const char *unit)
{
    json_put(writer, out, key, json_optional(writer, value, unit));
}

static bool is_told(const struct sm_log_finding *finding)
{
    return finding->result != SM_LOG_IS_NOT_CHECKED && finding->result != SM_LOG_IS_NOT_SETTLED;
}

static json_t *stop_json(struct json_writer *writer, const struct sm_log_stop *stop)
{
    const bool told = is_told(&stop->is);
    json_t *out = json_object();
    finding_put(writer, out, &stop->is, word_log_why(stop->is.why));
    json_put(writer, out, "rows_over", json_number(writer, (double)stop->over));
    json_put(writer, out, "rows_stray", json_number(writer, (double)stop->strays));
    put(writer, out, "time_min", known(told, stop->time), "min");
    json_put(writer, out, "line", told ? json_number(writer, stop->line) : json_null());
    put(writer, out, "output_hz", known(told, stop->output_hz), "Hz");
    json_put(writer, out, "column",
             json_words(writer, told ? word_log_column(stop->column) : NULL));
    put(writer, out, "read_c", known(told, stop->value), "degC");
    put(writer, out, "limit_c", known(told, stop->limit), "degC");
    return out;
}

static json_t *runs_json(struct json_writer *writer, const struct sm_log_judgement *judgement)
{
    json_t *list = json_array();
    for (size_t i = 0; i < judgement->n_runs; i++) {
        const struct sm_log_run *run = &judgement->runs[i];
        json_t *out = json_object();
        put(writer, out, "output_hz", sm_given(run->output_hz), "Hz");
        json_put(writer, out, "rows", json_number(writer, (double)run->rows));
        put(writer, out, "duration_min", sm_given(run->duration), "min");
        put(writer, out, "current_a", run->current, "A");
        put(writer, out, "expected_a", sm_given(run->expected), "A");
        json_append(writer, list, out);
    }
    return list;
}

static json_t *notes_json(struct json_writer *writer, const struct sm_log_judgement *judgement)
{
    json_t *list = json_array();
    for (size_t i = 0; i < judgement->n_notes; i++) {
        struct sm_text words;
        sm_text_init(&words);
        log_note_words(&words, &judgement->notes[i], true);
        json_append(writer, list, json_taken(writer, &words));
    }
    return list;
}

static json_t *balance_json(struct json_writer *writer, const struct sm_log_balance *balance)
{
    const bool told = is_told(&balance->is);
    json_t *out = json_object(), *phases = json_array();
    put(writer, out, "median_percent", known(told, balance->median), "%");
    put(writer, out, "limit_percent", sm_given(balance->limit), "%");
    finding_put(writer, out, &balance->is, word_log_why(balance->is.why));
    for (int k = 0; k < SM_LOG_PHASES; k++) {
        json_t *phase = json_object();
        json_put(writer, phase, "phase", json_words(writer, word_log_phase(k)));
        put(writer, phase, "over_mean_percent", known(told, balance->phase[k]), "%");
        json_append(writer, phases, phase);
    }
    json_put(writer, out, "phases", phases);
    json_put(writer, out, "worst_phase",
             json_words(writer, told ? word_log_phase(balance->worst) : NULL));
    return out;
}

static void estimate_put(struct json_writer *writer, json_t *out, bool told,
                         const struct sm_log_estimate *rth, double expected)
{
    put(writer, out, "rth_k_per_w", known(told, rth->value), RESISTANCE);
    put(writer, out, "std_error", known(told, rth->std_error), RESISTANCE);
    put(writer, out, "low", known(told, rth->low), RESISTANCE);
    put(writer, out, "high", known(told, rth->high), RESISTANCE);
    put(writer, out, "low_with_model", known(told, rth->low_with_model), RESISTANCE);
    put(writer, out, "high_with_model", known(told, rth->high_with_model), RESISTANCE);
    put(writer, out, "expected_k_per_w", sm_given(expected), RESISTANCE);
}

static json_t *joint_json(struct json_writer *writer, const struct sm_log_joint *joint)
{
    const bool told = is_told(&joint->is);
    json_t *out = json_object();
    estimate_put(writer, out, told, &joint->rth, joint->expected);
    put(writer, out, "thickness_um", joint->thickness, "um");
    finding_put(writer, out, &joint->is, word_log_why(joint->is.why));
    json_put(writer, out, "case_from",
             json_words(writer, word_log_column(joint->from_ntc ? SM_LOG_NTC : SM_LOG_CASE)));
    json_put(writer, out, "cold_rows", json_number(writer, (double)joint->cold));
    put(writer, out, "offset_k", known(told, joint->offset), "K");
    json_put(writer, out, "offset_from",
             json_words(writer, told ? word_log_offset(joint->offset_from) : NULL));
    put(writer, out, "one_kelvin_percent", joint->per_kelvin, "%");
    put(writer, out, "drift_percent", joint->drift, "%");
    return out;
}

static json_t *sink_json(struct json_writer *writer, const struct sm_log_sink *sink)
{
    const bool told = is_told(&sink->is), looked = sink->time_constant > 0.0;
    json_t *out = json_object();
    estimate_put(writer, out, told, &sink->rth, sink->expected);
    finding_put(writer, out, &sink->is, word_log_why(sink->is.why));
    put(writer, out, "capacity_j_per_k", known(told, sink->capacity), "J/K");
    put(writer, out, "time_constant_s", known(looked, sink->time_constant), "s");
    put(writer, out, "duration_s", known(sink->duration > 0.0, sink->duration), "s");
    return out;
}

static json_t *bus_json(struct json_writer *writer, const struct sm_log_bus *bus)
{
    json_t *out = json_object();
    put(writer, out, "median_v", known(is_told(&bus->is), bus->median), "V");
    put(writer, out, "expected_v", sm_given(bus->expected), "V");
    put(writer, out, "highest_v", sm_given(bus->highest), "V");
    put(writer, out, "limit_percent", sm_given(SM_LOG_BUS_LIMIT), "%");
    finding_put(writer, out, &bus->is, word_log_why(bus->is.why));
    return out;
}

static json_t *ripple_json(struct json_writer *writer, const struct sm_log_ripple *ripple)
{
    const bool told = is_told(&ripple->is);
    json_t *out = json_object();
    put(writer, out, "median_v", known(told, ripple->median), "V");
    put(writer, out, "expected_v", known(told, ripple->expected), "V");
    put(writer, out, "phase_lost_v", known(told, ripple->lost), "V");
    finding_put(writer, out, &ripple->is, log_ripple_why(ripple));
    return out;
}

static json_t *ntc_json(struct json_writer *writer, const struct sm_log_ntc *ntc)
{
    json_t *out = json_object();
    put(writer, out, "median_c", known(ntc->why == SM_LOG_TOLD, ntc->t), "degC");
    put(writer, out, "over_case_k", ntc->over_case, "K");
    put(writer, out, "over_sink_k", ntc->over_sink, "K");
    json_put(writer, out, "why", json_words(writer, word_log_why(ntc->why)));
    return out;
}

static json_t *asides_json(struct json_writer *writer, const struct sm_log_judgement *judgement)
{
    json_t *list = json_array();
    for (size_t i = 0; i < judgement->n_asides; i++) {
        const struct sm_log_aside *aside = &judgement->asides[i];
        const bool off =
            aside->why == SM_LOG_ASIDE_JOINT_OFF || aside->why == SM_LOG_ASIDE_SINK_OFF;
        json_t *row = json_object();
        struct sm_text why;
        sm_text_init(&why);
        log_aside_add(&why, aside, true);
        json_put(writer, row, "line", json_number(writer, aside->line));
        json_put(writer, row, "why", json_taken(writer, &why));
        put(writer, row, "off_k", known(off, aside->off), "K");
        json_append(writer, list, row);
    }
    return list;
}

json_t *json_log(struct json_writer *writer, const struct log_page *page)
{
    const struct sm_log_judgement *judgement = page->judgement;
    json_t *out = json_object(), *ignored = json_array();
    for (size_t i = 0; i < page->log->n_ignored; i++) {
        json_append(writer, ignored, json_words(writer, page->log->ignored[i]));
    }
    json_put(writer, out, "file", json_words(writer, page->log->file));
    json_put(writer, out, "samples", json_number(writer, (double)judgement->samples));
    json_put(writer, out, "used", json_number(writer, (double)judgement->used));
    json_put(writer, out, "loaded", json_number(writer, (double)judgement->loaded));
    json_put(writer, out, "cold", json_number(writer, (double)judgement->cold));
    json_put(writer, out, "runs", runs_json(writer, judgement));
    json_put(writer, out, "notes", notes_json(writer, judgement));
    json_put(writer, out, "stop", stop_json(writer, &judgement->stop));
    json_put(writer, out, "balance", balance_json(writer, &judgement->balance));
    json_put(writer, out, "joint", joint_json(writer, &judgement->joint));
    json_put(writer, out, "sink", sink_json(writer, &judgement->sink));
    json_put(writer, out, "bus", bus_json(writer, &judgement->bus));
    json_put(writer, out, "ripple", ripple_json(writer, &judgement->ripple));
    json_put(writer, out, "ntc", ntc_json(writer, &judgement->ntc));
    json_put(writer, out, "set_aside", asides_json(writer, judgement));
    json_put(writer, out, "ignored_columns", ignored);
    return out;
}
