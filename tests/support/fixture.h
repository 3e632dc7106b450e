/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A drive and a module made in memory, of straight-line devices, so that closed forms apply. */
#ifndef SM_TESTS_FIXTURE_H
#define SM_TESTS_FIXTURE_H

#include "swapmargin/case.h"

/* Straight-line devices: v = v0 + r i, E = e i, the same at both temperatures unless a test changes
 * a row.  All arrays live in the struct: change them before use. */
struct fixture {
    double current[2], v_igbt[2][2], v_diode[2][2];
    double e_current[2], e_on[2][2], e_off[2][2], e_rr[2][2];
    double foster_r[2][4], foster_tau[2][4];
    double power_factor[1], frequencies[2];
    double v_steep[3][2];
    struct sm_row rows[5][2], pf_row[1], steep_row[3];
    struct sm_drive drive;
    struct sm_module module;
    struct sm_case c;
};

#define FIXTURE_V0_IGBT 0.9   /* V */
#define FIXTURE_R_IGBT 0.010  /* ohm */
#define FIXTURE_V0_DIODE 1.0  /* V */
#define FIXTURE_R_DIODE 0.007 /* ohm */
#define FIXTURE_E_ON 1.0e-4   /* J/A */
#define FIXTURE_E_OFF 1.1e-4  /* J/A */
#define FIXTURE_E_RR 0.7e-4   /* J/A */

/* Fills it: 480 V line, 648.2 V bus given, 77 A, 60 Hz base, 4 kHz, half-bridges, one Foster term.
 */
void fixture_make(struct fixture *f);

/* The same with losses that follow temperature: voltages and energies 30 % higher at 150 than at
 * 25 degC. */
void fixture_warm(struct fixture *f);

/* Its IGBT's voltages rise tenfold above 100 degC: losses that end the equilibrium.  Not linked
 * again by fixture_link(). */
void fixture_steepen(struct fixture *f);

/* Points the rows' lists at the arrays again; after a copy of the struct. */
void fixture_link(struct fixture *f);

#endif
