/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A load run as pictures. */
#ifndef SM_REPORT_LOADRUN_PICTURES_H
#define SM_REPORT_LOADRUN_PICTURES_H

#include "report/report_loadrun.h"

/* How sink, case and hottest junction of one run heat up, with the bands that readings should lie
 * in and the readings to stop at.  Nothing where no curve is told. */
void picture_heat_up(struct sheet *sheet, const struct loadrun_page *page, size_t index);

#endif
