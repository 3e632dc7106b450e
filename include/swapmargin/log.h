/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The log of a load run: reading it, and what it says of the joint, the heatsink, the phases and
 * the bus, held against what the case promises. */
#ifndef SWAPMARGIN_LOG_H
#define SWAPMARGIN_LOG_H

#include "swapmargin/case.h"
#include "swapmargin/error.h"
#include "swapmargin/loadrun.h"
#include "swapmargin/text.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Ids SM_LOG_<ID> of every column, in the order of log_columns.def. */
enum sm_log_column {
#define LOG_COLUMN(id, ...) SM_LOG_##id,
#include "swapmargin/log_columns.def"
#undef LOG_COLUMN
    SM_LOG_COLUMN_COUNT
};

/* One line of the file. */
struct sm_log_row {
    int line;
    struct sm_optional cell[SM_LOG_COLUMN_COUNT]; /* SI; SM_LOG_TIME is always given */
};

struct sm_log {
    char *file;                    /* as the user named it */
    char sha256[SM_SHA256_SIZE];   /* of its bytes; "" for one made in memory */
    bool has[SM_LOG_COLUMN_COUNT]; /* the header names the column */
    struct sm_log_row *rows;       /* owned, in the order of time */
    size_t n_rows;
    char **ignored; /* owned; names of columns that are not ours, as typed */
    size_t n_ignored;
};

void sm_log_init(struct sm_log *log);
/* Frees the contents; safe twice. */
void sm_log_release(struct sm_log *log);

/* Reads a log: RFC 4180 with a header, cells parted by commas or semicolons, decimal point (with
 * semicolons a decimal comma too), lines ended by LF or CR LF, a byte order mark allowed.  Columns
 * in any order, others are named in log->ignored; empty cells are missing values.
 * Given: log from sm_log_init(); filled on SM_OK, as after init otherwise.
 * Errors: SM_ERR_FILE, SM_ERR_SYNTAX, SM_ERR_KEY (a column missing or given twice), SM_ERR_VALUE,
 * SM_ERR_RANGE, SM_ERR_MEMORY; every fault of the file is added, with line and column. */
enum sm_status sm_log_load(const char *file, struct sm_log *log, struct sm_faults *faults);

/* 1: standard deviation of what the model says of the heat, of the heat: typical curves, and what
 * is left out (common practice, no source). */
#define SM_LOG_MODEL_ERROR 0.05

/* 1: by how much an estimate must differ from what is expected to be high or low; what the median
 * of the bus may differ (both common practice, no source). */
#define SM_LOG_UNLIKE 0.15
#define SM_LOG_BUS_LIMIT 0.05

/* Rows of log_results.def. */
enum sm_log_result_id {
#define LOG_RESULT(id, text, bad) SM_LOG_IS_##id,
#include "swapmargin/log_results.def"
#undef LOG_RESULT
    SM_LOG_RESULT_COUNT
};

/* Rows of log_whys.def. */
enum sm_log_why_id {
    SM_LOG_TOLD, /* it is told */
#define LOG_WHY(id, text) SM_LOG_WHY_##id,
#include "swapmargin/log_whys.def"
#undef LOG_WHY
    SM_LOG_WHY_COUNT
};

/* Rows of log_causes.def. */
enum sm_log_cause_id {
#define LOG_CAUSE(id, name, text, look) SM_LOG_CAUSE_##id,
#include "swapmargin/log_causes.def"
#undef LOG_CAUSE
    SM_LOG_CAUSE_COUNT
};

/* Rows of log_asides.def. */
enum sm_log_aside_id {
    SM_LOG_IN_USE,
#define LOG_ASIDE(id, text) SM_LOG_ASIDE_##id,
#include "swapmargin/log_asides.def"
#undef LOG_ASIDE
    SM_LOG_ASIDE_COUNT
};

/* Rows of log_notes.def. */
enum sm_log_note_id {
#define LOG_NOTE(id, text) SM_LOG_NOTE_##id,
#include "swapmargin/log_notes.def"
#undef LOG_NOTE
    SM_LOG_NOTE_COUNT
};

enum { SM_LOG_CAUSES = 5, SM_LOG_PHASES = 3, SM_LOG_NOTE_ARGS = 3 };

/* A doubt about the log itself. */
struct sm_log_note {
    enum sm_log_note_id id;
    double value[SM_LOG_NOTE_ARGS]; /* SI, in the order of the row's placeholders */
};

/* One thing that a log tells, or why not. */
struct sm_log_finding {
    enum sm_log_result_id result;
    enum sm_log_why_id why;                    /* SM_LOG_TOLD where there is a result */
    size_t rows;                               /* that it rests on */
    size_t n_causes;                           /* of a bad result ... */
    enum sm_log_cause_id cause[SM_LOG_CAUSES]; /* ... what usually causes it, likeliest first */
};

/* A thermal resistance as the readings have it, K/W. */
struct sm_log_estimate {
    double value;
    double std_error; /* of the readings alone, allowing for readings that hang together */
    double low, high; /* 95 % interval of the readings alone */
    double low_with_model, high_with_model; /* with the model's own error too */
};

/* Where the offset between the two sensors came from. */
enum sm_log_offset {
    SM_LOG_OFFSET_NONE,  /* taken as 0 */
    SM_LOG_OFFSET_COLD,  /* readings without load */
    SM_LOG_OFFSET_FITTED /* together with the joint: the heat spans 2 to 1 */
};

struct sm_log_balance {
    struct sm_log_finding is;
    double median, limit;        /* 1  of the mean of the three */
    double phase[SM_LOG_PHASES]; /* 1  median of each phase less the mean, over the mean */
    int worst;                   /* the phase that differs most: 0 U, 1 V, 2 W */
};

/* Readings held against those to stop at: the first that reached one, else the one that came
 * nearest to it. */
struct sm_log_stop {
    struct sm_log_finding is;  /* rows: that were held against them */
    size_t over;               /* rows that reached one ... */
    size_t strays;             /* ... of which so many do not belong to the rest of the log */
    int line;                  /* of the reading; it counts where there is a result, as the next */
    double time;               /* s */
    double output_hz;          /* Hz  test frequency */
    enum sm_log_column column; /* sink, case, or the thermistor that stands for it */
    double value, limit;       /* K */
};

/* What the log has of one test frequency. */
struct sm_log_run {
    double output_hz;           /* Hz */
    size_t rows;                /* loaded */
    double duration;            /* s    between neighbouring rows of it */
    struct sm_optional current; /* A    median of what was read, the mean of the three */
    double expected;            /* A    of the drive */
};

/* Estimates count where the result is as expected, high or low. */
struct sm_log_joint {
    struct sm_log_finding is;
    struct sm_log_estimate rth;   /* K/W  per module */
    double expected;              /* K/W  of the case; always told */
    struct sm_optional thickness; /* m    of the layer that it means */
    bool from_ntc;                /* the thermistor stood for the case */
    enum sm_log_offset offset_from;
    double offset; /* K */
    size_t cold;   /* rows without load in use */
    struct sm_optional
        per_kelvin;           /* 1/K  share of the expected joint that 1 K between the sensors is */
    struct sm_optional drift; /* 1    change from begin to end of the log over the value, if any */
};

struct sm_log_sink {
    struct sm_log_finding is;
    struct sm_log_estimate rth;        /* K/W  at the site's altitude */
    double expected;                   /* K/W  always told */
    double capacity;                   /* J/K */
    double time_constant;              /* s */
    double duration;                   /* s    that was looked at */
    struct sm_optional capacity_error; /* 1  standard error of its logarithm */
    bool stuck;                        /* the thermometer does not follow */
};

struct sm_log_bus {
    struct sm_log_finding is;
    double median, expected; /* V  expected is always told */
    double highest; /* V  the same, or the line's peak where no row is known to be loaded */
};

/* Without a result for a reason of the bus reading's own, `untold` says which. */
struct sm_log_ripple {
    struct sm_log_finding is;
    enum sm_untold_id untold;
    double median, expected, lost; /* V  peak to peak; one line phase lost */
};

/* The thermistor under load: told, not judged. */
struct sm_log_ntc {
    enum sm_log_why_id why;       /* SM_LOG_TOLD: the next counts */
    double t;                     /* K  median */
    struct sm_optional over_case; /* K  median, less that of the cold rows */
    struct sm_optional over_sink; /* K */
};

/* A row that was put aside. */
struct sm_log_aside {
    int line;
    enum sm_log_aside_id why;
    enum sm_log_column column; /* of SM_LOG_ASIDE_GAP */
    double off;                /* K  of the two that are off */
};

struct sm_log_judgement {
    size_t samples, used;        /* rows; those that were not put aside */
    size_t loaded, cold;         /* rows above 20 %, below 5 % of output_current */
    struct sm_log_aside *asides; /* owned; in the order of the file */
    size_t n_asides;
    struct sm_log_run *runs; /* owned; one a test frequency, in the drive file's order */
    size_t n_runs;
    struct sm_log_note *notes; /* owned */
    size_t n_notes, note_room;
    struct sm_log_stop stop;
    struct sm_log_balance balance;
    struct sm_log_joint joint;
    struct sm_log_sink sink;
    struct sm_log_bus bus;
    struct sm_log_ripple ripple;
    struct sm_log_ntc ntc;
};

void sm_log_judgement_init(struct sm_log_judgement *judgement);
void sm_log_judgement_release(struct sm_log_judgement *judgement);

/* Any result is one of those that call for a look: high, low or fail. */
bool sm_log_is_bad(const struct sm_log_judgement *judgement);

/* What a log says of the joint, the heatsink, the phases and the bus of a case, and whether it came
 * to a reading to stop at.
 * Given: c from sm_case_assemble(); expected from sm_loadrun() for it; a log; ntc_as_case: the
 * thermistor is to stand for the case.
 * Returned: *out, from sm_log_judgement_init(), filled on SM_OK.  A log that tells nothing is a
 * result.
 * Errors: SM_ERR_KEY (ntc_as_case and no ntc_ohm in the log, no thermistor in the module file),
 * SM_ERR_MEMORY; one fault is added.
 * Source: docs/method.md, section 18. */
enum sm_status sm_log_judge(const struct sm_case *c, const struct sm_loadrun *expected,
                            const struct sm_log *log, bool ntc_as_case,
                            struct sm_log_judgement *out, struct sm_faults *faults);

/* Adds a blank log: its header.  Errors: SM_ERR_MEMORY. */
enum sm_status sm_log_template(struct sm_text *out);

#ifdef __cplusplus
}
#endif

#endif
