/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * JSON that the program answered with.  Each ends the test where it finds something else. */
#ifndef SM_TESTS_ANSWER_H
#define SM_TESTS_ANSWER_H

#include "support/run.h"

#include <jansson.h>

/* The document of the last run, owned by the caller; no key may stand twice. */
json_t *answer_json(const struct run *run);

/* The same of a command that is run first. */
json_t *answer_to(struct run *run, const char *command);

/* A number of an object. */
double answer_number(json_t *object, const char *key);

/* A text of an object; "" where there is none. */
const char *answer_words(json_t *object, const char *key);

/* The row of a list whose "name" is the one given. */
json_t *answer_row(json_t *list, const char *name);

#endif
