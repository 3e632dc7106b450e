/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the options of a comparison ask for. */
#ifndef SWAPMARGIN_CMD_COMPARE_OPTIONS_H
#define SWAPMARGIN_CMD_COMPARE_OPTIONS_H

#include "cmd/compare_rows.h"
#include "cmd/options.h"

struct compare_options {
    enum row_order order;
    enum sm_standing only; /* SM_STANDING_COUNT: all */
    size_t top;            /* 0: all */
    size_t shard, shards;  /* 0, 1, ... of so many; 0 of 1: everything */
};

/* Reads them from the command line.  Errors: SM_ERR_KEY, SM_ERR_VALUE, one fault each. */
enum sm_status compare_options_read(const struct options *options, struct compare_options *out,
                                    struct sm_faults *faults);

#endif
