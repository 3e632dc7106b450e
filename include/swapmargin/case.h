/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The case: everything one run needs to know, in SI, as read from the drive and module files.
 *
 * One struct per noun of the files.  Each field has exactly one row, in
 * tables/swapmargin/keys_drive.def or tables/swapmargin/keys_module.def (its key, unit, range,
 * default, meaning).  After sm_case_assemble() every double is finite and inside its range.
 * Optional values say whether they were given: the engine cannot use one by accident.  Absolute
 * temperatures are in kelvin. */
#ifndef SWAPMARGIN_CASE_H
#define SWAPMARGIN_CASE_H

#include "swapmargin/error.h"
#include "swapmargin/quantity.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* A value that may be absent. */
struct sm_optional {
    bool given;
    double value; /* SI; 0 when absent */
};

/* A value that is there. */
static inline struct sm_optional sm_given(double value)
{
    struct sm_optional given;
    given.given = true;
    given.value = value;
    return given;
}

/* One row "key @ at = values": a curve at a temperature (K), a power factor at a frequency (Hz). */
struct sm_row {
    double at;
    struct sm_list values;
    int line;
};

/* All rows of one key, sorted by `at`, rising strictly. */
struct sm_rows {
    struct sm_row *row;
    size_t n;
};

/* Where a value came from. */
enum sm_origin_kind { SM_ORIGIN_ABSENT, SM_ORIGIN_GIVEN, SM_ORIGIN_DEFAULT, SM_ORIGIN_DERIVED };

struct sm_origin {
    enum sm_origin_kind kind;
    const char *file; /* borrowed from the struct's own `file`, or a table's name; NULL if absent */
    int line;         /* 1-based; 0 for a default */
};

/* SHA-256 of a file's bytes as they were read, 64 hexadecimal digits; "" where there is no file. */
#define SM_SHA256_SIZE 65

/* ------------------------------------------------------------------ drive */

enum sm_modulation { SM_MOD_SINE, SM_MOD_THIRD_HARMONIC, SM_MOD_SPACE_VECTOR, SM_MOD_CLAMPED };
enum sm_torque { SM_TORQUE_CONSTANT, SM_TORQUE_FAN };
enum sm_air { SM_AIR_FORCED, SM_AIR_NATURAL };

struct sm_rating {
    double line_voltage;                 /* V    rms, line to line */
    int line_phases;                     /* 1    1 or 3 */
    double line_frequency;               /* Hz */
    double output_current;               /* A    rated continuous, rms, whole drive */
    double output_voltage;               /* V    rms line to line at base_frequency */
    double base_frequency;               /* Hz */
    double switching_frequency;          /* Hz   carrier */
    int modulation;                      /* enum sm_modulation */
    struct sm_optional dc_bus_voltage;   /* V    measured at load */
    int parallel;                        /* 1    modules in parallel per position */
    struct sm_optional bus_inductance;   /* H */
    struct sm_optional bus_capacitance;  /* F */
    struct sm_optional overload_current; /* 1    share of output_current */
    struct sm_optional overload_time;    /* s */
    struct sm_optional overcurrent_trip; /* A    peak */
    struct sm_optional overvoltage_trip; /* V */
    struct sm_optional dead_time;        /* s */
};

struct sm_load {
    struct sm_rows power_factor; /* 1 at Hz; the plain key stands at base_frequency */
    int torque;                  /* enum sm_torque */
    double no_load_current;      /* A    rms */
};

struct sm_cooling {
    double ambient;                   /* K    air entering the heatsink */
    double rth_sa;                    /* K/W  sink to ambient, whole drive, at sea level */
    struct sm_optional sink_capacity; /* J/K */
    double other_heat;                /* W    others on the same sink */
    double same_case_heat;            /* W    others inside the same module's case, per module */
    double altitude;                  /* m */
    int air;                          /* enum sm_air */
};

struct sm_drive_gate {
    struct sm_optional rg_on, rg_off;          /* ohm */
    struct sm_optional vge_on, vge_off;        /* V */
    struct sm_optional driver_power;           /* W    per position */
    struct sm_optional driver_peak_current;    /* A */
    double driver_delay_spread;                /* s */
    struct sm_optional short_circuit_blanking; /* s */
    double driver_reaction;                    /* s    reaction and soft turn-off */
};

/* A pair of machined surfaces, from tables/surfaces.ini. */
struct sm_surface {
    bool given;
    double roughness;    /* m        rms, both surfaces together */
    double slope;        /* 1        mean absolute asperity slope, both together */
    double conductivity; /* W/(m.K)  harmonic mean of the two metals */
    double hardness;     /* Pa       micro-hardness of the softer metal */
};

struct sm_joint {
    char *compound;                  /* name of a row of tables/compounds.ini, or "" */
    struct sm_optional conductivity; /* W/(m.K)  typed, or the compound's */
    struct sm_optional thickness;    /* m        typed, or the compound's usual */
    struct sm_optional density;      /* kg/m3    the compound's; absent without one */
    double coverage;                 /* 1        share of the base wetted */
    char *surface_name;              /* name of a row of tables/surfaces.ini, or "" */
    struct sm_surface surface;
    struct sm_optional pressure;     /* Pa */
    struct sm_optional screw_torque; /* N.m      what was used */
};

struct sm_test {
    struct sm_list frequencies; /* Hz   1 to 16, all different, in the file's order */
    double load;                /* 1    share of output_current */
    double duration;            /* s    of each run */
    double required_margin;     /* K */
    double balance_limit;       /* 1 */
};

/* Checked by hand by the person who signs. */
struct sm_confirmed {
    bool set_of_three, outline, pinout, thermistor, screw_torque, same_lot;
};

/* Ids SM_DRIVE_<ID> of every key of the drive file. */
enum sm_drive_key {
#define KEY(id, ...) SM_DRIVE_##id,
#include "swapmargin/keys_drive.def"
#undef KEY
    SM_DRIVE_KEY_COUNT
};

struct sm_drive {
    char *file;       /* as the user named it */
    char *joint_file; /* of --joint, or NULL */
    int joint_line;   /* of the [joint] header; 0 when there is no such section */
    char *name;
    struct sm_rating rating;
    struct sm_load load;
    struct sm_cooling cooling;
    struct sm_drive_gate gate;
    struct sm_joint joint;
    struct sm_test test;
    struct sm_confirmed confirmed;
    struct sm_origin origin[SM_DRIVE_KEY_COUNT];
    char sha256[SM_SHA256_SIZE];
    char joint_sha256[SM_SHA256_SIZE];
    /* of --tables; "" for the tables that are compiled in */
    char compounds_sha256[SM_SHA256_SIZE], surfaces_sha256[SM_SHA256_SIZE];
};

/* ----------------------------------------------------------------- module */

enum sm_circuit { SM_CIRCUIT_SINGLE, SM_CIRCUIT_HALF_BRIDGE, SM_CIRCUIT_SIX_PACK };
enum sm_curves { SM_CURVES_CHIP, SM_CURVES_TERMINAL };

/* On-state curves of one kind of chip. */
struct sm_conduction {
    struct sm_list current; /* A    rising strictly, >= 2 points */
    struct sm_rows voltage; /* V at K, one row per junction temperature, as long as `current` */
};

/* Energy curves of one kind of chip: the IGBT's turn-on and turn-off, or the diode's recovery. */
struct sm_switching {
    double test_voltage;                           /* V */
    struct sm_optional test_rg_on, test_rg_off;    /* ohm  IGBT only */
    double voltage_exponent;                       /* 1 */
    double temperature_coefficient;                /* 1/K  used with one temperature only */
    double current_exponent;                       /* 1    used with one current only */
    struct sm_list current;                        /* A */
    struct sm_rows e_on, e_off;                    /* J at K, IGBT */
    struct sm_rows e_rr;                           /* J at K, diode */
    struct sm_list rg, e_on_rg, e_off_rg, e_rr_rg; /* ohm, J: energies over the gate resistor */
};

struct sm_chip_thermal {
    double rth_jc;             /* K/W  per switch */
    struct sm_list foster_r;   /* K/W; the one term rth_jc when no Foster terms were given */
    struct sm_list foster_tau; /* s;   the one term tau_jc then */
    double tau_jc;             /* s */
    struct sm_optional rth_cs; /* K/W  per switch */
    struct sm_optional rth_cs_conductivity, rth_cs_thickness; /* its reference compound */
};

struct sm_mounting {
    struct sm_optional base_width, base_length; /* m */
    struct sm_optional rth_cs;                  /* K/W  per module */
    struct sm_optional rth_cs_conductivity, rth_cs_thickness;
    struct sm_optional base_capacity; /* J/K  per module, over what the Foster terms hold */
    struct sm_list screw_torque;      /* N.m  least, most; empty when not given */
    struct sm_optional screws;        /* 1 */
    char *screw_size;                 /* "M6", or "" */
};

struct sm_module_gate {
    struct sm_optional gate_charge;                                    /* C */
    struct sm_optional gate_charge_swing;                              /* V */
    struct sm_optional internal_rg;                                    /* ohm */
    struct sm_optional vge_max;                                        /* V */
    struct sm_optional td_on, td_on_min, t_r, td_off, td_off_max, t_f; /* s */
};

struct sm_thermistor {
    struct sm_optional r25;                     /* ohm */
    struct sm_optional b25_50, b25_80, b25_100; /* K */
};

enum sm_module_key {
#define KEY(id, ...) SM_MODULE_##id,
#include "swapmargin/keys_module.def"
#undef KEY
    SM_MODULE_KEY_COUNT
};

struct sm_module {
    char *file; /* as the user named it */
    char *part;
    char *maker;
    int circuit;                          /* enum sm_circuit */
    double vces;                          /* V */
    double ic_nominal;                    /* A */
    double tvj_op_max;                    /* K */
    struct sm_optional isolation_voltage; /* V rms, 1 min */
    double lead_resistance;               /* ohm  per switch */
    int curves;                           /* enum sm_curves */
    double curve_gate_voltage;            /* V */
    struct sm_optional stray_inductance;  /* H */
    struct sm_optional short_circuit_time, short_circuit_bus, short_circuit_vge; /* s, V, V */
    struct sm_optional p_tot;                                                    /* W */
    double p_tot_case;                                                           /* K */
    struct sm_optional tvj_max;                                                  /* K */
    struct sm_optional price;     /* one currency, per piece */
    struct sm_optional lead_time; /* s */
    char *outline, *pinout;       /* "" when not given */
    struct sm_conduction igbt_conduction, diode_conduction;
    struct sm_switching igbt_switching, diode_recovery;
    struct sm_chip_thermal igbt_thermal, diode_thermal;
    struct sm_mounting mounting;
    struct sm_module_gate gate;
    struct sm_thermistor thermistor;
    struct sm_origin origin[SM_MODULE_KEY_COUNT];
    char sha256[SM_SHA256_SIZE];
};

/* ------------------------------------------------------------------- case */

/* What one run works on.  All borrowed; const while the engine runs, so that many threads may share
 * one drive. */
struct sm_case {
    const struct sm_drive *drive;
    const struct sm_module *module;
    const struct sm_module *original; /* the part it replaces, or NULL */
};

/* Switches in one case: 1, 2 or 6. */
int sm_module_switches(const struct sm_module *module);

/* Modules in the whole drive: 6 * parallel / switches.  0 when that leaves a remainder (then
 * sm_case_assemble() has refused the case). */
int sm_case_module_count(const struct sm_case *c);

#ifdef __cplusplus
}
#endif

#endif
