/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/published_leg.h"
#include "support/published_rows.h"

#include "base/maths.h"
#include "device/device.h"
#include "support/fixture.h"

#include <string.h>

#define AIRCRAFT "FAST-OAD_CS23-HE, unit tests of the inverter"
#define MANUAL "Hitachi, IGBT module application manual, 5.5.1.2"
#define CASANELLAS                                                                                 \
    "Casanellas, IEE Proc. Electr. Power Appl. 141(5), 1994, as transcribed in a public program"
#define BIERHOFF "Bierhoff, Fuchs, PESC 2004"
#define HAVA "Hava, Kerkman, Lipo, IEEE Trans. Power Electron. 14(1), 1999"
#define SCALING                                                                                    \
    "Wintrich, Nicolai, Tursky, Reimann, Application Manual Power Semiconductors, 2nd ed., 2015"

/* Three of the source's ten points. */
#define AIRCRAFT_POINT(modulation, amps, carrier, r_igbt, r_diode)                                 \
    {                                                                                              \
        .scheme = SM_MOD_SINE, .m = modulation, .power_factor = 1.0, .i_peak = amps,               \
        .switching_hz = carrier, .v0 = { 0.87, 1.3 }, .r = { r_igbt, r_diode },                    \
        .e_on = { 0.02197006, 3.326e-05, 3.707e-7 }, .e_off = { 0.02087697, 0.000254, -1.256e-7 }, \
        .e_rr = { 0.0058837, 0.000340, -3.257e-8 }, .circuit = SM_CIRCUIT_HALF_BRIDGE,             \
        .rth_jc = { 0.114955, 0.148195 }, .rth_cs = 0.010, .rth_sa = 0.0, .t_ambient = 288.15      \
    }

static const struct leg aircraft[] = {
    AIRCRAFT_POINT(0.1, 200.0, 3000.0, 2.05e-3, 2.55e-3),
    AIRCRAFT_POINT(0.5, 1000.0 / 3.0, 7000.0, 2.44e-3, 2.94e-3),
    AIRCRAFT_POINT(1.0, 500.0, 12000.0, 2.66e-3, 3.16e-3),
};

/* A leg of which only the electrical side is asked. */
static struct leg plain(enum sm_modulation scheme, double m, double power_factor, double i_peak)
{
    return (struct leg){ .scheme = scheme,
                         .m = m,
                         .power_factor = power_factor,
                         .i_peak = i_peak,
                         .switching_hz = 1000.0,
                         .circuit = SM_CIRCUIT_HALF_BRIDGE,
                         .rth_jc = { 1e-6, 1e-6 },
                         .t_ambient = 350.0 };
}

/* W: 1.1 V + 4 mohm i at 100 A peak. */
static double line_loss(enum sm_chip_kind kind, enum sm_modulation scheme, double m,
                        double power_factor)
{
    struct leg leg = plain(scheme, m, power_factor, 100.0);
    leg.v0[kind] = 1.1;
    leg.r[kind] = 0.004;
    return leg_answer(&leg, kind == SM_IGBT ? IGBT_CONDUCTION : DIODE_CONDUCTION);
}

/* 1: of v0 = 1 V or r = 1 ohm at 1 A peak, IGBT. */
static double line_factor(enum sm_modulation scheme, double m, double power_factor, double v0,
                          double r)
{
    struct leg leg = plain(scheme, m, power_factor, 1.0);
    leg.v0[SM_IGBT] = v0;
    leg.r[SM_IGBT] = r;
    return leg_answer(&leg, IGBT_CONDUCTION);
}

/* W: one energy, a + b i + c i^2 in J, sine current of i_peak. */
static double switching_loss(enum sm_modulation scheme, double power_factor, const double *e,
                             double i_peak, double switching_hz)
{
    struct leg leg = plain(scheme, 0.9, power_factor, i_peak);
    leg.switching_hz = switching_hz;
    memcpy(leg.e_on, e, sizeof leg.e_on);
    return leg_answer(&leg, IGBT_SWITCHING);
}

static double clamped_share(double power_factor)
{
    const double e[] = { 0.0, 1e-4, 0.0 };
    return switching_loss(SM_MOD_CLAMPED, power_factor, e, 100.0, 4000.0) /
           switching_loss(SM_MOD_SINE, power_factor, e, 100.0, 4000.0);
}

/* 1: energy away from a single test point, over the energy there, with the default exponents. */
static double energy_scale(enum sm_chip_kind kind, double volts, double amps, double kelvins)
{
    struct fixture f;
    struct arena arena;
    fixture_make(&f);
    arena_init(&arena);
    struct sm_switching *s = kind == SM_IGBT ? &f.module.igbt_switching : &f.module.diode_recovery;
    s->current = (struct sm_list){ &f.e_current[1], 1 };
    s->e_on = s->e_off = s->e_rr = (struct sm_rows){ .row = f.rows[3], .n = 1 };
    f.rows[3][0].values = (struct sm_list){ &f.e_on[0][1], 1 };
    const struct switching_use use = { .v_dc = volts * s->test_voltage };
    const struct device device = device_build(&arena, &f.module, kind, &use);
    const double ratio =
        device_energy(&device, ENERGY_FIRST, amps * f.e_current[1], f.rows[3][0].at + kelvins) /
        f.e_on[0][1];
    arena_release(&arena);
    return ratio;
}

size_t published_chain(struct published *rows)
{
    size_t n = 0;
#include "published/chain.def"
    return n;
}

size_t published_losses(struct published *rows)
{
    size_t n = 0;
#include "published/losses.def"
    return n;
}
