/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The result: everything one run produced, in SI (absolute temperatures in kelvin).
 *
 * Values and intermediate values, notes with their numbers, checks, verdict.  No text is composed
 * here: a note is a row of tables/swapmargin/notes.def plus its numbers, and the report writes it
 * out. */
#ifndef SWAPMARGIN_RESULT_H
#define SWAPMARGIN_RESULT_H

#include "swapmargin/case.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum sm_chip_kind { SM_IGBT, SM_DIODE, SM_CHIP_COUNT };

/* ------------------------------------------------------------------ notes */

enum sm_note_id {
#define NOTE(id, kind, text) SM_NOTE_##id,
#include "swapmargin/notes.def"
#undef NOTE
    SM_NOTE_COUNT
};

/* What a note asks of the reader; the kind of an id stands in notes.def. */
enum sm_note_kind {
    SM_KIND_NOTE,      /* informs */
    SM_KIND_CONDITION, /* a person must settle it before the load run */
    SM_KIND_REASON     /* why the verdict is reject */
};

/* A key of the drive or the module file, as it stands there. */
struct sm_key_name {
    const char *file; /* "drive" or "module" */
    const char *section;
    const char *key;
};

#define SM_NOTE_ARGS 4
#define SM_NOTE_KEYS 8

struct sm_note {
    enum sm_note_id id;
    double value[SM_NOTE_ARGS]; /* SI, in the order of the placeholders {0:unit} {1:unit} ... */
    const char *text;  /* for the placeholder {text}; borrowed from the case or a table, or NULL */
    const char *other; /* the same for {other} */
    /* for the placeholder {keys}: the keys that are missing, up to the first NULL */
    const struct sm_key_name *key[SM_NOTE_KEYS];
    unsigned alternative; /* bit i: key[i] or key[i - 1], either will do */
};

struct sm_notes {
    struct sm_note *list; /* owned */
    size_t count, capacity;
    bool out_of_memory;
};

enum sm_note_kind sm_note_kind(enum sm_note_id id);
/* The row's text with its placeholders, never NULL. */
const char *sm_note_template(enum sm_note_id id);

/* ----------------------------------------------------------------- checks */

enum sm_check_id {
#define CHECK(id, name, unit, title, rule) SM_CHECK_##id,
#include "swapmargin/checks.def"
#undef CHECK
    SM_CHECK_COUNT
};

enum sm_check_result {
    SM_CHECK_PASS,
    SM_CHECK_WARN,
    SM_CHECK_FAIL,
    SM_CHECK_NOT_CHECKED,
    SM_CHECK_CONFIRMED
};

struct sm_check {
    enum sm_check_id id;
    enum sm_check_result result;
    struct sm_optional value, limit; /* SI, shown in the row's unit */
    struct sm_note why;              /* always set */
};

/* ----------------------------------------------------------------- points */

/* One kind of chip ("per switch": the IGBT arm or the diode arm of one of the six switches) at one
 * operating point.  Means over an output cycle. */
struct sm_chip_result {
    double conduction; /* W */
    double turn_on;    /* W  IGBT; 0 for the diode */
    double turn_off;   /* W  IGBT; 0 for the diode */
    double recovery;   /* W  diode; 0 for the IGBT */
    double total;      /* W */
    double i_rms;      /* A  of this chip, for the leads */
    double t_case;     /* K */
    double tvj_mean;   /* K */
    double tvj_min;    /* K */
    double tvj_max;    /* K */
    double swing;      /* K  highest less lowest of the cycle, whatever stands longer below 1 Hz */
    double margin;     /* K  tvj_op_max - tvj_max */
};

struct sm_point {
    double output_hz;            /* Hz */
    double i_module;             /* A    rms per module */
    double i_drive;              /* A    rms */
    double v_dc;                 /* V */
    double v_out;                /* V    line to line rms reached */
    double modulation_requested; /* 1 */
    double modulation_index;     /* 1 */
    double power_factor;         /* 1    negative when regenerating */
    double phi;                  /* rad */
    bool runaway;                /* no equilibrium: everything below is 0 and means nothing */
    bool hold_governs;           /* below 1 Hz: tvj_max and margin are the zero-speed hold's */
    struct sm_chip_result chip[SM_CHIP_COUNT];
    double lead;             /* W    per switch */
    double module_heat;      /* W    per module, with same_case_heat */
    double sink_heat;        /* W    all heat into the sink */
    double t_sink;           /* K */
    double margin;           /* K    the smaller of the chips' */
    enum sm_chip_kind worst; /* the chip that sets it */
    int iterations;          /* of the case temperatures */
    double residual;         /* K    bound of the error left by the iteration */
};

/* 1: from this share of output_current on, and up to that, it is searched how much current may
 * stand; a choice of ours. */
#define SM_HOLD_LEAST 0.01
#define SM_HOLD_MOST 10.0

/* Zero-speed hold: the hot leg at the current's peak, d = 1/2. */
struct sm_hold {
    bool runaway;
    double current;                    /* A    the peak that stands, per module */
    double power[SM_CHIP_COUNT];       /* W    of the hot leg's chips */
    double tvj[SM_CHIP_COUNT];         /* K */
    double other_power[SM_CHIP_COUNT]; /* W    of one other leg's, at half the current */
    double other_tvj[SM_CHIP_COUNT];   /* K */
    double t_sink;                     /* K */
    double margin;                     /* K */
    /* A    the drive's rms current whose peak may stand for any time, up to tvj_op_max; absent when
     * that is none from SM_HOLD_LEAST to SM_HOLD_MOST of output_current */
    struct sm_optional allowed_current;
};

/* The overload at one test frequency, from the settled state there. */
struct sm_overload {
    double output_hz;  /* Hz */
    double i_drive;    /* A    rms */
    bool sink_settled; /* sink_capacity is not given: the sink as it settles at this current */
    bool runaway;      /* no equilibrium within overload_time, or none to start from */
    double tvj_max;    /* K    at the end of overload_time; 0 when runaway, like the rest */
    double t_sink;     /* K */
    double margin;     /* K    to tvj_op_max */
    enum sm_chip_kind worst;
    /* s    until tvj_op_max is reached, when that is before the end; absent when the overload fits
     * and where it is not known (sink_settled, or no equilibrium to start from) */
    struct sm_optional allowed_time;
};

enum sm_limit_id {
#define LIMIT(id, name, unit, title) SM_LIMIT_##id,
#include "swapmargin/limits.def"
#undef LIMIT
    SM_LIMIT_COUNT
};

enum sm_limit_state {
    SM_LIMIT_NOT_COMPUTED, /* sm_run_limits() was not called */
    SM_LIMIT_FOUND,
    SM_LIMIT_KEPT,          /* none within the range: the margin is kept all over it */
    SM_LIMIT_SHORT,         /* none within the range: the margin is short all over it */
    SM_LIMIT_SHORT_ALREADY, /* lowest output: it is short at the lowest test frequency itself */
    SM_LIMIT_NO_LAYER, /* the joint's thickness does not enter: R_th(c-s) was used as printed */
    SM_LIMIT_NO_RANGE  /* the lowest test frequency is at or below 1 Hz: nothing to search */
};

/* The value at which the margin is the required one at the worst test frequency, all else as it is.
 * Search ranges: 1 ... 1000 % of output_current, -60 degC ... tvj_op_max, 100 Hz ... 1 MHz,
 * 1 ... 5000 um, 1e-5 ... 100 K/W, 1 Hz ... the lowest test frequency. */
struct sm_limit {
    enum sm_limit_state state;
    double low, high; /* SI  search range */
    /* found: */
    double value;        /* SI */
    bool runaway_beyond; /* past it there is no equilibrium, though the margin was still kept */
    double set_by_hz;    /* Hz  the test frequency that sets it; lowest_output_hz: its value */
    enum sm_chip_kind set_by;
};

/* The joint as applied. */
enum sm_joint_form { SM_JOINT_MODULE, SM_JOINT_PER_SWITCH };

struct sm_joint_result {
    enum sm_joint_form form;
    double rth_module;                /* K/W  per module; 0 for a per-switch joint */
    double rth_switch[SM_CHIP_COUNT]; /* K/W  per switch; 0 for a per-module joint */
    bool layer_used;                  /* thickness and conductivity below entered the result */
    struct sm_optional thickness;     /* m */
    struct sm_optional conductivity;  /* W/(m.K) */
    double coverage;                  /* 1 */
};

/* ------------------------------------------------- the original beside it */

/* Every quantity compared; rows of comparison.def. */
enum sm_compared_id {
#define POINT(id, name, unit, difference, better, title, side) SM_COMPARED_##id,
#define PART(id, name, unit, difference, better, title, side) SM_COMPARED_##id,
#include "swapmargin/comparison.def"
#undef POINT
#undef PART
    SM_COMPARED_COUNT
};

enum sm_side_state {
    SM_SIDE_GIVEN,
    SM_SIDE_NOT_GIVEN, /* its file does not say */
    SM_SIDE_RUNAWAY    /* no equilibrium */
};

/* What one of the two parts has to say. */
struct sm_side {
    enum sm_side_state state;
    double value;     /* SI; 0 for a text, and when not given */
    const char *text; /* borrowed from the module; NULL for a number */
};

struct sm_compared {
    enum sm_compared_id id;
    double output_hz; /* Hz   0: holds for the part, not for a point */
    struct sm_side candidate, original;
    bool comparable;   /* both are given: the two below count */
    double difference; /* SI   candidate minus original; 0 for texts */
    bool same;
    bool worse; /* the candidate is; also where it alone has no equilibrium */
};

/* The part that is replaced, in the same drive at the same points. */
struct sm_comparison {
    struct sm_result *original; /* owned; what sm_run() makes of it alone; NULL without one */
    struct sm_compared *rows;   /* owned; points first, in the order of comparison.def */
    size_t n_rows;
};

/* --------------------------------------------------------------- warnings */

/* Every slip that is looked for; rows of sanity.def. */
enum sm_sanity_id {
#define SANITY(id, text) SM_SANITY_##id,
#include "swapmargin/sanity.def"
#undef SANITY
    SM_SANITY_COUNT
};

/* A value of a module file that looks like a slip, used as it stands. */
struct sm_warning {
    enum sm_sanity_id id;
    const char *file; /* borrowed from the module; NULL when it has none */
    int line;         /* 1-based; 0 when not known */
    enum sm_module_key key;
    double value[SM_NOTE_ARGS]; /* SI, in the order of the placeholders */
};

struct sm_warnings {
    struct sm_warning *list; /* owned; file by file, in the order of lines */
    size_t count, capacity;
};

/* ----------------------------------------------------------------- result */

enum sm_verdict { SM_APPROVE, SM_CONDITIONAL, SM_REJECT };

struct sm_result {
    struct sm_joint_result joint;
    double rth_sa; /* K/W  at the site's altitude */
    int module_count;
    struct sm_point *points; /* owned; one a test frequency, in the file's order */
    size_t n_points;
    bool runaway;  /* at any test frequency */
    double margin; /* K    smallest over the points; 0 when runaway */
    size_t worst_point;
    double ten_percent_cost;  /* K    what 10 % more chip loss costs at the worst point */
    bool ten_percent_runaway; /* 10 % more loss would leave no equilibrium */
    struct sm_hold hold;
    struct sm_overload *overload; /* owned; one a point, or NULL without overload_current */
    size_t n_overload;
    struct sm_limit limits[SM_LIMIT_COUNT]; /* filled by sm_run_limits() */
    struct sm_check checks[SM_CHECK_COUNT];
    enum sm_verdict verdict;
    struct sm_notes reasons, conditions, notes;
    struct sm_comparison comparison;
    struct sm_warnings warnings; /* of the module's file, then of the original's */
};

void sm_result_init(struct sm_result *result);
void sm_result_release(struct sm_result *result);

#ifdef __cplusplus
}
#endif

#endif
