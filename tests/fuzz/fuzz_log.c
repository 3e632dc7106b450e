/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Any bytes as the log of a load run. */
#include "fuzz/fuzz.h"

#include "swapmargin/log.h"

#include <math.h>

int fuzz_log(const uint8_t *data, size_t size)
{
    struct sm_log log;
    struct sm_faults faults;
    sm_faults_init(&faults);
    sm_log_init(&log);
    const enum sm_status status = sm_log_load(fuzz_file(0, data, size), &log, &faults);
    fuzz_check_faults(status, &faults);
    FUZZ_CHECK((status == SM_OK) == (log.n_rows > 0));
    for (size_t i = 0; i < log.n_rows; i++) {
        const struct sm_log_row *row = &log.rows[i];
        FUZZ_CHECK(row->cell[SM_LOG_TIME].given);
        FUZZ_CHECK(i == 0 || row->cell[SM_LOG_TIME].value >= row[-1].cell[SM_LOG_TIME].value);
        FUZZ_CHECK(i == 0 || row->line > row[-1].line);
        for (size_t k = 0; k < SM_LOG_COLUMN_COUNT; k++)
            FUZZ_CHECK(isfinite(row->cell[k].value) && (log.has[k] || !row->cell[k].given));
    }
    sm_log_release(&log);
    sm_faults_release(&faults);
    return 0;
}
