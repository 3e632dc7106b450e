/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The targets of fuzzing.  Each takes any bytes, does with them what the program does with what a
 * stranger pastes into it, and holds the outcome against what is promised; a broken promise aborts.
 * `make fuzz` lets a fuzzer write the bytes; the tests replay those of tests/fuzz/corpus. */
#ifndef TESTS_FUZZ_FUZZ_H
#define TESTS_FUZZ_FUZZ_H

#include "swapmargin/case.h"
#include "swapmargin/error.h"
#include "swapmargin/input.h"
#include "swapmargin/result.h"
#include "swapmargin/text.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Each returns 0, as the fuzzer asks. */
int fuzz_quantity(const uint8_t *data, size_t size); /* first byte: the dimension; then a value */
int fuzz_drive(const uint8_t *data, size_t size);    /* a drive file */
int fuzz_module(const uint8_t *data, size_t size);   /* a module file */
int fuzz_joint(const uint8_t *data, size_t size);    /* a file for --joint */
int fuzz_tables(const uint8_t *data, size_t size);   /* a compounds.ini */
int fuzz_log(const uint8_t *data, size_t size);      /* the log of a load run */
int fuzz_options(const uint8_t *data, size_t size);  /* words of a command line, one a line */
int fuzz_loadrun(const uint8_t *data, size_t size);  /* choices that make a case and its log */
int fuzz_engine(const uint8_t *data, size_t size);   /* choices that make a valid case */

/* ---- what is promised of everything */

#define FUZZ_CHECK(condition)                                                                      \
    do {                                                                                           \
        if (!(condition))                                                                          \
            fuzz_broken(__FILE__, __LINE__, #condition);                                           \
    } while (0)

_Noreturn void fuzz_broken(const char *file, int line, const char *promise);

/* Each fault is one line that a terminal shows; there is one whenever the status is not SM_OK. */
void fuzz_check_faults(enum sm_status status, const struct sm_faults *faults);

/* Printable UTF-8 (ascii: printable ASCII), a line's end at the end of each line, none of them
 * wider than `columns` of a terminal (0: any). */
void fuzz_check_text(const struct sm_text *text, bool ascii, size_t columns);

/* Printable UTF-8 too; what else a page may hold are pairs that isolate a direction of writing. */
void fuzz_check_page(const struct sm_text *text);

/* It is JSON, without a key twice. */
void fuzz_check_json(const struct sm_text *text);

/* Whether a run was refused, by one fault that says where to look: as it may be for a data sheet
 * whose losses fall with temperature, whose lines lead below zero at the coldest ambient that was
 * asked for (K), or whose rows have nothing to do with each other (wild), and for no other. */
bool fuzz_refused(const struct sm_case *c, bool wild, double coldest, enum sm_status status,
                  const struct sm_faults *faults);

/* Every number of a run is finite, and the heat, the margins and the verdict agree. */
void fuzz_check_result(const struct sm_case *c, const struct sm_result *result);

/* ---- helpers */

/* The name of a file in memory with these bytes; one a slot, 0 to 3, for the next call's time. */
const char *fuzz_file(int slot, const void *data, size_t size);

/* The compiled-in tables, read once. */
const struct sm_tables *fuzz_reference(void);

/* ---- choices of a structured target */

struct choices {
    const uint8_t *next, *end;
};

/* The next byte, and the next fraction 0 ... 1 inclusive; 0 when all are used up. */
unsigned choose_byte(struct choices *choices);
double choose_fraction(struct choices *choices);

/* Writes a drive or a module file that is valid as a rule, from an example that the choices change:
 * the more of them, the farther from it.  wild: no part has its curves over temperature. */
void make_drive(struct choices *choices, struct sm_text *out);
void make_module(struct choices *choices, bool wild, struct sm_text *out);

struct made {
    struct sm_drive drive;
    struct sm_module module, original;
    struct sm_case c;
};

/* Returned: whether the choices made a case; made_release() goes with it either way. */
bool made_open(struct made *made, struct choices *choices, bool with_original, bool wild);
void made_release(struct made *made);

#endif
