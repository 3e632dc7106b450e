/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_thermal.h"

#include "assess/log_outliers.h"
#include "thermal/thermistor.h"

/* The thermistor's median over another column, in the loaded or in the cold rows; 0 K is the other
 * of -1. */
static struct sm_optional median_over(const struct log_rows *rows, int other, bool cold,
                                      double *values)
{
    size_t n = 0;
    for (size_t i = 0; i < rows->log->n_rows; i++) {
        double t = 0.0;
        if (!(cold ? rows->load[i].cold : rows->load[i].loaded) || !log_rows_ntc(rows, i, &t))
            continue;
        if (other >= 0 && !rows->log->rows[i].cell[other].given)
            continue;
        values[n++] = t - (other >= 0 ? rows->log->rows[i].cell[other].value : 0.0);
    }
    return n > 0 ? sm_given(log_median(values, n)) : (struct sm_optional){ .given = false };
}

/* Under load, less what the two differ by without. */
static struct sm_optional over(const struct log_rows *rows, enum sm_log_column other,
                               double *values)
{
    struct sm_optional hot = median_over(rows, (int)other, false, values);
    hot.value -= median_over(rows, (int)other, true, values).value;
    return hot.given ? hot : (struct sm_optional){ .given = false };
}

enum sm_status log_ntc_tell(const struct log_rows *rows, struct sm_log_ntc *out)
{
    double *values = arena_doubles(rows->arena, rows->log->n_rows);
    *out = (struct sm_log_ntc){ .why = SM_LOG_WHY_NO_NTC };
    if (!values)
        return SM_ERR_MEMORY;
    if (rows->log->has[SM_LOG_NTC] && !thermistor_is_known(&rows->c->module->thermistor)) {
        out->why = SM_LOG_WHY_NO_THERMISTOR;
        return SM_OK;
    }
    if (!rows->log->has[SM_LOG_NTC])
        return SM_OK;
    const struct sm_optional t = median_over(rows, -1, false, values);
    if (!t.given)
        return SM_OK;
    *out = (struct sm_log_ntc){ .why = SM_LOG_TOLD,
                                .t = t.value,
                                .over_case = over(rows, SM_LOG_CASE, values),
                                .over_sink = over(rows, SM_LOG_SINK, values) };
    return SM_OK;
}
