/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/input_module.h"

#include <stddef.h>

/* E / (test_voltage * I) is about the time that a switching takes: outside these bounds a unit or a
 * table was mistaken (file format, energies). */
#define SWITCHING_SHORTEST 1e-9 /* s */
#define SWITCHING_LONGEST 50e-6 /* s */

static void lengths_check(const struct loading *l, const struct sm_list *current, int current_line,
                          const struct sm_rows *rows)
{
    for (size_t i = 0; i < rows->n; i++) {
        if (rows->row[i].values.n == current->n)
            continue;
        (void)loading_fault(l, rows->row[i].line, SM_ERR_VALUE,
                            "%zu value%s for %zu current%s in line %d; expected as many",
                            rows->row[i].values.n, rows->row[i].values.n == 1 ? "" : "s",
                            current->n, current->n == 1 ? "" : "s", current_line);
    }
}

static void conduction_check(const struct loading *l, const struct sm_conduction *conduction,
                             int current)
{
    const int line = l->origins[current].line;
    if (loading_given(l, current)) {
        loading_rises(l, line, &conduction->current, "current");
        lengths_check(l, &conduction->current, line, &conduction->voltage);
    }
    for (size_t i = 0; i < conduction->voltage.n; i++)
        loading_rises(l, conduction->voltage.row[i].line, &conduction->voltage.row[i].values,
                      "voltage");
}

/* E/(V I) at the largest current, for every temperature. */
static void energies_check(const struct loading *l, const struct sm_switching *switching,
                           const struct sm_rows *rows)
{
    const struct sm_list *current = &switching->current;
    const double largest = current->v[current->n - 1];
    if (largest <= 0.0 || switching->test_voltage <= 0.0)
        return;
    for (size_t i = 0; i < rows->n; i++) {
        const struct sm_list *energy = &rows->row[i].values;
        if (energy->n != current->n)
            continue;
        const double time = energy->v[energy->n - 1] / (switching->test_voltage * largest);
        if (time >= SWITCHING_SHORTEST && time <= SWITCHING_LONGEST)
            continue;
        (void)loading_fault(
            l, rows->row[i].line, SM_ERR_RANGE,
            "%.3g J at %.6g A and %.6g V means switching in %.3g s; expected 1 ns to "
            "50 us: is the unit right?",
            energy->v[energy->n - 1], largest, switching->test_voltage, time);
    }
}

struct switching_ids {
    int voltage, current;
};

static void switching_check(const struct loading *l, const struct sm_switching *switching,
                            const struct sm_rows *const rows[2], const struct switching_ids *ids)
{
    if (!loading_given(l, ids->current))
        return;
    const struct sm_list *current = &switching->current;
    const int line = l->origins[ids->current].line;
    loading_rises(l, line, current, "current");
    if (current->n == 1 && current->v[0] <= 0.0)
        (void)loading_fault(l, line, SM_ERR_RANGE,
                            "0 A only; expected at least one current above 0 A");
    for (size_t i = 0; i < 2 && rows[i]; i++) {
        lengths_check(l, current, line, rows[i]);
        if (loading_given(l, ids->voltage))
            energies_check(l, switching, rows[i]);
    }
}

/* ------------------------------------------------------------ gate resistor */

struct rg_table {
    const char *names; /* what belongs together */
    int ids[3];        /* rg and its energies; the last < 0 when there are only two */
    const struct sm_list *lists[3];
};

static void rg_table_check(const struct loading *l, const struct rg_table *table)
{
    const size_t n = table->ids[2] < 0 ? 2 : 3;
    size_t present = 0, good = 0;
    int line = 0;
    for (size_t i = 0; i < n; i++) {
        present += !loading_absent(l, table->ids[i]);
        good += loading_given(l, table->ids[i]);
        if (line == 0)
            line = l->origins[table->ids[i]].line;
    }
    if (present > 0 && present < n)
        (void)loading_fault(l, line, SM_ERR_KEY, "stands alone; expected %s together",
                            table->names);
    if (good < n)
        return;
    loading_rises(l, l->origins[table->ids[0]].line, table->lists[0], "gate resistor");
    for (size_t i = 1; i < n; i++) {
        if (table->lists[i]->n != table->lists[0]->n)
            (void)loading_fault(l, l->origins[table->ids[i]].line, SM_ERR_VALUE,
                                "%zu values for %zu gate resistors in line %d; expected as many",
                                table->lists[i]->n, table->lists[0]->n,
                                l->origins[table->ids[0]].line);
    }
}

static void test_rg_finish(const struct loading *l, struct sm_module *module)
{
    struct sm_switching *switching = &module->igbt_switching;
    if (!loading_given(l, SM_MODULE_TEST_RG))
        return;
    if (loading_given(l, SM_MODULE_TEST_RG_ON) || loading_given(l, SM_MODULE_TEST_RG_OFF)) {
        (void)loading_fault(l, l->origins[SM_MODULE_TEST_RG].line, SM_ERR_KEY,
                            "stands beside test_rg_on or test_rg_off; expected one for both, or "
                            "those two");
        return;
    }
    const struct sm_origin derived = { SM_ORIGIN_DERIVED, l->file,
                                       l->origins[SM_MODULE_TEST_RG].line };
    switching->test_rg_off = switching->test_rg_on;
    module->origin[SM_MODULE_TEST_RG_ON] = derived;
    module->origin[SM_MODULE_TEST_RG_OFF] = derived;
}

/* Exponents and coefficients that stand in for curves are of no use where there are curves. */
static void stand_ins_unused(struct sm_module *module)
{
    const struct sm_switching *igbt = &module->igbt_switching, *diode = &module->diode_recovery;
    if (igbt->current.n > 1)
        loading_unused(&module->origin[SM_MODULE_IGBT_CURRENT_EXPONENT]);
    if (diode->current.n > 1)
        loading_unused(&module->origin[SM_MODULE_DIODE_CURRENT_EXPONENT]);
    if (igbt->e_on.n > 1 && igbt->e_off.n > 1)
        loading_unused(&module->origin[SM_MODULE_IGBT_TEMPERATURE_COEFFICIENT]);
    if (diode->e_rr.n > 1)
        loading_unused(&module->origin[SM_MODULE_DIODE_TEMPERATURE_COEFFICIENT]);
}

/* Terminal curves: what is left for the chip after the leads' drop must still rise with current. */
static void leads_check(const struct loading *l, const struct sm_module *module,
                        const struct sm_conduction *conduction)
{
    const struct sm_list *current = &conduction->current;
    for (size_t k = 0; k < conduction->voltage.n; k++) {
        const struct sm_list *v = &conduction->voltage.row[k].values;
        for (size_t j = 1; j < current->n && v->n == current->n; j++) {
            const double leads = module->lead_resistance * (current->v[j] - current->v[j - 1]);
            if (v->v[j] - v->v[j - 1] > leads)
                continue;
            (void)loading_fault(l, l->origins[SM_MODULE_LEAD_RESISTANCE].line, SM_ERR_VALUE,
                                "its drop is more than the curve of line %d rises; expected less, "
                                "or curves = chip",
                                conduction->voltage.row[k].line);
            return;
        }
    }
}

void module_curves_check(const struct loading *l, struct sm_module *module)
{
    stand_ins_unused(module);
    if (module->curves == SM_CURVES_TERMINAL && loading_given(l, SM_MODULE_LEAD_RESISTANCE)) {
        leads_check(l, module, &module->igbt_conduction);
        leads_check(l, module, &module->diode_conduction);
    }
    conduction_check(l, &module->igbt_conduction, SM_MODULE_IGBT_CONDUCTION_CURRENT);
    conduction_check(l, &module->diode_conduction, SM_MODULE_DIODE_CONDUCTION_CURRENT);

    const struct sm_switching *igbt = &module->igbt_switching, *diode = &module->diode_recovery;
    switching_check(
        l, igbt, (const struct sm_rows *const[2]){ &igbt->e_on, &igbt->e_off },
        &(struct switching_ids){ SM_MODULE_IGBT_TEST_VOLTAGE, SM_MODULE_IGBT_SWITCHING_CURRENT });
    switching_check(
        l, diode, (const struct sm_rows *const[2]){ &diode->e_rr, NULL },
        &(struct switching_ids){ SM_MODULE_DIODE_TEST_VOLTAGE, SM_MODULE_DIODE_RECOVERY_CURRENT });

    rg_table_check(l,
                   &(struct rg_table){ "rg, e_on_rg and e_off_rg",
                                       { SM_MODULE_IGBT_RG, SM_MODULE_E_ON_RG, SM_MODULE_E_OFF_RG },
                                       { &igbt->rg, &igbt->e_on_rg, &igbt->e_off_rg } });
    rg_table_check(l, &(struct rg_table){ "rg and e_rr_rg",
                                          { SM_MODULE_DIODE_RG, SM_MODULE_E_RR_RG, -1 },
                                          { &diode->rg, &diode->e_rr_rg, NULL } });
    test_rg_finish(l, module);
}
