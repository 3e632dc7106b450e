/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Curves and energies that go a way no chip goes.  The bounds are common practice, no source. */
#include "assess/sanity.h"

#include <math.h>

/* --------------------------------------------------------- on-state curves */

#define VOLTAGE_LEAST 0.3 /* V    the knee of a hot silicon chip, with room to spare */
#define HIGH_CURRENT 1.5  /* 1    of the rated one: there every IGBT's voltage rises */
#define HOT_WITHIN 0.02   /* 1    what two hot and cold points may be misread by */
#define CROSS_WITHIN 0.01 /* 1    the same where a crossing is looked for */

static void look_start(struct look *look, const struct sm_conduction *curves,
                       const struct sm_row *row, enum sm_module_key key)
{
    look_warn_if(look, row->values.v[0] < VOLTAGE_LEAST,
                 (struct sm_warning){ .id = SM_SANITY_STARTS_LOW,
                                      .key = key,
                                      .line = row->line,
                                      .value = { row->values.v[0], curves->current.v[0] } });
}

/* The straight line through the voltages at the rated current and half of it. */
static void look_knee(struct look *look, const struct sm_conduction *curves,
                      const struct sm_row *row, enum sm_module_key key)
{
    const double last = curves->current.v[curves->current.n - 1];
    const double full = fmin(look->module->ic_nominal, last), half = full / 2.0;
    if (half < curves->current.v[0])
        return;
    const double knee = 2.0 * look_at(&curves->current, &row->values, half) -
                        look_at(&curves->current, &row->values, full);
    look_warn_if(look, knee < VOLTAGE_LEAST,
                 (struct sm_warning){ .id = SM_SANITY_KNEE_LOW,
                                      .key = key,
                                      .line = row->line,
                                      .value = { half, full, knee } });
}

/* Hot against cold: below at low current, above at high current, so once across. */
static void look_crossing(struct look *look, const struct sm_conduction *curves,
                          enum sm_module_key key)
{
    const struct sm_row *cold = &curves->voltage.row[0];
    const struct sm_row *hot = &curves->voltage.row[curves->voltage.n - 1];
    double above = -1.0; /* A  where the hot row was above; none yet */
    for (size_t j = 0; j < curves->current.n && hot != cold; j++) {
        const double difference = hot->values.v[j] - cold->values.v[j];
        const double blur = CROSS_WITHIN * cold->values.v[j];
        if (difference > blur && above < 0.0)
            above = curves->current.v[j];
        if (difference >= -blur || above < 0.0)
            continue;
        look_warn(look, (struct sm_warning){ .id = SM_SANITY_CROSSES_BACK,
                                             .key = key,
                                             .line = hot->line,
                                             .value = { cold->at, above, curves->current.v[j] } });
        return;
    }
}

static void look_hot(struct look *look, const struct sm_conduction *curves, enum sm_module_key key)
{
    const struct sm_row *cold = &curves->voltage.row[0];
    const struct sm_row *hot = &curves->voltage.row[curves->voltage.n - 1];
    const size_t last = curves->current.n - 1;
    const double current = curves->current.v[last];
    const double v_cold = cold->values.v[last], v_hot = hot->values.v[last];
    look_warn_if(look,
                 current >= HIGH_CURRENT * look->module->ic_nominal &&
                     v_hot < (1.0 - HOT_WITHIN) * v_cold,
                 (struct sm_warning){ .id = SM_SANITY_HOT_FALLS,
                                      .key = key,
                                      .line = hot->line,
                                      .value = { v_hot, current, v_cold, cold->at } });
}

static void look_curves(struct look *look, const struct sm_conduction *curves,
                        enum sm_module_key key)
{
    for (size_t k = 0; k < curves->voltage.n; k++) {
        look_start(look, curves, &curves->voltage.row[k], key);
        look_knee(look, curves, &curves->voltage.row[k], key);
    }
    look_crossing(look, curves, key);
}

void look_conduction(struct look *look)
{
    const struct sm_module *m = look->module;
    look_curves(look, &m->igbt_conduction, SM_MODULE_VCE_SAT);
    look_hot(look, &m->igbt_conduction, SM_MODULE_VCE_SAT);
    look_curves(look, &m->diode_conduction, SM_MODULE_VF);
}

/* ---------------------------------------------------------------- energies */

#define FALL_WITHIN 0.05        /* 1  what two points may be misread by */
#define TEST_VOLTAGE_LEAST 0.30 /* 1  of V_CES */
#define TEST_VOLTAGE_MOST 0.85
#define RECOVERY_LEAST (1.0 / 30.0) /* 1  of the IGBT's energies */
#define SAME_TEMPERATURE 1.0        /* K */
#define SAME_VOLTAGE 0.1            /* 1  between the two test voltages */

struct switching_class {
    double vces, shortest, longest;
};

static const struct switching_class classes[] = {
#define SWITCHING_CLASS(vces, shortest, longest) { vces, shortest, longest },
#include "swapmargin/switching_classes.def"
#undef SWITCHING_CLASS
};

static bool falls(double from, double to)
{
    return to < (1.0 - FALL_WITHIN) * from;
}

/* The first fall of a list over another. */
static void look_fall(struct look *look, const struct sm_list *x, const struct sm_list *y,
                      const struct sm_warning *where)
{
    for (size_t j = 1; j < y->n && j < x->n; j++) {
        struct sm_warning warning = *where;
        if (!falls(y->v[j - 1], y->v[j]))
            continue;
        warning.value[0] = y->v[j - 1];
        warning.value[1] = y->v[j];
        warning.value[2] = x->v[j];
        look_warn(look, warning);
        return;
    }
}

/* The first point at which a row lies below the next colder one. */
static void look_colder(struct look *look, const struct sm_list *current,
                        const struct sm_row *colder, const struct sm_row *row,
                        enum sm_module_key key)
{
    for (size_t j = 0; j < current->n; j++) {
        const double cold = colder->values.v[j], hot = row->values.v[j];
        if (!falls(cold, hot))
            continue;
        look_warn(look, (struct sm_warning){ .id = SM_SANITY_FALLS_WITH_TEMPERATURE,
                                             .key = key,
                                             .line = row->line,
                                             .value = { hot, current->v[j], cold, colder->at } });
        return;
    }
}

static void look_rows(struct look *look, const struct sm_list *current, const struct sm_rows *rows,
                      enum sm_module_key key)
{
    for (size_t k = 0; k < rows->n; k++) {
        const struct sm_warning where = { .id = SM_SANITY_FALLS_WITH_CURRENT,
                                          .key = key,
                                          .line = rows->row[k].line };
        look_fall(look, current, &rows->row[k].values, &where);
        if (k > 0)
            look_colder(look, current, &rows->row[k - 1], &rows->row[k], key);
    }
}

static void look_test_voltage(struct look *look, double voltage, enum sm_module_key key)
{
    const double vces = look->module->vces;
    look_warn_if(look, voltage < TEST_VOLTAGE_LEAST * vces || voltage > TEST_VOLTAGE_MOST * vces,
                 (struct sm_warning){
                     .id = SM_SANITY_TEST_VOLTAGE, .key = key, .value = { voltage, vces } });
}

/* The energies as the time that full voltage and current would take for them. */
static void look_switching_time(struct look *look)
{
    const struct sm_module *m = look->module;
    const struct sm_switching *s = &m->igbt_switching;
    const struct sm_row *on = &s->e_on.row[s->e_on.n - 1], *off = &s->e_off.row[s->e_off.n - 1];
    const double current = fmin(m->ic_nominal, s->current.v[s->current.n - 1]);
    const double energy = look_energy(&s->current, &on->values, current) +
                          look_energy(&s->current, &off->values, current);
    const double time = energy / (s->test_voltage * current);
    const struct switching_class *usual = classes;
    while (usual + 1 < classes + sizeof classes / sizeof classes[0] && m->vces > usual->vces)
        usual++;
    const bool is_short = time < usual->shortest;
    look_warn_if(
        look, is_short || time > usual->longest,
        (struct sm_warning){
            .id = is_short ? SM_SANITY_SWITCHING_SHORT : SM_SANITY_SWITCHING_LONG,
            .key = SM_MODULE_E_ON,
            .line = on->line,
            .value = { energy, current, time, is_short ? usual->shortest : usual->longest } });
}

/* The row at a temperature, or NULL. */
static const struct sm_row *row_at(const struct sm_rows *rows, double temperature)
{
    for (size_t k = 0; k < rows->n; k++)
        if (fabs(rows->row[k].at - temperature) <= SAME_TEMPERATURE)
            return &rows->row[k];
    return NULL;
}

/* Recovery against the IGBT's energies where both are known at one temperature and voltage. */
static void look_recovery_row(struct look *look, const struct sm_row *row)
{
    const struct sm_switching *igbt = &look->module->igbt_switching;
    const struct sm_switching *diode = &look->module->diode_recovery;
    const struct sm_row *on = row_at(&igbt->e_on, row->at), *off = row_at(&igbt->e_off, row->at);
    if (!on || !off)
        return;
    const double current =
        fmin(igbt->current.v[igbt->current.n - 1], diode->current.v[diode->current.n - 1]);
    const double recovery = look_energy(&diode->current, &row->values, current);
    const double both = look_energy(&igbt->current, &on->values, current) +
                        look_energy(&igbt->current, &off->values, current);
    const bool large = recovery > both;
    look_warn_if(
        look, large || recovery < RECOVERY_LEAST * both,
        (struct sm_warning){ .id = large ? SM_SANITY_RECOVERY_LARGE : SM_SANITY_RECOVERY_SMALL,
                             .key = SM_MODULE_E_RR,
                             .line = row->line,
                             .value = { recovery, current, both } });
}

static void look_recovery(struct look *look)
{
    const struct sm_switching *igbt = &look->module->igbt_switching;
    const struct sm_switching *diode = &look->module->diode_recovery;
    if (fabs(igbt->test_voltage - diode->test_voltage) > SAME_VOLTAGE * igbt->test_voltage)
        return;
    for (size_t k = 0; k < diode->e_rr.n; k++)
        look_recovery_row(look, &diode->e_rr.row[k]);
}

void look_energies(struct look *look)
{
    const struct sm_switching *igbt = &look->module->igbt_switching;
    const struct sm_switching *diode = &look->module->diode_recovery;
    look_rows(look, &igbt->current, &igbt->e_on, SM_MODULE_E_ON);
    look_rows(look, &igbt->current, &igbt->e_off, SM_MODULE_E_OFF);
    look_rows(look, &diode->current, &diode->e_rr, SM_MODULE_E_RR);
    look_fall(
        look, &igbt->rg, &igbt->e_on_rg,
        &(struct sm_warning){ .id = SM_SANITY_FALLS_WITH_RESISTOR, .key = SM_MODULE_E_ON_RG });
    look_test_voltage(look, igbt->test_voltage, SM_MODULE_IGBT_TEST_VOLTAGE);
    look_test_voltage(look, diode->test_voltage, SM_MODULE_DIODE_TEST_VOLTAGE);
    look_switching_time(look);
    look_recovery(look);
}
