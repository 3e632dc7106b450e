/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The inputs as the reports tell them: each key's value, where it came from, file and line. */
#ifndef SWAPMARGIN_REPORT_INPUTS_H
#define SWAPMARGIN_REPORT_INPUTS_H

#include "report/json_value.h"
#include "report/sheet.h"

/* A list of {"of", "section", "key", "value", "origin", "file", "line"}, drive first; keys that are
 * absent are left out; file and line are null where there is none. */
json_t *inputs_json(struct json_writer *writer, const struct sm_case *c);

/* The heading and table of defaults and derived values that stand in for keys not given. */
void inputs_defaults(struct sheet *sheet, const struct sm_case *c);

#endif
