/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Choices -> files -> a case, as the program would read it. */
#include "fuzz/fuzz.h"

#include <jansson.h>

static enum sm_status module_read(struct choices *choices, bool wild, int slot,
                                  struct sm_module *module, struct sm_faults *faults)
{
    struct sm_text text;
    sm_text_init(&text);
    make_module(choices, wild, &text);
    const enum sm_status status =
        sm_module_load(fuzz_file(slot, text.data, text.length), module, faults);
    sm_text_release(&text);
    return status;
}

bool made_open(struct made *made, struct choices *choices, bool with_original, bool wild)
{
    struct sm_text text;
    struct sm_faults faults;
    sm_faults_init(&faults);
    sm_text_init(&text);
    sm_drive_init(&made->drive);
    sm_module_init(&made->module);
    sm_module_init(&made->original);
    make_drive(choices, &text);
    enum sm_status status = sm_drive_load(fuzz_file(0, text.data, text.length), NULL,
                                          fuzz_reference(), &made->drive, &faults);
    sm_text_release(&text);
    if (status == SM_OK)
        status = module_read(choices, wild, 1, &made->module, &faults);
    if (status == SM_OK && with_original)
        status = module_read(choices, wild, 2, &made->original, &faults);
    if (status == SM_OK)
        status = sm_case_assemble(&made->drive, &made->module,
                                  with_original ? &made->original : NULL, &made->c, &faults);
    fuzz_check_faults(status, &faults);
    sm_faults_release(&faults);
    return status == SM_OK;
}

void made_release(struct made *made)
{
    sm_module_release(&made->original);
    sm_module_release(&made->module);
    sm_drive_release(&made->drive);
}

void fuzz_check_json(const struct sm_text *text)
{
    json_error_t error;
    json_t *root = json_loadb(text->data, text->length, JSON_REJECT_DUPLICATES, &error);
    FUZZ_CHECK(root != NULL);
    json_decref(root);
}
