/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_loadrun.h"
#include "report/sheet_check.h"

#include <math.h>

#define SECONDS_PER_MINUTE 60.0

/* Differences below this are told as none. */
#define NOTHING_K 0.005

/* "0.61 K lower than", "the same as". */
static const char *against(struct sheet *sheet, double gap)
{
    if (fabs(gap) < NOTHING_K)
        return "the same as";
    return sheet_format(sheet, "%.2f K %s than", fabs(gap), gap < 0.0 ? "lower" : "higher");
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

static const char *runs_words(struct sheet *sheet, const struct sm_network *network)
{
    const struct sm_network_run *sink = worst_of(network->runs, network->n_runs, sink_gap);
    const struct sm_network_run *tvj = worst_of(network->runs, network->n_runs, tvj_gap);
    if (!sink || !tvj)
        return "It has no equilibrium to tell of.";
    const double second = sink->mark[SM_MARKS_DOUBLING].time / SECONDS_PER_MINUTE;
    return sheet_format(sheet,
                        "Where they differ most, its sink is %s the reading above (%s), its "
                        "hottest junction %s the one above (%s); before minute %.3g case and "
                        "junction lag by more.",
                        against(sheet, sink->sink.value), when(sheet, sink, &sink->sink),
                        against(sheet, tvj->tvj.value), when(sheet, tvj, &tvj->tvj), second);
}

static const char *overload_words(struct sheet *sheet, const struct sm_network *network)
{
    const struct sm_network_run *worst =
        worst_of(network->overloads, network->n_overloads, end_gap);
    return worst ? sheet_format(sheet, " After the overload its junction is %s what a check tells.",
                                against(sheet, end_gap(worst)))
                 : "";
}

/* The slowest of the low frequencies: there it is the most. */
static const char *cycle_words(struct sheet *sheet, const struct sm_network *network)
{
    const struct sm_network_cycle *cycle = network->cycles;
    if (network->n_cycles == 0 || cycle->untold != SM_TOLD)
        return "";
    const int hot = cycle->tvj_max[SM_DIODE] > cycle->tvj_max[SM_IGBT] ? SM_DIODE : SM_IGBT;
    return sheet_format(sheet,
                        " At %s its case ripples by %.2f K and its sink by %.2f K; with that the "
                        "junction's peak is %s without.",
                        sheet_quantity(sheet, cycle->output_hz, "Hz"), cycle->case_ripple[hot],
                        cycle->sink_ripple,
                        against(sheet, cycle->tvj_max[hot] - cycle->rules_tvj_max[hot]));
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
                           "A second calculation lets chips and cases take their time too. %s%s%s",
                           runs_words(sheet, network), overload_words(sheet, network),
                           cycle_words(sheet, network)));
}
