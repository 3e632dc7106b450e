/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/known.h"

bool result_has_hold(const struct sm_result *result)
{
    return result->hold.runaway || result->hold.t_sink > 0.0;
}

double point_joint_drop(const struct sm_point *point)
{
    const double igbt = point->chip[SM_IGBT].t_case - point->t_sink;
    const double diode = point->chip[SM_DIODE].t_case - point->t_sink;
    return igbt > diode ? igbt : diode;
}

struct known_path point_path(const struct sm_point *point, enum sm_chip_kind kind, double ambient)
{
    const struct sm_chip_result *chip = &point->chip[kind];
    return (struct known_path){
        .sink = point->t_sink - ambient,
        .joint = chip->t_case - point->t_sink,
        .mean = chip->tvj_mean - chip->t_case,
        .peak = chip->tvj_max - chip->tvj_mean,
    };
}

size_t result_checks(const struct sm_result *result, enum sm_check_result outcome)
{
    size_t n = 0;
    for (size_t i = 0; i < SM_CHECK_COUNT; i++) {
        n += result->checks[i].result == outcome ? 1u : 0u;
    }
    return n;
}
