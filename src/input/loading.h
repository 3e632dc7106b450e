/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What loading a drive, a module or a table has in common: the checks across keys, and how a load
 * ends. */
#ifndef SM_INPUT_LOADING_H
#define SM_INPUT_LOADING_H

#include "input/ini_source.h"
#include "swapmargin/case.h"

/* The checks across keys of one file. */
struct loading {
    const struct ini_source *source;
    const struct sm_origin *origins; /* one a key id */
    const char *file;                /* for the origins of what is derived */
    struct sm_faults *faults;
};

/* The key was given and read without a fault. */
bool loading_given(const struct loading *l, int id);

/* The key does not stand in the file at all, not even with a fault. */
bool loading_absent(const struct loading *l, int id);

/* A default that this file makes no use of is not told as an input.  What was typed stays. */
void loading_unused(struct sm_origin *origin);

/* Adds a fault at the key that stands at a line. */
enum sm_status loading_fault(const struct loading *l, int line, enum sm_status status,
                             const char *format, ...) SM_PRINTF(4, 5);

/* Fault unless the values rise strictly; `what` names them: "current". */
void loading_rises(const struct loading *l, int line, const struct sm_list *list, const char *what);

/* Keeps a copy of the file's name in *name (owned) and reads the file.  Returned: true when the
 * source can be read from; what went wrong is in the list. */
bool loading_open(const char *file, char **name, struct ini_source *source,
                  struct sm_faults *faults);

/* What the machine lacked, which is no fault of the files, among the faults from the n-th on:
 * SM_ERR_MEMORY or SM_ERR_SYSTEM; else SM_OK.  What else is found after it may follow from it. */
enum sm_status loading_lack(const struct sm_faults *faults, size_t n);

/* Faults of one load, from the n-th of the list on: puts them in the order of lines and returns
 * what the machine lacked, else the first one's status, SM_OK when there are none. */
enum sm_status loading_end(struct sm_faults *faults, size_t n);

#endif
