/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The module file: its key table, then what holds across its keys. */
#define _POSIX_C_SOURCE 200809L /* strdup() */
#include "input/input_module.h"

#include "input/key_table.h"
#include "swapmargin/input.h"

#include <stdlib.h>
#include <string.h>

void sm_module_init(struct sm_module *module)
{
    *module = (struct sm_module){ 0 };
}

void sm_module_release(struct sm_module *module)
{
    key_table_release(&module_keys, module);
    free(module->file);
    sm_module_init(module);
}

static void module_read(const struct ini_source *source, struct sm_module *module,
                        struct sm_faults *faults)
{
    if (key_table_other_kind(&module_keys, source, faults))
        return;
    const struct key_target target = { module, module->origin, module->file };
    const struct loading l = { source, module->origin, module->file, faults };
    const size_t before = faults->count;
    key_table_read(&module_keys, source, &target, faults);
    if (loading_lack(faults, before) != SM_OK)
        return;
    module_curves_check(&l, module);
    module_thermal_check(&l, module);
}

enum sm_status sm_module_load(const char *file, struct sm_module *module, struct sm_faults *faults)
{
    struct sm_faults own;
    sm_faults_init(&own);
    struct sm_faults *list = faults ? faults : &own;
    const size_t before = list->count;
    struct ini_source source;
    ini_source_init(&source);

    sm_module_init(module);
    if (loading_open(file, &module->file, &source, list))
        module_read(&source, module, list);
    memcpy(module->sha256, source.sha256, sizeof module->sha256);
    ini_source_release(&source);

    const enum sm_status status = loading_end(list, before);
    if (status != SM_OK)
        sm_module_release(module);
    sm_faults_release(&own);
    return status;
}
