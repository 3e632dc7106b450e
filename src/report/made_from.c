/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/made_from.h"

#include "swapmargin/version.h"

#define PROGRAM "swapmargin"

enum { FILES_MOST = 7 };

/* Those that were read: what is compiled in comes with the version. */
static size_t files_of(const struct sm_case *c, const struct made_file *also,
                       struct made_file out[FILES_MOST])
{
    const struct made_file all[FILES_MOST] = {
        { "drive", c->drive->file, c->drive->sha256 },
        { "joint", c->drive->joint_file, c->drive->joint_sha256 },
        { "module", c->module->file, c->module->sha256 },
        { "original", c->original ? c->original->file : NULL,
          c->original ? c->original->sha256 : "" },
        { "compounds", "compounds.ini", c->drive->compounds_sha256 },
        { "surfaces", "surfaces.ini", c->drive->surfaces_sha256 },
        also ? *also : (struct made_file){ .file = NULL },
    };
    size_t n = 0;
    for (size_t i = 0; i < FILES_MOST; i++) {
        if (all[i].file && all[i].sha256[0] != '\0') {
            out[n++] = all[i];
        }
    }
    return n;
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
    (void)sheet_add(sheet, SHEET_HEADING, "Made from, with SHA-256 fingerprints", "made-from");
    struct sheet_block *block = sheet_add(sheet, SHEET_FACTS, "", "");
    for (size_t i = 0; i < n; i++) {
        sheet_item(sheet, block, files[i].of,
                   sheet_format(sheet, "%s\n%s", files[i].file, files[i].sha256));
    }
    sheet_item(sheet, block, "program", sheet_format(sheet, PROGRAM " %s", sm_version()));
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
        json_t *row = json_object();
        json_put(writer, row, "of", json_words(writer, files[i].of));
        json_put(writer, row, "file", json_words(writer, files[i].file));
        json_put(writer, row, "sha256", json_words(writer, files[i].sha256));
        json_append(writer, array, row);
    }
    struct sm_text program;
    sm_text_init(&program);
    sm_text_add(&program, PROGRAM " %s", sm_version());
    json_put(writer, object, "program", json_taken(writer, &program));
    json_put(writer, object, "inputs_sha256", array);
}
