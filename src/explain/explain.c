/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/explain.h"

#include "explain/order.h"
#include "explain/paths.h"
#include "swapmargin/engine.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void sm_explanation_init(struct sm_explanation *explanation)
{
    *explanation = (struct sm_explanation){ .n_steps = 0 };
}

void sm_askables_init(struct sm_askables *askables)
{
    *askables = (struct sm_askables){ .n = 0 };
}

static void memory_release(void *memory)
{
    if (!memory)
        return;
    arena_release(memory);
    free(memory);
}

void sm_explanation_release(struct sm_explanation *explanation)
{
    memory_release(explanation->memory);
    sm_explanation_init(explanation);
}

void sm_askables_release(struct sm_askables *askables)
{
    memory_release(askables->memory);
    sm_askables_init(askables);
}

static struct arena *memory_new(void)
{
    struct arena *arena = malloc(sizeof *arena);
    if (arena)
        arena_init(arena);
    return arena;
}

static enum sm_status out_of_memory(struct sm_faults *faults)
{
    return sm_fault_add(faults, SM_ERR_MEMORY, NULL, "out of memory");
}

/* --------------------------------------------------------------- one number */

/* False where no point has settled: then nothing has. */
static bool largest_residual(const struct sm_result *result, double *residual)
{
    bool any = false;
    for (size_t i = 0; i < result->n_points; i++)
        if (!result->points[i].runaway) {
            *residual = fmax(*residual, result->points[i].residual);
            any = true;
        }
    return any;
}

static enum sm_status steps_build(struct builder *b, const struct path *path,
                                  struct sm_explanation *out)
{
    const size_t top = quantity_step(b, path->q, &path->w);
    if (b->arena->failed || b->status != SM_OK)
        return b->status != SM_OK ? b->status : SM_ERR_MEMORY;
    numbers_fill(b);
    order_from(b, top, out);
    words_collect(b, out);
    out->settled = b->loop && largest_residual(b->result, &out->residual);
    return b->arena->failed ? SM_ERR_MEMORY : SM_OK;
}

static enum sm_status builder_run(struct builder *b, const struct path *path,
                                  struct sm_explanation *out)
{
    const enum sm_status status = builder_vary(b, path->q, &path->w);
    return status == SM_OK ? steps_build(b, path, out) : status;
}

static enum sm_status explain_path(struct builder *b, struct sm_result *result,
                                   const struct path *path, struct sm_explanation *out,
                                   struct sm_faults *faults)
{
    enum sm_status status = sm_run(b->c, result, faults);
    if (status == SM_OK && quantity_row(path->q)->group == GROUP_LIMIT)
        status = sm_run_limits(b->c, result, faults);
    if (status != SM_OK)
        return status;
    builder_told(b, result);
    status = builder_run(b, path, out);
    return status == SM_OK ? SM_OK
                           : sm_fault_add(faults, status, NULL, "%s", sm_status_text(status));
}

/* The name first: a wrong one is told at once. */
enum sm_status sm_explain(const struct sm_case *c, const char *what, struct sm_explanation *out,
                          struct sm_faults *faults)
{
    struct sm_result result;
    struct builder b;
    out->memory = memory_new();
    if (!out->memory || builder_open(&b, c, out->memory) != SM_OK) {
        sm_explanation_release(out);
        return out_of_memory(faults);
    }
    sm_result_init(&result);
    enum sm_status status = SM_ERR_KEY;
    const struct path *path = path_find(&b, what, faults);
    if (path)
        status = explain_path(&b, &result, path, out, faults);
    sm_result_release(&result);
    if (status != SM_OK)
        sm_explanation_release(out);
    return status;
}

/* ---------------------------------------------------------------- the list */

/* "points[0].igbt.foster[1]" -> "points[i].igbt.foster[k]"; limits and checks have names of their
 * own. */
static const char *pattern_of(struct builder *b, const struct path *path)
{
    const char *named = row_name(quantity_row(path->q)->group, path->w.k);
    struct sm_text text;
    sm_text_init(&text);
    const char *inside = named ? named : "i";
    for (const char *p = path->name; *p != '\0'; p++) {
        sm_text_add_bytes(&text, p, 1);
        if (*p != '[')
            continue;
        sm_text_add(&text, "%s", inside);
        inside = "k";
        p += strcspn(p, "]") - 1;
    }
    return keep(b, &text);
}

static enum sm_status list_build(const struct sm_case *c, struct sm_askables *out)
{
    struct builder b;
    size_t n = 0;
    enum sm_status status = builder_open(&b, c, out->memory);
    if (status != SM_OK)
        return status;
    const struct path *path = paths_list(&b, &n);
    out->list = arena_bytes(b.arena, n * sizeof *out->list);
    for (size_t i = 0; path && out->list && i < n; i++) {
        const struct quantity_row *row = quantity_row(path[i].q);
        out->list[out->n++] =
            (struct sm_askable){ .path = path[i].name,
                                 .pattern = pattern_of(&b, &path[i]),
                                 .unit = quantity_unit(path[i].q, path[i].w.k),
                                 .meaning = words_fill(&b, row->meaning, &path[i].w),
                                 .result = path[i].result };
    }
    return b.arena->failed ? SM_ERR_MEMORY : SM_OK;
}

enum sm_status sm_explain_list(const struct sm_case *c, struct sm_askables *out,
                               struct sm_faults *faults)
{
    out->memory = memory_new();
    const enum sm_status status = out->memory ? list_build(c, out) : SM_ERR_MEMORY;
    if (status == SM_OK)
        return SM_OK;
    sm_askables_release(out);
    return out_of_memory(faults);
}
