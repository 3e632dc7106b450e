/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/sanity.h"

#include "base/grow.h"
#include "swapmargin/engine.h"

#include <stdlib.h>
#include <string.h>

void sm_warnings_init(struct sm_warnings *warnings)
{
    *warnings = (struct sm_warnings){ 0 };
}

void sm_warnings_release(struct sm_warnings *warnings)
{
    free(warnings->list);
    sm_warnings_init(warnings);
}

void look_warn(struct look *look, struct sm_warning warning)
{
    struct sm_warnings *all = look->warnings;
    struct sm_warning *list = list_grow(all->list, all->count, &all->capacity, sizeof *list);
    if (!list) {
        look->out_of_memory = true;
        return;
    }
    all->list = list;
    warning.file = look->module->file;
    if (warning.line == 0)
        warning.line = look->module->origin[warning.key].line;
    all->list[all->count++] = warning;
}

void look_warn_if(struct look *look, bool slip, struct sm_warning warning)
{
    if (slip)
        look_warn(look, warning);
}

double look_at(const struct sm_list *x, const struct sm_list *y, double at)
{
    size_t i = 1;
    while (i + 1 < x->n && at > x->v[i])
        i++;
    const double slope = (y->v[i] - y->v[i - 1]) / (x->v[i] - x->v[i - 1]);
    return y->v[i - 1] + slope * (at - x->v[i - 1]);
}

double look_energy(const struct sm_list *current, const struct sm_list *energy, double at)
{
    if (current->n == 1 || at < current->v[0])
        return current->v[0] > 0.0 ? energy->v[0] * at / current->v[0] : energy->v[0];
    return look_at(current, energy, at);
}

/* Puts the warnings from the first on in the order of their lines. */
static void sort(struct sm_warnings *warnings, size_t first)
{
    for (size_t i = first + 1; i < warnings->count; i++) {
        const struct sm_warning warning = warnings->list[i];
        size_t k = i;
        while (k > first && warnings->list[k - 1].line > warning.line)
            k--;
        memmove(&warnings->list[k + 1], &warnings->list[k], (i - k) * sizeof warning);
        warnings->list[k] = warning;
    }
}

enum sm_status sm_module_sanity(const struct sm_module *module, struct sm_warnings *warnings)
{
    struct look look = { .module = module, .warnings = warnings };
    const size_t first = warnings->count;
    look_ratings(&look);
    look_conduction(&look);
    look_energies(&look);
    look_thermal(&look);
    look_mounting(&look);
    look_gate(&look);
    sort(warnings, first);
    return look.out_of_memory ? SM_ERR_MEMORY : SM_OK;
}

enum sm_status sm_case_sanity(const struct sm_case *c, struct sm_warnings *warnings)
{
    const struct sm_module *original = c->original;
    const enum sm_status status = sm_module_sanity(c->module, warnings);
    if (status != SM_OK || !original)
        return status;
    if (original->file && c->module->file && strcmp(original->file, c->module->file) == 0)
        return SM_OK;
    return sm_module_sanity(original, warnings);
}
