/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Reading: INI files into the structs of case.h, every fault of every file collected.
 *
 * Syntax is read by iniparser behind a strict pass of ours.  Lines, duplicates, orphans, encodings,
 * units, bounds and cross checks are all checked here; nothing is computed. */
#ifndef SWAPMARGIN_INPUT_H
#define SWAPMARGIN_INPUT_H

#include "swapmargin/case.h"
#include "swapmargin/error.h"
#include "swapmargin/text.h"

#ifdef __cplusplus
extern "C" {
#endif

/* The reference tables (compounds, surfaces): compiled in, or read from a folder. */
struct sm_compound {
    char name[48];
    double conductivity; /* W/(m.K) */
    double thickness;    /* m, usual */
    double density;      /* kg/m3 */
    char source[200];    /* publication, "common practice" or "value from memory" */
};

struct sm_surface_row {
    char name[48];
    struct sm_surface surface;
    char source[200];
};

/* The files of a folder of tables. */
#define SM_COMPOUNDS_FILE "compounds.ini"
#define SM_SURFACES_FILE "surfaces.ini"

struct sm_tables {
    struct sm_compound *compounds;
    size_t n_compounds;
    struct sm_surface_row *surfaces;
    size_t n_surfaces;
    char compounds_sha256[SM_SHA256_SIZE], surfaces_sha256[SM_SHA256_SIZE]; /* "": compiled in */
};

void sm_tables_init(struct sm_tables *tables);
/* folder NULL: the compiled-in tables; else compounds.ini and surfaces.ini of that folder. */
enum sm_status sm_tables_load(const char *folder, struct sm_tables *tables,
                              struct sm_faults *faults);
void sm_tables_release(struct sm_tables *tables);

/* Each loader: on any fault the struct is left as after its init and the status of the first new
 * fault is returned; all faults of the file are in the list.  joint_file NULL: the drive's own
 * [joint]; else that file's one [joint] section replaces it.  tables NULL: none, so that no name
 * of a compound or surface is known. */
void sm_drive_init(struct sm_drive *drive);
enum sm_status sm_drive_load(const char *file, const char *joint_file,
                             const struct sm_tables *tables, struct sm_drive *drive,
                             struct sm_faults *faults);
void sm_drive_release(struct sm_drive *drive);

void sm_module_init(struct sm_module *module);
enum sm_status sm_module_load(const char *file, struct sm_module *module, struct sm_faults *faults);
void sm_module_release(struct sm_module *module);

/* Puts a case together and checks what only both files together can tell: modules per drive, what
 * the joint needs.  original may be NULL.  Borrows all three for the life of *out.  On a fault *out
 * is untouched. */
enum sm_status sm_case_assemble(const struct sm_drive *drive, const struct sm_module *module,
                                const struct sm_module *original, struct sm_case *out,
                                struct sm_faults *faults);

/* ---------------------------------------------------------------- templates */

enum sm_template_kind { SM_TEMPLATE_DRIVE, SM_TEMPLATE_MODULE, SM_TEMPLATE_JOINT };

/* Adds a commented blank file: every key with its meaning, unit, default and range.  The loader
 * accepts it once the open lines ("key =") are filled in.  Errors: SM_ERR_MEMORY. */
enum sm_status sm_template(enum sm_template_kind kind, struct sm_text *out);

/* Adds the reference of all keys, docs/keys.md.  Errors: SM_ERR_MEMORY. */
enum sm_status sm_keys_document(struct sm_text *out);

/* --------------------------------------------------------------------- echo */

/* One key of a loaded file as it was understood. */
struct sm_echo {
    const char *section;
    const char *key;
    const char *meaning;
    struct sm_text value;    /* "480 V"; a curve as "25 degC: 0.8 1.1 V; 125 degC: ..."; empty when
                                absent or an empty text */
    struct sm_origin origin; /* file borrowed from the drive, the module or a constant */
};

void sm_echo_init(struct sm_echo *echo);
void sm_echo_release(struct sm_echo *echo);

/* The i-th key of the file, i = 0, 1, ... in the order of the key table; false after the last.
 * Given: an initialised echo, which may be used again and again.
 * echo->value.out_of_memory tells of a value that could not be written. */
bool sm_drive_echo(const struct sm_drive *drive, size_t i, struct sm_echo *echo);
bool sm_module_echo(const struct sm_module *module, size_t i, struct sm_echo *echo);

#ifdef __cplusplus
}
#endif

#endif
