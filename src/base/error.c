/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/error.h"

#include "base/grow.h"
#include "base/utf8.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ELLIPSIS "..."

const char *sm_status_text(enum sm_status status)
{
    static const char *const texts[] = {
#define STATUS(id, text) [id] = text,
#include "swapmargin/status.def"
#undef STATUS
    };
    return (size_t)status < SM_STATUS_COUNT ? texts[status] : "unknown status";
}

void sm_faults_init(struct sm_faults *faults)
{
    *faults = (struct sm_faults){ 0 };
}

void sm_faults_release(struct sm_faults *faults)
{
    for (size_t i = 0; i < faults->count; i++)
        free(faults->list[i].file);
    free(faults->list);
    sm_faults_init(faults);
}

/* One fault is one line of text on a terminal: whatever came from a file is made harmless. */
static void fault_clean(char *text)
{
    for (char *p = text; *p;) {
        const size_t n = utf8_length(p);
        if (n > 0 && !utf8_is_control(p)) {
            p += n;
        } else {
            *p = *p == '\t' ? ' ' : '?';
            p++;
        }
    }
}

/* Copies as much as fits, cut at a whole character, and says when something was cut. */
static void fault_copy(char *to, size_t size, const char *from)
{
    const size_t length = from ? strlen(from) : 0;
    if (length == 0) {
        to[0] = '\0';
    } else if (length < size) {
        memcpy(to, from, length + 1);
    } else {
        const size_t keep = utf8_cut(from, size - sizeof ELLIPSIS);
        memcpy(to, from, keep);
        memcpy(to + keep, ELLIPSIS, sizeof ELLIPSIS);
    }
    fault_clean(to);
}

static struct sm_fault *faults_grow(struct sm_faults *faults)
{
    struct sm_fault *list = list_grow(faults->list, faults->count, &faults->capacity, sizeof *list);
    if (!list)
        return NULL;
    faults->list = list;
    return &list[faults->count];
}

enum sm_status sm_fault_add(struct sm_faults *faults, enum sm_status status,
                            const struct sm_place *place, const char *format, ...)
{
    if (!faults)
        return status;

    static const struct sm_place nowhere = { 0 };
    const struct sm_place *at = place ? place : &nowhere;
    struct sm_fault *fault = faults_grow(faults);
    char *file = fault ? text_copy(at->file ? at->file : "") : NULL;
    if (!file) {
        faults->out_of_memory = true;
        return status;
    }

    char message[2 * sizeof fault->message];
    va_list args;
    va_start(args, format);
    if (vsnprintf(message, sizeof message, format, args) < 0)
        message[0] = '\0';
    va_end(args);

    fault->status = status;
    fault->file = file;
    fault->line = at->line;
    fault_copy(fault->section, sizeof fault->section, at->section);
    fault_copy(fault->key, sizeof fault->key, at->key);
    fault_copy(fault->message, sizeof fault->message, message);
    faults->count++;
    return status;
}
