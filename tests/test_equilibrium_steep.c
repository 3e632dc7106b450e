/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Data sheets with losses that fall steeply with temperature: none of a real part, but files that
 * pass every rule.  They have a balance, far below where a cold chip's loss alone would lead. */
#include "solve/equilibrium.h"

#include "base/maths.h"
#include "solve/electrothermal.h"
#include "solve/stage.h"
#include "support/fixture.h"
#include "support/near.h"

#include <criterion/criterion.h>

/* 1: turn-on energy over the fixture's; falls to nothing at 275 degC. */
static double turn_on_factor(double t)
{
    return 1000.0 - 4.0 * (t - 298.15);
}

static void energies_fall(struct fixture *f)
{
    fixture_make(f);
    for (int j = 0; j < 2; j++) {
        f->e_on[0][j] *= turn_on_factor(298.15);
        f->e_on[1][j] *= turn_on_factor(423.15);
    }
}

static void solve(struct arena *arena, const struct fixture *f, double output_hz,
                  struct sm_point *out)
{
    const struct stage stage = stage_build(arena, &f->c);
    struct operating_point point = operating_point_at(&f->drive, 60.0, 1.0);
    point.output_hz = output_hz;
    cr_assert_eq(electrothermal_solve(arena, &stage, &point, NULL, out, NULL), SM_OK);
    cr_assert_not(out->runaway);
}

/* W: mean over the cycle of energies per ampere at each carrier period, with no ripple of the
 * temperature: the mean of a half sine is its peak over pi. */
static double switching_mean(double per_ampere)
{
    return 4000.0 * per_ampere * SQRT2 * 77.0 / PI;
}

/* Recovery that rises steeply above 150 degC: the diode alone would run away, for its gain is
 * 1.16 (1.54 W/K through 0.75 K/W).  The turn-on losses that go back hold both: the determinant of
 * eq. 8.1 is above 0, though the diode's own term in it is not.  Checked by the definitions of
 * losses and heat path, at the temperatures that came out; in a cycle of 10 us 3 mK of ripple are
 * left, and 14 W/K of slope. */
Test(equilibrium, falling_losses_of_one_chip_hold_the_other_that_would_run_away)
{
    struct fixture f;
    struct sm_point p;
    struct arena arena;
    double rising[3][2];
    struct sm_row rows[3];
    energies_fall(&f);
    f.drive.cooling.rth_sa = 0.1;
    f.foster_r[1][0] = f.module.diode_thermal.rth_jc = 0.05;
    for (int k = 0; k < 3; k++) {
        static const double at[3] = { 298.15, 423.15, 523.15 }, times[3] = { 0.1, 0.1, 16.0 };
        for (int j = 0; j < 2; j++)
            rising[k][j] = times[k] * f.e_rr[0][j];
        rows[k] = (struct sm_row){ .at = at[k], .values = { .v = rising[k], .n = 2 } };
    }
    f.module.diode_recovery.e_rr = (struct sm_rows){ .row = rows, .n = 3 };
    arena_init(&arena);
    solve(&arena, &f, 1e5, &p);
    const struct sm_chip_result *igbt = &p.chip[SM_IGBT], *diode = &p.chip[SM_DIODE];
    const double rise = 15.9 / 100.0; /* 1/K  of the recovery above 150 degC */
    const double gain = switching_mean(FIXTURE_E_RR) * rise * (0.1 * 6.0 + 0.05 * 2.0 + 0.05);
    cr_assert_gt(gain, 1.0);
    cr_assert_gt(diode->tvj_mean, 423.15);
    NEAR(igbt->turn_on, switching_mean(FIXTURE_E_ON) * turn_on_factor(igbt->tvj_mean), 1e-2);
    NEAR(diode->recovery, switching_mean(FIXTURE_E_RR) * (0.1 + rise * (diode->tvj_mean - 423.15)),
         1e-3);
    NEAR(p.t_sink, 313.15 + 0.1 * 6.0 * (igbt->total + diode->total), 1e-4);
    NEAR(igbt->tvj_mean, p.t_sink + 0.1 * (igbt->total + diode->total) + 0.2 * igbt->total, 1e-4);
    NEAR(diode->tvj_mean, p.t_sink + 0.1 * (igbt->total + diode->total) + 0.05 * diode->total,
         1e-4);
    arena_release(&arena);
}

/* Highest rise over the case and mean turn-on loss, by a plain forward march. */
struct marched {
    double highest, turn_on;
};

static struct marched march(const struct sm_point *p, double r, double tau)
{
    enum { GRID = 5000, CYCLES = 40 };
    const double decay = exp(-1.0 / p->output_hz / GRID / tau), i_peak = SQRT2 * p->i_module;
    struct marched out = { 0.0, 0.0 };
    double x = p->chip[SM_IGBT].tvj_mean - p->chip[SM_IGBT].t_case;
    for (int n = 0; n < CYCLES * GRID; n++) {
        const double theta = 2.0 * PI * ((double)(n % GRID) + 0.5) / GRID;
        const double i = i_peak * cos(theta - p->phi);
        double loss = 0.0, turn_on = 0.0;
        if (i > 0.0) {
            const double duty = 0.5 * (1.0 + p->modulation_index * cos(theta));
            turn_on = 4000.0 * FIXTURE_E_ON * i * turn_on_factor(p->chip[SM_IGBT].t_case + x);
            loss = duty * i * (FIXTURE_V0_IGBT + FIXTURE_R_IGBT * i) + 4000.0 * FIXTURE_E_OFF * i +
                   turn_on;
        }
        x = x * decay + r * loss * (1.0 - decay);
        if (n >= (CYCLES - 1) * GRID) {
            out.highest = fmax(out.highest, x);
            out.turn_on += turn_on / GRID;
        }
    }
    return out;
}

/* Within the cycle: a chip that answers in 1.2 ms, with a loop gain of 140 at the current's peak.
 * Each node then follows its own loss, and full steps of all nodes go round the goal.  The march is
 * a forward recursion of 0.67 us steps, nothing of the engine's; its first order leaves 0.2 K in
 * temperatures that pass 150 K in a millisecond. */
Test(equilibrium, falling_losses_settle_inside_the_cycle_where_a_march_ends)
{
    struct fixture f;
    struct sm_point p;
    struct arena arena;
    energies_fall(&f);
    f.drive.rating.modulation = SM_MOD_SINE;
    f.drive.rating.output_voltage = 380.0;
    f.foster_r[0][0] = 0.8;
    f.foster_tau[0][0] = 1.2e-3;
    arena_init(&arena);
    solve(&arena, &f, 3000.0, &p);
    const struct marched marched = march(&p, 0.8, 1.2e-3);
    NEAR(p.chip[SM_IGBT].tvj_max, p.chip[SM_IGBT].t_case + marched.highest, 0.2);
    NEAR(p.chip[SM_IGBT].turn_on, marched.turn_on, 1e-3 * marched.turn_on);
    arena_release(&arena);
}
