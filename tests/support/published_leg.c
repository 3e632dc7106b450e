/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/published_leg.h"

#include "base/maths.h"
#include "support/fixture.h"
#include "swapmargin/engine.h"

#include <math.h>
#include <string.h>

#define ZERO_CELSIUS 273.15 /* K */
#define V_BUS 648.0         /* V  of the fixture; energies are taken at it */

enum { ENERGY_POINTS = 61 };

/* The fixture with parabolas for its energies. */
struct bench {
    struct fixture f;
    double current[ENERGY_POINTS], e[3][ENERGY_POINTS];
};

static void parabola(struct bench *b, int k, const double abc[3], struct sm_rows *rows)
{
    for (int j = 0; j < ENERGY_POINTS; j++) {
        const double i = b->current[j];
        b->e[k][j] = abc[0] + i * (abc[1] + i * abc[2]);
    }
    for (int t = 0; t < 2; t++)
        rows->row[t].values = (struct sm_list){ b->e[k], ENERGY_POINTS };
}

static void set_devices(struct bench *b, const struct leg *leg)
{
    struct sm_module *m = &b->f.module;
    for (int j = 0; j < 2; j++)
        for (int t = 0; t < 2; t++) {
            b->f.v_igbt[t][j] = leg->v0[SM_IGBT] + leg->r[SM_IGBT] * b->f.current[j];
            b->f.v_diode[t][j] = leg->v0[SM_DIODE] + leg->r[SM_DIODE] * b->f.current[j];
        }
    for (int j = 0; j < ENERGY_POINTS; j++)
        b->current[j] = 1.2 * leg->i_peak * j / (ENERGY_POINTS - 1);
    m->igbt_switching.current = m->diode_recovery.current =
        (struct sm_list){ b->current, ENERGY_POINTS };
    m->igbt_switching.test_voltage = m->diode_recovery.test_voltage = V_BUS;
    parabola(b, 0, leg->e_on, &m->igbt_switching.e_on);
    parabola(b, 1, leg->e_off, &m->igbt_switching.e_off);
    parabola(b, 2, leg->e_rr, &m->diode_recovery.e_rr);
}

static void set_heat(struct bench *b, const struct leg *leg)
{
    b->f.module.circuit = leg->circuit;
    b->f.foster_r[SM_IGBT][0] = leg->rth_jc[SM_IGBT];
    b->f.foster_r[SM_DIODE][0] = leg->rth_jc[SM_DIODE];
    b->f.module.mounting.rth_cs = (struct sm_optional){ true, leg->rth_cs };
    b->f.module.mounting.rth_cs_conductivity.given = false;
    b->f.drive.cooling.rth_sa = leg->rth_sa;
    b->f.drive.cooling.ambient = leg->t_ambient;
}

static void bench_make(struct bench *b, const struct leg *leg)
{
    memset(b, 0, sizeof *b);
    fixture_make(&b->f);
    b->f.current[1] = 1.2 * leg->i_peak;
    b->f.power_factor[0] = leg->power_factor;
    struct sm_rating *rating = &b->f.drive.rating;
    rating->modulation = (int)leg->scheme;
    rating->switching_frequency = leg->switching_hz;
    rating->output_current = leg->i_peak / SQRT2;
    rating->output_voltage = leg->m * SQRT3 * V_BUS / (2.0 * SQRT2);
    rating->base_frequency = 60.0;
    b->f.frequencies[0] = 60.0;
    b->f.drive.test.frequencies.n = 1;
    set_devices(b, leg);
    set_heat(b, leg);
}

static double answer_of(const struct sm_result *result, enum leg_answer answer)
{
    const struct sm_point *p = &result->points[0];
    const struct sm_chip_result *igbt = &p->chip[SM_IGBT], *diode = &p->chip[SM_DIODE];
    switch (answer) {
    case IGBT_CONDUCTION:
        return igbt->conduction;
    case IGBT_SWITCHING:
        return igbt->turn_on + igbt->turn_off;
    case DIODE_CONDUCTION:
        return diode->conduction;
    case DIODE_RECOVERY:
        return diode->recovery;
    case INVERTER:
        return p->module_heat * result->module_count;
    case CASE:
        return igbt->t_case;
    case IGBT_MEAN:
        return igbt->tvj_mean;
    case DIODE_MEAN:
        return diode->tvj_mean;
    }
    return (double)NAN;
}

double leg_answer(const struct leg *leg, enum leg_answer answer)
{
    struct bench b;
    struct sm_result result;
    bench_make(&b, leg);
    sm_result_init(&result);
    double value = (double)NAN;
    if (sm_run(&b.f.c, &result, NULL) == SM_OK && !result.runaway)
        value = answer_of(&result, answer);
    sm_result_release(&result);
    return value;
}

/* Without modulation the duty is 1/2 and a chip with v = v0 loses v0 I/(2 pi). */
static struct leg leg_of(const struct stack *stack)
{
    return (struct leg){ .scheme = SM_MOD_SINE,
                         .power_factor = 1.0,
                         .i_peak = 2.0 * PI,
                         .switching_hz = 1000.0,
                         .v0 = { stack->watts, 0.0 },
                         .circuit = SM_CIRCUIT_SINGLE,
                         .rth_jc = { stack->rth_jc, 1.0 },
                         .rth_cs = stack->rth_cs,
                         .rth_sa = stack->rth_sa / 6.0,
                         .t_ambient = stack->t_ambient + ZERO_CELSIUS };
}

double stack_case(const struct stack *stack)
{
    const struct leg leg = leg_of(stack);
    return leg_answer(&leg, CASE) - ZERO_CELSIUS;
}

double stack_junction(const struct stack *stack)
{
    const struct leg leg = leg_of(stack);
    return leg_answer(&leg, IGBT_MEAN) - ZERO_CELSIUS;
}
