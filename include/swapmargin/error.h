/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Faults: what is wrong with the input, or why a computation cannot be done.
 *
 * One fault is one line for the user: file, line, section, key, what was found and what is
 * expected.  Reading collects every fault of every file; the engine stops at its first.  The
 * library never prints and never exits: the caller shows the list. */
#ifndef SWAPMARGIN_ERROR_H
#define SWAPMARGIN_ERROR_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

#if defined(__GNUC__)
#define SM_PRINTF(format_index, first_arg) __attribute__((format(printf, format_index, first_arg)))
#else
#define SM_PRINTF(format_index, first_arg)
#endif

/* Every status with its text stands in tables/swapmargin/status.def. */
enum sm_status {
#define STATUS(id, text) id,
#include "swapmargin/status.def"
#undef STATUS
    SM_STATUS_COUNT
};

/* Where a fault is.  Every pointer is borrowed for the call; NULL or "" means "not known". */
struct sm_place {
    const char *file;    /* as the user named it */
    int line;            /* 1-based; 0 where there is none */
    const char *section; /* INI section, without brackets */
    const char *key;     /* INI key or CSV column */
};

struct sm_fault {
    enum sm_status status;
    char *file; /* owned; "" when not known */
    int line;
    char section[64];
    char key[64];
    char message[640]; /* what was found; what is expected */
};

struct sm_faults {
    struct sm_fault *list; /* owned, in the order found */
    size_t count;
    size_t capacity;
    bool out_of_memory; /* a fault could not be kept: the list is incomplete */
};

/* The text of a status, never NULL. */
const char *sm_status_text(enum sm_status status);

/* An empty list.  Cannot fail, allocates nothing. */
void sm_faults_init(struct sm_faults *faults);

/* Adds one fault and returns `status`, so that a caller can `return sm_fault_add(...)`.
 * Given: faults (may be NULL: then only the status is returned), status (not SM_OK), place
 * (may be NULL), a printf format and its arguments. */
enum sm_status sm_fault_add(struct sm_faults *faults, enum sm_status status,
                            const struct sm_place *place, const char *format, ...) SM_PRINTF(4, 5);

/* Frees the contents; the list is empty and usable again.  Safe twice and on an empty list. */
void sm_faults_release(struct sm_faults *faults);

#ifdef __cplusplus
}
#endif

#endif
