/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/compare_options.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

/* More than any list has; keeps the arithmetic of a slip out. */
#define COUNT_MOST 1000000000UL

static const struct sm_place place = { .file = PROGRAM_NAME };

/* A whole number from 1 up, and where it ends. */
static bool count_read(const char *text, size_t *out, const char **end)
{
    char *stop = NULL;
    if (text[0] < '0' || text[0] > '9') {
        return false;
    }
    errno = 0;
    const unsigned long value = strtoul(text, &stop, 10);
    *out = value;
    *end = stop;
    return errno == 0 && value >= 1 && value <= COUNT_MOST;
}

static void top_read(const char *text, struct compare_options *out, struct sm_faults *faults)
{
    const char *end = "";
    if (!count_read(text, &out->top, &end) || end[0] != '\0') {
        (void)sm_fault_add(faults, SM_ERR_VALUE, &place,
                           "option '--top' has '%s'; expected a whole number from 1 up", text);
    }
}

static void shard_read(const char *text, struct compare_options *out, struct sm_faults *faults)
{
    const char *end = "";
    size_t k = 0, n = 0;
    if (!count_read(text, &k, &end) || end[0] != '/' || !count_read(end + 1, &n, &end) ||
        end[0] != '\0' || k > n) {
        (void)sm_fault_add(faults, SM_ERR_VALUE, &place,
                           "option '--shard' has '%s'; expected K/N with K from 1 to N", text);
        return;
    }
    out->shard = k - 1;
    out->shards = n;
}

static void order_read(const char *text, struct compare_options *out, struct sm_faults *faults)
{
    static const char *const words[ORDER_COUNT] = {
        [ORDER_RANK] = "rank",     [ORDER_MARGIN] = "margin",       [ORDER_PRICE] = "price",
        [ORDER_LOSSES] = "losses", [ORDER_LEAD_TIME] = "lead-time", [ORDER_FILE] = "file",
    };
    out->order =
        (enum row_order)options_word(faults, "option '--sort' has no", text, words, ORDER_COUNT);
}

static void only_read(const char *text, struct compare_options *out, struct sm_faults *faults)
{
    const char *words[SM_STANDING_COUNT];
    for (int i = 0; i < SM_STANDING_COUNT; i++) {
        words[i] = word_standing((enum sm_standing)i);
    }
    out->only = (enum sm_standing)options_word(faults, "option '--only' has no", text, words,
                                               SM_STANDING_COUNT);
}

/* Operands and options that exclude each other. */
static void together_check(const struct options *options, struct sm_faults *faults)
{
    const bool merge = options->given[OPTION_MERGE];
    static const enum option_id others[] = { OPTION_DRIVES, OPTION_SHARD, OPTION_JOINT,
                                             OPTION_TABLES };
    for (size_t i = 0; merge && i < sizeof others / sizeof others[0]; i++) {
        if (options->given[others[i]]) {
            (void)sm_fault_add(faults, SM_ERR_VALUE, &place,
                               "options '--merge' and '--%s' exclude each other: merged rows are "
                               "computed already",
                               option_row(others[i])->name);
        }
    }
    if (!merge && !options->given[OPTION_DRIVES] && options->n_operands < 2) {
        (void)sm_fault_add(faults, SM_ERR_VALUE, &place,
                           "'compare' needs DRIVE and at least one MODULE or folder");
    }
}

enum sm_status compare_options_read(const struct options *options, struct compare_options *out,
                                    struct sm_faults *faults)
{
    const size_t before = faults->count;
    *out = (struct compare_options){ .only = SM_STANDING_COUNT, .shards = 1 };
    if (options->value[OPTION_TOP]) {
        top_read(options->value[OPTION_TOP], out, faults);
    }
    if (options->value[OPTION_SHARD]) {
        shard_read(options->value[OPTION_SHARD], out, faults);
    }
    if (options->value[OPTION_SORT]) {
        order_read(options->value[OPTION_SORT], out, faults);
    }
    if (options->value[OPTION_ONLY]) {
        only_read(options->value[OPTION_ONLY], out, faults);
    }
    together_check(options, faults);
    return faults->count > before ? faults->list[before].status : SM_OK;
}
