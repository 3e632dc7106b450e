/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The drive file: its key table, and what holds across its keys. */
#define _POSIX_C_SOURCE 200809L /* strdup() */
#include "base/text.h"
#include "input/key_table.h"
#include "input/loading.h"
#include "swapmargin/input.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SAME_HZ 1e-6 /* Hz  frequencies nearer than this are one */
#define COMPOUNDS_FILE "tables/compounds.ini"

/* Hz  the load run's usual two: half and full speed of a 60 Hz motor (common practice) */
static const double default_frequencies[] = { 30.0, 60.0 };

void sm_drive_init(struct sm_drive *drive)
{
    *drive = (struct sm_drive){ 0 };
}

void sm_drive_release(struct sm_drive *drive)
{
    key_table_release(&drive_keys, drive);
    free(drive->file);
    free(drive->joint_file);
    sm_drive_init(drive);
}

/* ------------------------------------------------------------------ [load] */

/* The plain key stands at base_frequency, unless a row stands there. */
static void power_factor_place(struct sm_rows *rows, double base_frequency)
{
    size_t plain = rows->n;
    bool taken = false;
    for (size_t i = 0; i < rows->n; i++) {
        if (isnan(rows->row[i].at))
            plain = i;
        else if (fabs(rows->row[i].at - base_frequency) <= SAME_HZ)
            taken = true;
    }
    if (plain == rows->n)
        return;
    if (!taken) {
        rows->row[plain].at = base_frequency;
        return;
    }
    free(rows->row[plain].values.v);
    rows->row[plain] = rows->row[--rows->n];
}

static void power_factor_check(const struct loading *l, struct sm_drive *drive)
{
    struct sm_rows *rows = &drive->load.power_factor;
    for (size_t i = 0; i < rows->n; i++) {
        const struct sm_row *row = &rows->row[i];
        if (row->values.n != 1)
            (void)loading_fault(l, row->line, SM_ERR_VALUE, "%zu values; expected one",
                                row->values.n);
        else if (fabs(row->values.v[0]) <= 0.0)
            (void)loading_fault(l, row->line, SM_ERR_RANGE,
                                "is 0, no power at all; expected -1 to 1, not 0");
    }
    /* without base_frequency there is a fault already, and the plain key has no place */
    power_factor_place(rows, drive->rating.base_frequency);
    const struct key_row *key = &drive_keys.rows[SM_DRIVE_POWER_FACTOR];
    key_rows_finish(key, l->source, drive, l->faults);
}

/* ----------------------------------------------------------------- [drive] */

static void overload_check(const struct loading *l, const struct sm_drive *drive)
{
    const struct sm_rating *rating = &drive->rating;
    if (rating->overload_current.given == rating->overload_time.given)
        return;
    const int given =
        rating->overload_current.given ? SM_DRIVE_OVERLOAD_CURRENT : SM_DRIVE_OVERLOAD_TIME;
    const int missing =
        rating->overload_current.given ? SM_DRIVE_OVERLOAD_TIME : SM_DRIVE_OVERLOAD_CURRENT;
    if (!loading_absent(l, missing))
        return; /* it stands there with a fault of its own */
    (void)loading_fault(l, l->origins[given].line, SM_ERR_KEY, "stands without %s; expected both",
                        drive_keys.rows[missing].key);
}

/* ------------------------------------------------------------------ [test] */

static void frequencies_check(const struct loading *l, struct sm_drive *drive)
{
    struct sm_list *list = &drive->test.frequencies;
    const int line = l->origins[SM_DRIVE_FREQUENCIES].line;
    for (size_t i = 0; i < list->n; i++) {
        for (size_t k = 0; k < i; k++) {
            if (fabs(list->v[i] - list->v[k]) > SAME_HZ)
                continue;
            (void)loading_fault(
                l, line, SM_ERR_VALUE,
                "value %zu is the same as value %zu; expected different frequencies", i + 1, k + 1);
            return;
        }
    }
    if (list->n > 0 || l->origins[SM_DRIVE_FREQUENCIES].kind != SM_ORIGIN_DEFAULT)
        return;
    list->v = malloc(sizeof default_frequencies);
    if (!list->v) {
        (void)loading_fault(l, 0, SM_ERR_MEMORY, "out of memory");
        return;
    }
    memcpy(list->v, default_frequencies, sizeof default_frequencies);
    list->n = sizeof default_frequencies / sizeof default_frequencies[0];
}

/* ----------------------------------------------------------------- [joint] */

static const struct sm_compound *compound_find(const struct sm_tables *tables, const char *name)
{
    for (size_t i = 0; tables && i < tables->n_compounds; i++) {
        if (strcmp(tables->compounds[i].name, name) == 0)
            return &tables->compounds[i];
    }
    return NULL;
}

static const struct sm_surface_row *surface_find(const struct sm_tables *tables, const char *name)
{
    for (size_t i = 0; tables && i < tables->n_surfaces; i++) {
        if (strcmp(tables->surfaces[i].name, name) == 0)
            return &tables->surfaces[i];
    }
    return NULL;
}

static void joint_derive(struct sm_drive *drive, int id, struct sm_optional *value, double si)
{
    if (value->given)
        return;
    *value = (struct sm_optional){ true, si };
    drive->origin[id] = (struct sm_origin){ SM_ORIGIN_DERIVED, COMPOUNDS_FILE, 0 };
}

static void compound_fault(const struct loading *l, const struct sm_tables *tables,
                           const char *name)
{
    struct sm_text names;
    sm_text_init(&names);
    for (size_t i = 0; tables && i < tables->n_compounds; i++)
        sm_text_add(&names, "%s%s", i ? ", " : "", tables->compounds[i].name);
    (void)loading_fault(l, l->origins[SM_DRIVE_COMPOUND].line, SM_ERR_VALUE,
                        "'%.60s' is not a known compound; expected one of: %s", name,
                        names.data ? names.data : "none, the table is empty");
    text_close(&names, &l->faults->out_of_memory);
}

static void surface_fault(const struct loading *l, const struct sm_tables *tables, const char *name)
{
    struct sm_text names;
    sm_text_init(&names);
    for (size_t i = 0; tables && i < tables->n_surfaces; i++)
        sm_text_add(&names, "%s%s", i ? ", " : "", tables->surfaces[i].name);
    (void)loading_fault(l, l->origins[SM_DRIVE_SURFACE].line, SM_ERR_VALUE,
                        "'%.60s' is not a known surface; expected one of: %s", name,
                        names.data ? names.data : "none, the table is empty");
    text_close(&names, &l->faults->out_of_memory);
}

static void joint_finish(const struct loading *l, const struct sm_tables *tables,
                         struct sm_drive *drive)
{
    struct sm_joint *joint = &drive->joint;
    const struct ini_section *section = ini_source_section(l->source, "joint");
    drive->joint_line = section ? section->line : 0;

    if (joint->compound && joint->compound[0]) {
        const struct sm_compound *compound = compound_find(tables, joint->compound);
        if (compound) {
            joint_derive(drive, SM_DRIVE_CONDUCTIVITY, &joint->conductivity,
                         compound->conductivity);
            joint_derive(drive, SM_DRIVE_THICKNESS, &joint->thickness, compound->thickness);
            joint->density = (struct sm_optional){ true, compound->density };
        } else {
            compound_fault(l, tables, joint->compound);
        }
    }
    if (joint->surface_name && joint->surface_name[0]) {
        const struct sm_surface_row *row = surface_find(tables, joint->surface_name);
        if (row) {
            joint->surface = row->surface;
            joint->surface.given = true;
        } else {
            surface_fault(l, tables, joint->surface_name);
        }
    }
}

/* ----------------------------------------------------------------- loading */

static void drive_read(const struct ini_source *source, const struct sm_tables *tables,
                       struct sm_drive *drive, struct sm_faults *faults)
{
    if (key_table_other_kind(&drive_keys, source, faults))
        return;
    const struct key_target target = { drive, drive->origin, drive->file };
    const struct loading l = { source, drive->origin, drive->file, faults };
    const size_t before = faults->count;
    key_table_read(&drive_keys, source, &target, faults);
    if (loading_lack(faults, before) != SM_OK)
        return;
    power_factor_check(&l, drive);
    overload_check(&l, drive);
    frequencies_check(&l, drive);
    joint_finish(&l, tables, drive);
}

static void drive_file_load(const char *file, const struct sm_tables *tables,
                            struct sm_drive *drive, struct sm_faults *faults)
{
    struct ini_source source;
    ini_source_init(&source);
    if (loading_open(file, &drive->file, &source, faults))
        drive_read(&source, tables, drive, faults);
    memcpy(drive->sha256, source.sha256, sizeof drive->sha256);
    if (tables) {
        memcpy(drive->compounds_sha256, tables->compounds_sha256, sizeof drive->compounds_sha256);
        memcpy(drive->surfaces_sha256, tables->surfaces_sha256, sizeof drive->surfaces_sha256);
    }
    ini_source_release(&source);
}

/* The file's one [joint] section takes the place of the drive's own. */
static void joint_read(const struct ini_source *source, const struct sm_tables *tables,
                       struct sm_drive *drive, struct sm_faults *faults)
{
    if (key_table_other_kind(&joint_keys, source, faults))
        return;
    key_table_release(&joint_keys, drive);
    drive->joint = (struct sm_joint){ 0 };
    for (size_t i = 0; i < joint_keys.n; i++)
        drive->origin[SM_DRIVE_COMPOUND + i] = (struct sm_origin){ 0 };

    const struct key_target target = { drive, &drive->origin[SM_DRIVE_COMPOUND],
                                       drive->joint_file };
    const struct loading l = { source, drive->origin, drive->joint_file, faults };
    const size_t before = faults->count;
    key_table_read(&joint_keys, source, &target, faults);
    if (loading_lack(faults, before) != SM_OK)
        return;
    joint_finish(&l, tables, drive);
    if (drive->joint_line == 0) {
        const struct sm_place place = { .file = source->file, .section = "joint" };
        (void)sm_fault_add(faults, SM_ERR_KEY, &place, "missing; expected one [joint] section");
    }
}

static void joint_file_load(const char *file, const struct sm_tables *tables,
                            struct sm_drive *drive, struct sm_faults *faults)
{
    struct ini_source source;
    ini_source_init(&source);
    if (loading_open(file, &drive->joint_file, &source, faults))
        joint_read(&source, tables, drive, faults);
    memcpy(drive->joint_sha256, source.sha256, sizeof drive->joint_sha256);
    ini_source_release(&source);
}

enum sm_status sm_drive_load(const char *file, const char *joint_file,
                             const struct sm_tables *tables, struct sm_drive *drive,
                             struct sm_faults *faults)
{
    struct sm_faults own;
    sm_faults_init(&own);
    struct sm_faults *list = faults ? faults : &own;
    const size_t before = list->count;

    sm_drive_init(drive);
    drive_file_load(file, tables, drive, list);
    if (joint_file)
        joint_file_load(joint_file, tables, drive, list);
    const enum sm_status status = loading_end(list, before);
    if (status != SM_OK)
        sm_drive_release(drive);
    sm_faults_release(&own);
    return status;
}
