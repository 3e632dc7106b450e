/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/command_functions.h"
#include "cmd/compare_merge.h"
#include "cmd/compare_options.h"
#include "cmd/compare_output.h"
#include "cmd/compare_run.h"
#include "cmd/compare_stock.h"
#include "cmd/terminal.h"
#include "swapmargin/input.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Everything that a comparison holds on to until it is written out. */
struct comparing {
    struct compare_output output; /* first: what writes the rows gets this address */
    struct sm_tables tables;
    struct file_list drive_files, module_files;
    struct sm_drive *drives;
    size_t n_drives;
    struct matrix_cell *cells;
    char **parts;
    struct best_row *best;
    struct stock_row *stock;
    double *hz; /* test frequencies */
    struct merged merged;
};

static void comparing_release(void *context)
{
    struct comparing *all = context;
    for (size_t i = 0; all->drives && i < all->n_drives; i++) {
        sm_drive_release(&all->drives[i]);
    }
    for (size_t i = 0; all->parts && i < all->module_files.n; i++) {
        free(all->parts[i]);
    }
    for (size_t i = 0; all->best && i < all->n_drives; i++) {
        candidate_release(&all->best[i].candidate);
    }
    free(all->drives);
    free(all->cells);
    free(all->parts);
    free(all->best);
    free(all->stock);
    free(all->hz);
    merged_release(&all->merged);
    file_list_release(&all->drive_files);
    file_list_release(&all->module_files);
    sm_tables_release(&all->tables);
    compare_output_release(&all->output);
    free(all);
}

static struct comparing *comparing_make(void)
{
    struct comparing *all = calloc(1, sizeof *all);
    if (all) {
        compare_output_init(&all->output);
        sm_tables_init(&all->tables);
        file_list_init(&all->drive_files);
        file_list_init(&all->module_files);
        merged_init(&all->merged);
    }
    return all;
}

/* ---------------------------------------------------------------- reading */

static enum sm_status drives_load(struct comparing *all, const struct options *options,
                                  struct sm_faults *faults)
{
    enum sm_status status = sm_tables_load(options->value[OPTION_TABLES], &all->tables, faults);
    if (status != SM_OK) {
        return status;
    }
    all->drives = calloc(all->drive_files.n, sizeof *all->drives);
    if (!all->drives) {
        return memory_fault(faults);
    }
    for (; all->n_drives < all->drive_files.n; all->n_drives++) {
        struct sm_drive *drive = &all->drives[all->n_drives];
        sm_drive_init(drive);
        const enum sm_status loaded =
            sm_drive_load(all->drive_files.path[all->n_drives], options->value[OPTION_JOINT],
                          &all->tables, drive, faults);
        status = status == SM_OK ? loaded : status;
    }
    for (size_t d = 0; status == SM_OK && d < all->n_drives; d++) {
        const struct sm_list *tested = &all->drives[d].test.frequencies;
        for (size_t i = 0; i < tested->n; i++) {
            if (!frequency_keep(&all->hz, &all->output.about.n_hz, tested->v[i])) {
                return memory_fault(faults);
            }
        }
    }
    return status;
}

/* The modules whose turn in the sorted list is this shard's. */
static void shard_keep(struct file_list *list, const struct compare_options *asked)
{
    size_t kept = 0;
    for (size_t i = 0; i < list->n; i++) {
        if (i % asked->shards == asked->shard) {
            list->path[kept++] = list->path[i];
        } else {
            free(list->path[i]);
        }
    }
    list->n = kept;
}

static enum sm_status files_find(struct comparing *all, const struct options *options,
                                 const struct compare_options *asked, struct sm_faults *faults)
{
    const char *folder = options->value[OPTION_DRIVES];
    const size_t first = folder ? 0 : 1;
    const char *const *named = (const char *const *)options->operands;
    if (!folder && !file_list_keep(&all->drive_files, named[0])) {
        return memory_fault(faults);
    }
    const enum sm_status drives =
        folder ? file_list_add(&all->drive_files, &folder, 1, faults) : SM_OK;
    const enum sm_status modules =
        file_list_add(&all->module_files, named + first, options->n_operands - first, faults);
    shard_keep(&all->module_files, asked);
    return drives != SM_OK ? drives : modules;
}

/* ---------------------------------------------------------------- running */

/* A bar on a terminal, for work that takes long enough to wonder. */
static void progress_show(size_t done, size_t all)
{
    enum { CELLS = 40, WORTH_SHOWING = 1000 };
    if (all < WORTH_SHOWING) {
        return;
    }
    char bar[CELLS + 1];
    const size_t filled = done * CELLS / all;
    memset(bar, '#', filled);
    memset(bar + filled, '.', CELLS - filled);
    bar[CELLS] = '\0';
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "\r%s %zu of %zu%s", bar, done, all, done == all ? "\n" : "");
    output_error(&text);
    sm_text_release(&text);
}

static enum sm_status candidates_run(struct comparing *all, bool several, struct sm_faults *faults)
{
    struct compare_job job = { .drives = all->drives,
                               .n_drives = all->n_drives,
                               .modules = &all->module_files,
                               .progress = isatty(STDERR_FILENO) ? progress_show : NULL };
    if (several && all->module_files.n > 0) {
        all->cells = calloc(all->module_files.n * all->n_drives, sizeof *all->cells);
        all->parts = calloc(all->module_files.n, sizeof *all->parts);
        if (!all->cells || !all->parts) {
            return memory_fault(faults);
        }
        job.cells = all->cells;
        job.parts = all->parts;
    }
    return compare_run(&job, &all->output.rows, faults);
}

/* --------------------------------------------------------- several drives */

static const char *drive_name(const struct sm_drive *drive)
{
    return drive->name && drive->name[0] != '\0' ? drive->name : drive->file;
}

/* The first row of each drive, where it can be used at all.  Given: ranked rows, none left out. */
static enum sm_status best_find(struct comparing *all, struct sm_faults *faults)
{
    struct compare_output *output = &all->output;
    all->best = calloc(all->n_drives, sizeof *all->best);
    if (!all->best) {
        return memory_fault(faults);
    }
    for (size_t d = 0; d < all->n_drives; d++) {
        candidate_init(&all->best[d].candidate);
        all->best[d].drive = drive_name(&all->drives[d]);
    }
    for (size_t i = 0; i < output->rows.n; i++) {
        const struct row_key *key = &output->rows.key[i];
        if (key->rank != 1 || !sm_standing_usable(key->standing, false)) {
            continue;
        }
        const enum sm_status status =
            compare_output_candidate(output, i, &all->best[key->drive].candidate, faults);
        if (status != SM_OK) {
            return status;
        }
    }
    output->about.best = all->best;
    output->about.n_best = all->n_drives;
    return SM_OK;
}

static enum sm_status stock_find(struct comparing *all, bool strict, struct sm_faults *faults)
{
    struct comparison *about = &all->output.about;
    all->stock = calloc(all->module_files.n + 1, sizeof *all->stock);
    if (!all->stock) {
        return memory_fault(faults);
    }
    about->stock = all->stock;
    about->cells = all->cells;
    about->modules = all->parts;
    about->module_files = all->module_files.path;
    about->n_modules = all->module_files.n;
    return compare_stock(&(struct stock_matrix){ .cells = all->cells,
                                                 .parts = all->parts,
                                                 .files = &all->module_files,
                                                 .n_drives = all->n_drives,
                                                 .strict = strict },
                         all->stock, &about->n_stock, faults);
}

/* ---------------------------------------------------------------- command */

static enum sm_status rows_make(struct comparing *all, const struct options *options,
                                const struct compare_options *asked, struct sm_faults *faults)
{
    struct comparison *about = &all->output.about;
    if (options->given[OPTION_MERGE]) {
        const enum sm_status status =
            compare_merge((const char *const *)options->operands, options->n_operands, &all->merged,
                          &all->output.rows, faults);
        about->hz = all->merged.hz;
        about->n_hz = all->merged.n_hz;
        return status;
    }
    about->several = options->given[OPTION_DRIVES];
    enum sm_status status = files_find(all, options, asked, faults);
    if (status == SM_OK) {
        status = drives_load(all, options, faults);
    }
    if (status == SM_OK) {
        about->drive = about->several ? NULL : &all->drives[0];
        about->drives = all->drives;
        about->n_drives = all->n_drives;
        about->hz = all->hz;
        status = candidates_run(all, about->several, faults);
    }
    return status;
}

static enum sm_status answer_make(struct comparing *all, const struct options *options,
                                  const struct sm_style *style, struct answer *answer,
                                  struct sm_faults *faults)
{
    struct compare_options asked;
    enum sm_status status = compare_options_read(options, &asked, faults);
    if (status == SM_OK) {
        status = rows_make(all, options, &asked, faults);
    }
    if (status != SM_OK) {
        return status;
    }
    const bool strict = options->given[OPTION_STRICT];
    compare_rows_rank(&all->output.rows, asked.order);
    status =
        compare_rows_unreadable(&all->output.rows, &all->output.about.unreadable_files, faults);
    if (status == SM_OK && all->output.about.several) {
        status = best_find(all, faults);
        if (status == SM_OK) {
            status = stock_find(all, strict, faults);
        }
    }
    if (status != SM_OK) {
        return status;
    }
    const bool any = compare_output_choose(&all->output, asked.only, asked.top, strict);
    answer->code = any ? EXIT_CODE_YES : EXIT_CODE_NO;
    all->output.format = options->format;
    if (options->format == SM_FORMAT_TEXT || options->format == SM_FORMAT_HTML) {
        const bool here = !options_output(options);
        const struct sm_style wide = {
            .utf8 = style->utf8,
            .width = here ? terminal_columns(STDOUT_FILENO, style->width) : style->width,
        };
        return compare_output_sheet(&all->output, &wide, &answer->text, faults);
    }
    answer->rest.next = compare_output_next;
    return SM_OK;
}

enum sm_status command_compare(const struct options *options, const struct sm_style *style,
                               struct answer *answer, struct sm_faults *faults)
{
    struct comparing *all = comparing_make();
    if (!all) {
        return memory_fault(faults);
    }
    answer->reads_operands = true;
    answer->found[0] = &all->drive_files;
    answer->found[1] = &all->module_files;
    answer->rest.context = &all->output;
    answer->release = comparing_release;
    return answer_make(all, options, style, answer, faults);
}
