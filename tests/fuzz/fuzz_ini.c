/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Any bytes as a drive file, a module file, a joint file, or a table of compounds. */
#include "fuzz/fuzz.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <stdlib.h>
#include <unistd.h>

/* What was accepted can be told again: one line a key, in text that a terminal shows. */
static void check_echo(const struct sm_echo *echo)
{
    FUZZ_CHECK(echo->section[0] && echo->key[0] && echo->meaning[0]);
    if (echo->value.length == 0)
        return;
    struct sm_text line;
    sm_text_init(&line);
    sm_text_add(&line, "%s\n", echo->value.data);
    fuzz_check_text(&line, false, 0);
    FUZZ_CHECK(!strstr(line.data, "nan") || echo->origin.kind == SM_ORIGIN_GIVEN);
    sm_text_release(&line);
}

static void check_drive(const struct sm_drive *drive)
{
    struct sm_echo echo;
    sm_echo_init(&echo);
    for (size_t i = 0; sm_drive_echo(drive, i, &echo); i++)
        check_echo(&echo);
    sm_echo_release(&echo);
    for (size_t i = 0; i < drive->load.power_factor.n; i++)
        FUZZ_CHECK(isfinite(drive->load.power_factor.row[i].at));
}

static int drive_any(const char *file, const char *joint_file)
{
    struct sm_drive drive;
    struct sm_faults faults;
    sm_faults_init(&faults);
    sm_drive_init(&drive);
    const enum sm_status status =
        sm_drive_load(file, joint_file, fuzz_reference(), &drive, &faults);
    fuzz_check_faults(status, &faults);
    if (status == SM_OK)
        check_drive(&drive);
    sm_drive_release(&drive);
    sm_faults_release(&faults);
    return 0;
}

int fuzz_drive(const uint8_t *data, size_t size)
{
    return drive_any(fuzz_file(0, data, size), NULL);
}

int fuzz_joint(const uint8_t *data, size_t size)
{
    return drive_any(SM_EXAMPLES "/drive.ini", fuzz_file(1, data, size));
}

int fuzz_module(const uint8_t *data, size_t size)
{
    struct sm_module module;
    struct sm_faults faults;
    sm_faults_init(&faults);
    sm_module_init(&module);
    const enum sm_status status = sm_module_load(fuzz_file(0, data, size), &module, &faults);
    fuzz_check_faults(status, &faults);
    if (status == SM_OK) {
        struct sm_echo echo;
        sm_echo_init(&echo);
        for (size_t i = 0; sm_module_echo(&module, i, &echo); i++)
            check_echo(&echo);
        sm_echo_release(&echo);
    }
    sm_module_release(&module);
    sm_faults_release(&faults);
    return 0;
}

/* A folder with one file of the reference tables that is ours and one that is a file in memory. */
static char tables_folder[] = "/tmp/swapmargin-fuzz-XXXXXX";

static void tables_remove(void)
{
    char path[64];
    (void)snprintf(path, sizeof path, "%s/compounds.ini", tables_folder);
    (void)unlink(path);
    (void)snprintf(path, sizeof path, "%s/surfaces.ini", tables_folder);
    (void)unlink(path);
    (void)rmdir(tables_folder);
}

static void tables_prepare(void)
{
    static bool done;
    char path[64];
    if (done)
        return;
    done = true;
    FUZZ_CHECK(mkdtemp(tables_folder) && atexit(tables_remove) == 0);
    (void)snprintf(path, sizeof path, "%s/compounds.ini", tables_folder);
    FUZZ_CHECK(symlink(fuzz_file(0, "", 0), path) == 0);
    (void)snprintf(path, sizeof path, "%s/surfaces.ini", tables_folder);
    FUZZ_CHECK(symlink(SM_TABLES_DIR "/surfaces.ini", path) == 0);
}

int fuzz_tables(const uint8_t *data, size_t size)
{
    struct sm_tables tables;
    struct sm_faults faults;
    tables_prepare();
    (void)fuzz_file(0, data, size);
    sm_faults_init(&faults);
    sm_tables_init(&tables);
    const enum sm_status status = sm_tables_load(tables_folder, &tables, &faults);
    fuzz_check_faults(status, &faults);
    for (size_t i = 0; i < tables.n_compounds; i++)
        FUZZ_CHECK(tables.compounds[i].conductivity > 0.0 && tables.compounds[i].name[0] != '\0');
    sm_tables_release(&tables);
    sm_faults_release(&faults);
    return 0;
}
