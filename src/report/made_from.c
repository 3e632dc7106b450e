/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/made_from.h"

#include "swapmargin/input.h"
#include "swapmargin/version.h"

#include <string.h>

#define PROGRAM "swapmargin"

enum { FILES_MOST = 7 };

static bool was_read(const struct made_file *file)
{
    return file->file && file->sha256[0] != '\0';
}

/* Leaves those that were read: what is compiled in comes with the version. */
static size_t read_keep(struct made_file *files, size_t n)
{
    size_t kept = 0;
    for (size_t i = 0; i < n; i++) {
        if (was_read(&files[i])) {
            files[kept++] = files[i];
        }
    }
    return kept;
}

static struct made_file drive_file(const struct sm_drive *drive)
{
    return (struct made_file){ "drive", drive->file, drive->sha256 };
}

static struct made_file joint_file(const struct sm_drive *drive)
{
    return (struct made_file){ "joint", drive->joint_file, drive->joint_sha256 };
}

static struct made_file compounds_file(const struct sm_drive *drive)
{
    return (struct made_file){ "compounds", SM_COMPOUNDS_FILE, drive->compounds_sha256 };
}

static struct made_file surfaces_file(const struct sm_drive *drive)
{
    return (struct made_file){ "surfaces", SM_SURFACES_FILE, drive->surfaces_sha256 };
}

static size_t files_of(const struct sm_case *c, const struct made_file *also,
                       struct made_file out[FILES_MOST])
{
    const struct made_file all[FILES_MOST] = {
        drive_file(c->drive),
        joint_file(c->drive),
        { "module", c->module->file, c->module->sha256 },
        { "original", c->original ? c->original->file : NULL,
          c->original ? c->original->sha256 : "" },
        compounds_file(c->drive),
        surfaces_file(c->drive),
        also ? *also : (struct made_file){ .file = NULL },
    };
    memcpy(out, all, sizeof all);
    return read_keep(out, FILES_MOST);
}

/* What was read beside every drive of a comparison, from the same places. */
static size_t beside_drives(const struct sm_drive *drives, size_t n_drives,
                            struct made_file out[FILES_MOST])
{
    if (n_drives == 0) {
        return 0;
    }
    out[0] = joint_file(drives);
    out[1] = compounds_file(drives);
    out[2] = surfaces_file(drives);
    return read_keep(out, 3);
}

/* ------------------------------------------------------------------ sheet */

static struct sheet_block *heading_add(struct sheet *sheet)
{
    (void)sheet_add(sheet, SHEET_HEADING, "Made from, with SHA-256 fingerprints", "made-from");
    return sheet_add(sheet, SHEET_FACTS, "", "");
}

static void file_add(struct sheet *sheet, struct sheet_block *block, const struct made_file *file)
{
    sheet_item(sheet, block, file->of, sheet_format(sheet, "%s\n%s", file->file, file->sha256));
}

static void program_add(struct sheet *sheet, struct sheet_block *block)
{
    sheet_item(sheet, block, "program", sheet_format(sheet, PROGRAM " %s", sm_version()));
}

void made_from_sheet(struct sheet *sheet, const struct sm_case *c)
{
    made_from_sheet_also(sheet, c, NULL);
}

void made_from_sheet_also(struct sheet *sheet, const struct sm_case *c,
                          const struct made_file *also)
{
    struct made_file files[FILES_MOST];
    const size_t n = files_of(c, also, files);
    struct sheet_block *block = heading_add(sheet);
    for (size_t i = 0; i < n; i++) {
        file_add(sheet, block, &files[i]);
    }
    program_add(sheet, block);
}

void made_from_compared(struct sheet *sheet, const struct sm_drive *drives, size_t n_drives,
                        const struct made_file *modules, size_t n_modules)
{
    struct made_file files[FILES_MOST];
    const size_t n = beside_drives(drives, n_drives, files);
    struct sheet_block *block = heading_add(sheet);
    for (size_t d = 0; d < n_drives; d++) {
        const struct made_file drive = drive_file(&drives[d]);
        file_add(sheet, block, &drive);
    }
    for (size_t i = 0; i < n; i++) {
        file_add(sheet, block, &files[i]);
    }
    for (size_t i = 0; i < n_modules; i++) {
        file_add(sheet, block, &modules[i]);
    }
    program_add(sheet, block);
}

/* ------------------------------------------------------------------- JSON */

static void file_json(struct json_writer *writer, json_t *array, const struct made_file *file)
{
    json_t *row = json_object();
    json_put(writer, row, "of", json_words(writer, file->of));
    json_put(writer, row, "file", json_words(writer, file->file));
    json_put(writer, row, "sha256", json_words(writer, file->sha256));
    json_append(writer, array, row);
}

static void program_json(struct json_writer *writer, json_t *object, json_t *files)
{
    struct sm_text program;
    sm_text_init(&program);
    sm_text_add(&program, PROGRAM " %s", sm_version());
    json_put(writer, object, "program", json_taken(writer, &program));
    json_put(writer, object, "inputs_sha256", files);
}

void made_from_json(struct json_writer *writer, json_t *object, const struct sm_case *c)
{
    made_from_json_also(writer, object, c, NULL);
}

void made_from_json_also(struct json_writer *writer, json_t *object, const struct sm_case *c,
                         const struct made_file *also)
{
    struct made_file files[FILES_MOST];
    const size_t n = files_of(c, also, files);
    json_t *array = json_array();
    for (size_t i = 0; i < n; i++) {
        file_json(writer, array, &files[i]);
    }
    program_json(writer, object, array);
}

void made_from_compared_json(struct json_writer *writer, json_t *object,
                             const struct sm_drive *drives, size_t n_drives)
{
    struct made_file files[FILES_MOST];
    const size_t n = beside_drives(drives, n_drives, files);
    json_t *array = json_array();
    for (size_t d = 0; d < n_drives; d++) {
        const struct made_file drive = drive_file(&drives[d]);
        file_json(writer, array, &drive);
    }
    for (size_t i = 0; i < n; i++) {
        file_json(writer, array, &files[i]);
    }
    program_json(writer, object, array);
}
