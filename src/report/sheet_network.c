/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_loadrun.h"
#include "report/sheet_check.h"
#include "report/words.h"

#include <math.h>

/* Differences that round to nothing carry no sign. */
#define NOTHING_K 0.005

static const char *signed_kelvin(struct sheet *sheet, double k)
{
    return fabs(k) < NOTHING_K ? "0.00 K" : sheet_format(sheet, "%+.2f K", k);
}

/* "30 Hz, minute 5". */
static const char *when(struct sheet *sheet, const struct sm_network_run *run,
                        const struct sm_gap *gap)
{
    return sheet_format(sheet, "%s, minute %.3g", sheet_quantity(sheet, run->output_hz, "Hz"),
                        gap->time / SECONDS_PER_MINUTE);
}

static double end_gap(const struct sm_network_run *run)
{
    const struct sm_mark *end = &run->mark[run->n_marks - 1];
    return end->network.tvj_max - end->rules.tvj_max;
}

static double sink_gap(const struct sm_network_run *run)
{
    return run->sink.value;
}

static double tvj_gap(const struct sm_network_run *run)
{
    return run->tvj.value;
}

/* The run that the gap is largest in, of those that are told; NULL when none is. */
static const struct sm_network_run *worst_of(const struct sm_network_run *runs, size_t n,
                                             double gap(const struct sm_network_run *))
{
    const struct sm_network_run *worst = NULL;
    for (size_t i = 0; i < n; i++)
        if (runs[i].untold == SM_TOLD && (!worst || fabs(gap(&runs[i])) > fabs(gap(worst))))
            worst = &runs[i];
    return worst;
}

static const char *overload_words(struct sheet *sheet, const struct sm_network *network)
{
    const struct sm_network_run *worst =
        worst_of(network->overloads, network->n_overloads, end_gap);
    return worst ? sheet_format(sheet, ", from the check by %s at the end of the overload",
                                signed_kelvin(sheet, end_gap(worst)))
                 : "";
}

static const char *runs_words(struct sheet *sheet, const struct sm_network *network)
{
    const struct sm_network_run *sink = worst_of(network->runs, network->n_runs, sink_gap);
    const struct sm_network_run *tvj = worst_of(network->runs, network->n_runs, tvj_gap);
    if (!sink || !tvj)
        return "It has no equilibrium to tell of.";
    const double second = sink->mark[SM_MARKS_DOUBLING].time / SECONDS_PER_MINUTE;
    return sheet_format(sheet,
                        "It differs from the readings above by %s at most in the sink (%s) and by "
                        "%s in the hottest junction (%s; by more before minute %.3g)%s.%s",
                        signed_kelvin(sheet, sink->sink.value), when(sheet, sink, &sink->sink),
                        signed_kelvin(sheet, tvj->tvj.value), when(sheet, tvj, &tvj->tvj), second,
                        overload_words(sheet, network),
                        sink->sink.value < -SM_BAND_METER
                            ? " That is more than a meter errs: expect them later than told."
                            : "");
}

/* The slowest of the low frequencies: there it is the most. */
static const char *cycle_words(struct sheet *sheet, const struct sm_network *network)
{
    const struct sm_network_cycle *cycle = network->cycles;
    if (network->n_cycles == 0 || cycle->untold != SM_TOLD)
        return "";
    const int hot = cycle->tvj_max[SM_DIODE] > cycle->tvj_max[SM_IGBT] ? SM_DIODE : SM_IGBT;
    return sheet_format(sheet,
                        " At %s the case ripples by %.2f K, which moves the junction's peak by %s.",
                        sheet_quantity(sheet, cycle->output_hz, "Hz"), cycle->case_ripple[hot],
                        signed_kelvin(sheet, cycle->tvj_max[hot] - cycle->rules_tvj_max[hot]));
}

void sheet_network(struct sheet *sheet, const struct loadrun_page *page)
{
    const struct sm_network *network = page->network;
    (void)sheet_add(sheet, SHEET_HEADING, "Chips, cases and sink as one network", "network");
    (void)sheet_add(
        sheet, SHEET_PARAGRAPH, "",
        network->untold != SM_TOLD
            ? sheet_format(sheet, "Not told: %s.", word_untold(network->untold))
            : sheet_format(sheet,
                           "A second calculation lets chips and cases take their time too. %s%s",
                           runs_words(sheet, network), cycle_words(sheet, network)));
}
