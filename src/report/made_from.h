/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a result was made from: the fingerprints of the files as they were read and the version of
 * the program, so that the same sheet can be made again. */
#ifndef SWAPMARGIN_REPORT_MADE_FROM_H
#define SWAPMARGIN_REPORT_MADE_FROM_H

#include "report/json_value.h"
#include "report/sheet.h"

/* A file that was read. */
struct made_file {
    const char *of, *file, *sha256;
};

/* The heading and its facts: the files of the case, and one more of `also` that is not NULL. */
void made_from_sheet(struct sheet *sheet, const struct sm_case *c);
void made_from_sheet_also(struct sheet *sheet, const struct sm_case *c,
                          const struct made_file *also);

/* Adds "program" and "inputs_sha256": a list of {"of", "file", "sha256"}. */
void made_from_json(struct json_writer *writer, json_t *object, const struct sm_case *c);
void made_from_json_also(struct json_writer *writer, json_t *object, const struct sm_case *c,
                         const struct made_file *also);

/* The same for a comparison: its drives with what was read beside them, and its modules, which
 * stand in their rows in JSON. */
void made_from_compared(struct sheet *sheet, const struct sm_drive *drives, size_t n_drives,
                        const struct made_file *modules, size_t n_modules);
void made_from_compared_json(struct json_writer *writer, json_t *object,
                             const struct sm_drive *drives, size_t n_drives);

#endif
