/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rows of a log as they are judged: which are loaded, which are cold, what each reads, how much
 * heat the model has for it, and which were put aside.
 *
 * Equations: docs/method.md, eq. 18.1. */
#ifndef SM_ASSESS_LOG_ROWS_H
#define SM_ASSESS_LOG_ROWS_H

#include "base/arena.h"
#include "solve/heat_map.h"
#include "swapmargin/log.h"

/* 1: of output_current.  All phases below the first: no load, no heat; their mean above the second:
 * loaded (both common practice, no source). */
#define LOG_COLD 0.05
#define LOG_LOADED 0.20

/* 1: of output_current: more is a slip of the pen or of the clamp's range (common practice). */
#define LOG_MOST_CURRENT 10.0

/* The model's heat, over a held case and over a held sink. */
struct log_model {
    struct stage on_case, on_sink;
    struct heat_map case_map, sink_map;
};

/* What a row's currents say. */
struct log_load {
    bool known;  /* all three are there */
    bool loaded; /* never both */
    bool cold;
    double mean; /* A  of the three */
};

struct log_rows {
    struct arena *arena;
    const struct sm_case *c;
    const struct sm_loadrun *expected;
    const struct sm_log *log;
    bool ntc_as_case;
    struct log_model *model;
    struct log_load *load;       /* [n_rows], as the next three */
    enum sm_log_aside_id *aside; /* SM_LOG_IN_USE as a rule */
    enum sm_log_column *gap;     /* of SM_LOG_ASIDE_GAP */
    double *off;                 /* K  of the two that are off */
    size_t n_known, n_loaded, n_cold;
};

/* Opens the maps for every row of a log with these bounds: hz and current of a loaded row, any
 * temperature of log_columns.def.  Errors: SM_ERR_MEMORY. */
enum sm_status log_model_open(struct arena *arena, struct arena *scratch, const struct sm_case *c,
                              const struct heat_bounds *bounds, struct log_model *model);

/* Bounds that hold every row that log_rows_can_heat(). */
struct heat_bounds log_bounds(const struct sm_case *c, const struct sm_log *log);

/* Given: arena, c, expected, log, ntc_as_case, model; the rest is filled.  Rows with a gap in the
 * columns of joint and heatsink are put aside.  Errors: SM_ERR_MEMORY. */
enum sm_status log_rows_open(struct log_rows *rows);

/* K: the thermistor; false when the row has none that can be told. */
bool log_rows_ntc(const struct log_rows *rows, size_t i, double *t);

/* K: the case, or the thermistor that stands for it; false when the row has none. */
bool log_rows_case(const struct log_rows *rows, size_t i, double *t);

/* The model can tell the heat of this row: it is cold, or its current and frequency are there and
 * in range. */
bool log_rows_can_heat(const struct log_rows *rows, size_t i);

/* Heat of one module, W, and its slope over the held temperature, W/K.  Of a cold row both are 0.
 * Returned: false, and the row put aside, when there is no equilibrium. */
bool log_rows_heat(const struct log_rows *rows, struct heat_map *map, size_t i, double held,
                   double *heat, double *slope);

#endif
