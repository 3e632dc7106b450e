/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What usually causes what a log shows: rules of the trade, in one place.
 *
 * Source: common practice, docs/method.md, section 18. */
#ifndef SM_ASSESS_LOG_CAUSES_H
#define SM_ASSESS_LOG_CAUSES_H

#include "swapmargin/case.h"
#include "swapmargin/log.h"

/* Fills the causes of every bad finding, likeliest first, and those of a ripple that passes but is
 * large.  Given: everything else in it. */
void log_causes_find(const struct sm_drive *drive, struct sm_log_judgement *judgement);

#endif
