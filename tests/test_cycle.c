/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "load/cycle.h"
#include "load/modulation.h"

#include "base/maths.h"
#include "support/fixture.h"
#include "support/near.h"

#include <criterion/criterion.h>

enum { MOST_NODES = 1000 };

struct half {
    struct fixture f;
    struct arena arena;
    struct operating_point point;
    struct cycle cycle;
    double t[MOST_NODES];
};

static struct cycle cycle_of(struct arena *arena, const struct device *device,
                             const struct operating_point *point)
{
    const struct panels panels = panels_build(arena, device, 1, point, PANELS_WIDEST);
    return cycle_build(arena, device, &panels);
}

static void half_make(struct half *h, enum sm_chip_kind kind, enum sm_modulation scheme, double m,
                      double cos_phi)
{
    fixture_make(&h->f);
    arena_init(&h->arena);
    h->f.drive.rating.modulation = (int)scheme;
    h->f.power_factor[0] = cos_phi;
    const struct switching_use use = { .v_dc = 648.0 };
    struct device *device = arena_bytes(&h->arena, sizeof *device);
    *device = device_build(&h->arena, &h->f.module, kind, &use);
    h->point = operating_point_at(&h->f.drive, 60.0, 1.0);
    h->point.m = m;
    h->cycle = cycle_of(&h->arena, device, &h->point);
    cr_assert(!h->arena.failed && h->cycle.n_nodes <= MOST_NODES);
    for (size_t j = 0; j < MOST_NODES; j++)
        h->t[j] = 350.0;
}

static double mean_loss_of(const struct cycle *cycle, enum loss_kind kind, const double *t)
{
    double mean[LOSS_COUNT];
    cycle_mean_losses(cycle, t, mean);
    return mean[kind];
}

static double conduction(enum sm_chip_kind kind, enum sm_modulation scheme, double m,
                         double cos_phi, double *i_peak)
{
    struct half h;
    half_make(&h, kind, scheme, m, cos_phi);
    const double p = mean_loss_of(&h.cycle, LOSS_CONDUCTION, h.t);
    *i_peak = h.point.i_peak;
    arena_release(&h.arena);
    return p;
}

/* Closed forms for a straight-line device, per switch: P = v0 I avg + r I^2 sq.
 * sine: Graovac and Puerschel, "IGBT Power Losses Calculation Using the Data-Sheet Parameters",
 * V1.1, 2009 (value from memory, re-derived by integrating d i and d i^2); third harmonic of 1/6:
 * Kolar, Ertl, Zach 1990 (value from memory); space vector, |phi| <= 30 degrees: Bierhoff and
 * Fuchs, PESC 2004 (value from memory).  For the diode the terms in m change sign. */
static double square_term(enum sm_modulation scheme, double m, double phi)
{
    if (scheme == SM_MOD_THIRD_HARMONIC)
        return m * cos(phi) / (3.0 * PI) - m * cos(3.0 * phi) / (90.0 * PI);
    if (scheme == SM_MOD_SPACE_VECTOR)
        return m / (48.0 * PI) * (24.0 * cos(phi) - 2.0 * SQRT3 * cos(2.0 * phi) - 3.0 * SQRT3);
    return m * cos(phi) / (3.0 * PI);
}

static void check_conduction(enum sm_modulation scheme, double m, double phi)
{
    double i = 0.0;
    const double avg = m * cos(phi) / 8.0, sq = square_term(scheme, m, phi);
    const double igbt = conduction(SM_IGBT, scheme, m, cos(phi), &i);
    NEAR_REL(igbt,
             FIXTURE_V0_IGBT * i * (1.0 / (2.0 * PI) + avg) + FIXTURE_R_IGBT * i * i * (0.125 + sq),
             1e-6);
    const double diode = conduction(SM_DIODE, scheme, m, cos(phi), &i);
    NEAR_REL(diode,
             FIXTURE_V0_DIODE * i * (1.0 / (2.0 * PI) - avg) +
                 FIXTURE_R_DIODE * i * i * (0.125 - sq),
             1e-6);
}

Test(cycle, conduction_of_a_straight_line_device_equals_the_closed_forms)
{
    const double degree = PI / 180.0;
    for (int d = 0; d <= 180; d += 15) {
        check_conduction(SM_MOD_SINE, 0.8, d * degree);
        check_conduction(SM_MOD_THIRD_HARMONIC, 1.1, d * degree);
    }
    for (int d = 0; d <= 30; d += 6)
        check_conduction(SM_MOD_SPACE_VECTOR, 1.0, d * degree);
}

/* Coefficients by dense numeric integration of d i and d i^2 (200,000 points, NumPy), six digits.
 */
Test(cycle, coefficients_equal_a_dense_integration)
{
    static const struct {
        enum sm_modulation scheme;
        double m, cos_phi, igbt_sq, diode_sq;
    } rows[] = {
        { SM_MOD_SINE, 0.8, 0.85, 0.197150, 0.052850 },
        { SM_MOD_THIRD_HARMONIC, 1.15, 0.80, 0.224047, 0.025953 },
        { SM_MOD_SPACE_VECTOR, 1.15, 0.80, 0.224402, 0.025598 },
        { SM_MOD_SPACE_VECTOR, 1.15, 0.50, 0.191045, 0.058955 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct half h;
        half_make(&h, SM_IGBT, rows[i].scheme, rows[i].m, rows[i].cos_phi);
        NEAR(pow(cycle_rms_current(&h.cycle) / h.point.i_peak, 2.0), rows[i].igbt_sq, 1e-6);
        arena_release(&h.arena);
        half_make(&h, SM_DIODE, rows[i].scheme, rows[i].m, rows[i].cos_phi);
        NEAR(pow(cycle_rms_current(&h.cycle) / h.point.i_peak, 2.0), rows[i].diode_sq, 1e-6);
        arena_release(&h.arena);
    }
}

/* Hitachi, IGBT Module Application Manual, 5.5.1.2.1 eq. 22 (printed form for the free-wheeling
 * diode, m = 1): a = 1.1 V, b = 4 mohm, 100 A peak, cos phi 0.8 give 8.11174 W. */
Test(cycle, diode_conduction_equals_a_printed_formula_of_an_application_manual)
{
    const double a = 1.1, b = 0.004, i0 = 100.0, cos_phi = 0.8;
    const double printed =
        i0 / (2.0 * PI) *
        ((a + PI / 4.0 * b * i0) - PI / 4.0 * cos_phi * (a + 8.0 * b / (3.0 * PI) * i0));
    NEAR(printed, 8.11174, 5e-6);
    struct half h;
    half_make(&h, SM_DIODE, SM_MOD_SINE, 1.0, cos_phi);
    for (int k = 0; k < 2; k++)
        for (int j = 0; j < 2; j++)
            h.f.v_diode[k][j] = a + b * h.f.current[j];
    const struct switching_use use = { .v_dc = 648.0 };
    const struct device device = device_build(&h.arena, &h.f.module, SM_DIODE, &use);
    h.point.i_peak = i0;
    const struct cycle cycle = cycle_of(&h.arena, &device, &h.point);
    NEAR_REL(mean_loss_of(&cycle, LOSS_CONDUCTION, h.t), printed, 1e-6);
    arena_release(&h.arena);
}

/* Energies in proportion to the current: the half-wave mean is f_sw E(peak) / pi (the same manual's
 * eq. 19 to 21 come to this).  Clamped legs: Hava, Kerkman, Lipo, IEEE Trans. Power Electronics
 * 14(1) 1999, factor 1 - cos(phi)/2 up to 60 degrees, sqrt3/2 sin(phi) beyond (value from memory).
 */
static double clamped_factor(double phi)
{
    return phi <= PI / 3.0 ? 1.0 - 0.5 * cos(phi) : SQRT3 / 2.0 * sin(phi);
}

Test(cycle, switching_loss_follows_the_closed_forms)
{
    static const enum sm_modulation schemes[] = { SM_MOD_SINE, SM_MOD_SPACE_VECTOR,
                                                  SM_MOD_CLAMPED };
    for (size_t s = 0; s < 3; s++)
        for (int d = 0; d <= 90; d += 15) {
            const double phi = d * PI / 180.0;
            struct half h;
            half_make(&h, SM_IGBT, schemes[s], 0.9, cos(phi));
            const double factor = schemes[s] == SM_MOD_CLAMPED ? clamped_factor(phi) : 1.0;
            NEAR_REL(mean_loss_of(&h.cycle, LOSS_FIRST, h.t) +
                         mean_loss_of(&h.cycle, LOSS_SECOND, h.t),
                     4000.0 * (FIXTURE_E_ON + FIXTURE_E_OFF) * h.point.i_peak / PI * factor, 1e-6);
            arena_release(&h.arena);
        }
}

/* Half-wave mean of a sine to the power 0.6: Gamma(0.8) / (2 sqrt(pi) Gamma(1.3)) = 0.365943, by
 * the beta function.  5e-6: the power is steep at the zero crossing, where the panels shrink. */
Test(cycle, single_energy_point_with_an_exponent_equals_the_beta_function)
{
    struct half h;
    half_make(&h, SM_DIODE, SM_MOD_SINE, 0.9, 0.85);
    for (int k = 0; k < 2; k++)
        h.f.rows[4][k].values = (struct sm_list){ &h.f.e_rr[k][1], 1 };
    h.f.module.diode_recovery.current = (struct sm_list){ &h.f.e_current[1], 1 };
    const struct switching_use use = { .v_dc = 648.0 };
    const double exponents[] = { 0.1, 0.6, 1.0, 1.7 };
    for (size_t i = 0; i < 4; i++) {
        const double k = h.f.module.diode_recovery.current_exponent = exponents[i];
        const struct device device = device_build(&h.arena, &h.f.module, SM_DIODE, &use);
        const struct cycle cycle = cycle_of(&h.arena, &device, &h.point);
        const double half_wave = tgamma(0.5 * (k + 1.0)) / (2.0 * sqrt(PI) * tgamma(0.5 * k + 1.0));
        NEAR_REL(mean_loss_of(&cycle, LOSS_FIRST, h.t),
                 4000.0 * h.f.e_rr[0][1] * pow(h.point.i_peak / 400.0, k) * half_wave,
                 i == 0 ? 2e-4 : 2e-5);
    }
    NEAR(tgamma(0.8) / (2.0 * sqrt(PI) * tgamma(1.3)), 0.365943, 1e-6);
    arena_release(&h.arena);
}

Test(cycle, weights_add_up_to_half_a_cycle_and_duties_of_both_chips_to_one)
{
    for (int s = SM_MOD_SINE; s <= SM_MOD_CLAMPED; s++) {
        struct half igbt, diode;
        half_make(&igbt, SM_IGBT, (enum sm_modulation)s, 0.9, 0.7);
        half_make(&diode, SM_DIODE, (enum sm_modulation)s, 0.9, 0.7);
        double sum = 0.0;
        cr_assert_eq(igbt.cycle.n_nodes, diode.cycle.n_nodes);
        for (size_t j = 0; j < igbt.cycle.n_nodes; j++) {
            sum += igbt.cycle.weight[j];
            NEAR(igbt.cycle.duty[j] + diode.cycle.duty[j], 1.0, 1e-12);
        }
        NEAR(sum, 0.5, 1e-12);
        arena_release(&igbt.arena);
        arena_release(&diode.arena);
    }
}

/* Derivation: the lower device repeats the upper's loss half a cycle later, because every scheme is
 * half-wave odd: integrating the lower device's own half with the same dense grid gives the same.
 */
Test(cycle, lower_device_loses_what_the_upper_one_does)
{
    for (int s = SM_MOD_SINE; s <= SM_MOD_CLAMPED; s++) {
        const double phi = 0.6, m = 0.9;
        double upper = 0.0, lower = 0.0;
        enum { N = 36000 };
        for (int j = 0; j < N; j++) {
            const double theta = 2.0 * PI * ((double)j + 0.5) / N;
            const double i = cos(theta - phi);
            const struct modulation_stretch stretch =
                modulation_stretch_at((enum sm_modulation)s, theta);
            const double d = 0.5 * (1.0 + modulation_value(&stretch, m, cos(theta), sin(theta)));
            if (i > 0.0)
                upper += d * i * (0.9 + 0.5 * i) / N;
            else
                lower += (1.0 - d) * -i * (0.9 - 0.5 * i) / N;
        }
        NEAR(upper, lower, 1e-9);
    }
}
