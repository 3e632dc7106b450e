/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How an overload that is solved is judged.  Expected outcomes: the rule (fit when not above
 * tvj_op_max, 423.15 K here, at the worst test frequency; runaway fails). */
#include "support/fit.h"
#include "support/near.h"

#include <criterion/criterion.h>

static struct fit_case t;

static void end_at(double tvj_max, bool known)
{
    struct sm_overload *o = &t.overload[1];
    o->tvj_max = tvj_max;
    o->margin = 423.15 - tvj_max;
    o->allowed_time = (struct sm_optional){ .given = known, .value = known ? 12.0 : 0.0 };
}

Test(checks_overload, is_judged_at_its_worst_frequency)
{
    fit_make(&t);
    end_at(423.15, false);
    t.overload[1].worst = SM_DIODE;
    fit_is(&t, SM_CHECK_OVERLOAD, SM_CHECK_PASS, SM_NOTE_OVERLOAD_FITS);
    fit_has(&t, SM_CHECK_OVERLOAD, 423.15, 423.15);
    const struct sm_check *check = fit_row(&t, SM_CHECK_OVERLOAD);
    NEAR(check->why.value[0], 60.0, 0.0);
    cr_expect_str_eq(check->why.text, "diode");
    end_at(423.25, true);
    fit_is(&t, SM_CHECK_OVERLOAD, SM_CHECK_FAIL, SM_NOTE_OVERLOAD_HOT);
    NEAR(fit_row(&t, SM_CHECK_OVERLOAD)->why.value[3], 12.0, 0.0);
    t.overload[1].allowed_time.value = 0.0;
    fit_is(&t, SM_CHECK_OVERLOAD, SM_CHECK_FAIL, SM_NOTE_OVERLOAD_HOT_AT_ONCE);
    fit_release(&t);
}

Test(checks_overload, a_settled_sink_is_told_as_such)
{
    fit_make(&t);
    t.overload[0].sink_settled = t.overload[1].sink_settled = true;
    end_at(423.0, false);
    fit_is(&t, SM_CHECK_OVERLOAD, SM_CHECK_PASS, SM_NOTE_OVERLOAD_FITS_SETTLED);
    end_at(423.25, false);
    fit_is(&t, SM_CHECK_OVERLOAD, SM_CHECK_FAIL, SM_NOTE_OVERLOAD_HOT_SETTLED);
    fit_release(&t);
}

Test(checks_overload, that_runs_away_fails_before_any_temperature)
{
    fit_make(&t);
    end_at(500.0, true);
    t.overload[0].runaway = true;
    fit_is(&t, SM_CHECK_OVERLOAD, SM_CHECK_FAIL, SM_NOTE_OVERLOAD_RUNAWAY);
    NEAR(fit_row(&t, SM_CHECK_OVERLOAD)->why.value[0], 30.0, 0.0);
    t.overload[0].allowed_time = (struct sm_optional){ .given = true, .value = 7.0 };
    fit_is(&t, SM_CHECK_OVERLOAD, SM_CHECK_FAIL, SM_NOTE_OVERLOAD_RUNAWAY_AFTER);
    NEAR(fit_row(&t, SM_CHECK_OVERLOAD)->why.value[1], 7.0, 0.0);
    fit_release(&t);
}

Test(checks_overload, not_given_names_its_key)
{
    fit_make(&t);
    fit_wants(&t, SM_CHECK_OVERLOAD, &t.f.drive.rating.overload_current,
              "drive [drive] overload_current");
    fit_release(&t);
}
