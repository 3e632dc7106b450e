/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/solved.h"

#include "swapmargin/engine.h"

#include <criterion/criterion.h>

void solved_run(const struct fixture *f, struct sm_result *result)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    sm_result_init(result);
    cr_assert_eq(sm_run(&f->c, result, &faults), SM_OK);
    cr_assert_eq(faults.count, 0);
}

double solved_hottest(const struct fixture *f)
{
    struct sm_result result;
    solved_run(f, &result);
    const double t = f->module.tvj_op_max - result.margin;
    sm_result_release(&result);
    return t;
}

struct sm_limit solved_limit(const struct fixture *f, enum sm_limit_id id)
{
    struct sm_result result;
    solved_run(f, &result);
    cr_assert_eq(sm_run_limits(&f->c, &result, NULL), SM_OK);
    const struct sm_limit limit = result.limits[id];
    sm_result_release(&result);
    return limit;
}
