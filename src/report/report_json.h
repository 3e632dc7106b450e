/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The result of a check for programs: JSON, and what is made from it. */
#ifndef SWAPMARGIN_REPORT_REPORT_JSON_H
#define SWAPMARGIN_REPORT_REPORT_JSON_H

#include "report/json_value.h"
#include "swapmargin/report.h"

/* The whole document. */
json_t *json_check(struct json_writer *writer, const struct sm_case *c,
                   const struct sm_result *result);

/* Its parts: the drive, a part with its place in the drive, the joint, and its points. */
json_t *json_drive(struct json_writer *writer, const struct sm_case *c,
                   const struct sm_result *result);
json_t *json_joint(struct json_writer *writer, const struct sm_result *result);
json_t *json_module(struct json_writer *writer, const struct sm_case *c,
                    const struct sm_result *result);
json_t *json_points(struct json_writer *writer, const struct sm_result *result);

/* {"file", "line", "section", "key", "text"} of each value that looks like a slip. */
json_t *json_warnings(struct json_writer *writer, const struct sm_warnings *warnings);

/* The original beside the candidate; null without one (json_original.c). */
json_t *json_original(struct json_writer *writer, const struct sm_case *c,
                      const struct sm_result *result);

#endif
