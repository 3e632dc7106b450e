/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/loading.h"

#include "base/lack.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

bool loading_given(const struct loading *l, int id)
{
    return l->origins[id].kind == SM_ORIGIN_GIVEN;
}

bool loading_absent(const struct loading *l, int id)
{
    return l->origins[id].kind != SM_ORIGIN_GIVEN && l->origins[id].line == 0;
}

void loading_unused(struct sm_origin *origin)
{
    if (origin->kind == SM_ORIGIN_DEFAULT)
        *origin = (struct sm_origin){ .kind = SM_ORIGIN_ABSENT };
}

enum sm_status loading_fault(const struct loading *l, int line, enum sm_status status,
                             const char *format, ...)
{
    char message[sizeof((struct sm_fault *)NULL)->message];
    const struct sm_place place = ini_source_line(l->source, line);
    va_list args;
    va_start(args, format);
    (void)vsnprintf(message, sizeof message, format, args);
    va_end(args);
    return sm_fault_add(l->faults, status, &place, "%s", message);
}

void loading_rises(const struct loading *l, int line, const struct sm_list *list, const char *what)
{
    for (size_t i = 1; i < list->n; i++) {
        if (list->v[i] > list->v[i - 1])
            continue;
        (void)loading_fault(l, line, SM_ERR_VALUE,
                            "%s does not rise from value %zu to %zu; expected each larger than the "
                            "one before",
                            what, i, i + 1);
        return;
    }
}

bool loading_open(const char *file, char **name, struct ini_source *source,
                  struct sm_faults *faults)
{
    *name = strdup(file);
    if (*name)
        return ini_source_load(file, source, faults) == SM_OK;
    const struct sm_place place = { .file = file };
    (void)sm_fault_add(faults, SM_ERR_MEMORY, &place, "out of memory");
    return false;
}

/* Whether a stands after b for a reader who goes by lines.  What has no line, a missing section,
 * comes last: a line above often tells why (a misspelt header). */
static bool stands_after(const struct sm_fault *a, const struct sm_fault *b)
{
    const bool placed = b->line > 0;
    return strcmp(a->file, b->file) == 0 && placed && (a->line == 0 || a->line > b->line);
}

enum sm_status loading_lack(const struct sm_faults *faults, size_t n)
{
    if (faults->out_of_memory)
        return SM_ERR_MEMORY;
    for (size_t i = n; i < faults->count; i++) {
        if (is_lack(faults->list[i].status))
            return faults->list[i].status;
    }
    return SM_OK;
}

enum sm_status loading_end(struct sm_faults *faults, size_t n)
{
    /* faults of the syntax were found before those of the values */
    for (size_t i = n + 1; i < faults->count; i++) {
        const struct sm_fault fault = faults->list[i];
        size_t k = i;
        while (k > n && stands_after(&faults->list[k - 1], &fault))
            k--;
        memmove(&faults->list[k + 1], &faults->list[k], (i - k) * sizeof fault);
        faults->list[k] = fault;
    }
    const enum sm_status lack = loading_lack(faults, n);
    return lack == SM_OK && faults->count > n ? faults->list[n].status : lack;
}
