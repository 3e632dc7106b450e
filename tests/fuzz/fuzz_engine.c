/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Choices that make a case; the whole way of it through engine and reports. */
#include "fuzz/fuzz.h"

#include "swapmargin/engine.h"
#include "swapmargin/explain.h"
#include "report/report_joint.h"
#include "swapmargin/joint.h"
#include "swapmargin/report.h"
#include "swapmargin/sweep.h"

#include <math.h>

enum { COLUMNS = 80 };

/* What the first byte asks for beside the check, one of these or nothing; and curves of no part. */
enum {
    EXTRAS = 0x07,
    WITH_ORIGINAL = 1,
    WITH_LIMITS,
    WITH_SWEEP,
    WITH_EXPLAIN,
    WITH_JOINT,
    WILD = 0x80
};

static void check_reports(const struct sm_case *c, const struct sm_result *result)
{
    static const enum sm_format formats[] = { SM_FORMAT_TEXT, SM_FORMAT_TEXT, SM_FORMAT_JSON,
                                              SM_FORMAT_CSV, SM_FORMAT_HTML };
    for (size_t i = 0; i < sizeof formats / sizeof formats[0]; i++) {
        const struct sm_style style = { .utf8 = i == 0, .width = COLUMNS };
        struct sm_text text;
        sm_text_init(&text);
        FUZZ_CHECK(sm_report_check(c, result, formats[i], &style, &text, NULL) == SM_OK);
        FUZZ_CHECK(!text.out_of_memory && text.length > 0);
        if (formats[i] == SM_FORMAT_TEXT)
            fuzz_check_text(&text, !style.utf8, COLUMNS);
        if (formats[i] == SM_FORMAT_HTML)
            fuzz_check_page(&text);
        if (formats[i] == SM_FORMAT_JSON)
            fuzz_check_json(&text);
        sm_text_release(&text);
    }
}

static void check_sweep(const struct sm_case *c, unsigned over)
{
    const struct sm_sweep_quantity *quantity = sm_sweep_quantity(over % SM_SWEEP_COUNT);
    const struct sm_sweep_plan plan = { .over = over % SM_SWEEP_COUNT,
                                        .from = quantity->low,
                                        .to = quantity->high,
                                        .steps = 5,
                                        .logarithmic = quantity->dimension != SM_DIM_TEMPERATURE };
    struct sm_sweep sweep;
    struct sm_faults faults;
    struct sm_text text;
    const struct sm_style style = { .utf8 = true, .width = COLUMNS };
    sm_sweep_init(&sweep);
    sm_faults_init(&faults);
    sm_text_init(&text);
    const enum sm_status status = sm_sweep(c, &plan, &sweep, &faults);
    fuzz_check_faults(status, &faults);
    const double coldest = plan.over == SM_SWEEP_AMBIENT ? plan.from : c->drive->cooling.ambient;
    /* an ambient may not pass the module's limit, and a printed joint has no layer */
    FUZZ_CHECK(status == SM_OK || status == SM_ERR_RANGE || status == SM_ERR_VALUE ||
               fuzz_refused(c, false, coldest, status, &faults));
    for (size_t i = 0; i < sweep.n_rows; i++)
        FUZZ_CHECK(isfinite(sweep.rows[i].margin));
    if (status == SM_OK) {
        FUZZ_CHECK(sm_report_sweep(c, &sweep, SM_FORMAT_TEXT, &style, &text, NULL) == SM_OK);
        fuzz_check_text(&text, false, COLUMNS);
    }
    sm_text_release(&text);
    sm_faults_release(&faults);
    sm_sweep_release(&sweep);
}

static void check_explain(const struct sm_case *c, unsigned which)
{
    struct sm_askables askables;
    struct sm_explanation explanation;
    struct sm_text text;
    const struct sm_style style = { .utf8 = true, .width = COLUMNS };
    sm_askables_init(&askables);
    sm_explanation_init(&explanation);
    sm_text_init(&text);
    FUZZ_CHECK(sm_explain_list(c, &askables, NULL) == SM_OK && askables.n > 0);
    const char *what = askables.list[which % askables.n].path;
    FUZZ_CHECK(sm_explain(c, what, &explanation, NULL) == SM_OK);
    FUZZ_CHECK(sm_report_explanation(&explanation, SM_FORMAT_TEXT, &style, &text, NULL) == SM_OK);
    fuzz_check_text(&text, false, COLUMNS);
    sm_text_release(&text);
    sm_explanation_release(&explanation);
    sm_askables_release(&askables);
}

static void check_joint(const struct sm_case *c)
{
    const struct sm_tables *tables = fuzz_reference();
    const struct sm_joint_compound compound = { tables->compounds[0].name,
                                                tables->compounds[0].conductivity };
    const struct sm_style style = { .utf8 = true, .width = COLUMNS };
    struct sm_joint_study study;
    struct sm_text text;
    sm_joint_init(&study);
    sm_text_init(&text);
    FUZZ_CHECK(sm_joint(c, &compound, 1, &study, NULL) == SM_OK);
    const struct joint_page page = { c, &study, &compound, NULL };
    FUZZ_CHECK(report_joint(&page, SM_FORMAT_TEXT, &style, &text, NULL) == SM_OK);
    fuzz_check_text(&text, false, COLUMNS);
    sm_text_release(&text);
    sm_text_init(&text);
    FUZZ_CHECK(report_joint(&page, SM_FORMAT_JSON, &style, &text, NULL) == SM_OK);
    fuzz_check_json(&text);
    sm_text_release(&text);
    sm_joint_release(&study);
}

static void check_run(const struct sm_case *c, unsigned with, struct choices *choices)
{
    struct sm_result result;
    struct sm_faults faults;
    sm_result_init(&result);
    sm_faults_init(&faults);
    enum sm_status status = sm_run(c, &result, &faults);
    if (status == SM_OK && (with & EXTRAS) == WITH_LIMITS)
        status = sm_run_limits(c, &result, &faults);
    const bool refused =
        fuzz_refused(c, (with & WILD) != 0, c->drive->cooling.ambient, status, &faults);
    sm_faults_release(&faults);
    FUZZ_CHECK(status == SM_OK || refused);
    if (status == SM_OK) {
        fuzz_check_result(c, &result);
        check_reports(c, &result);
    }
    sm_result_release(&result);
    if (refused)
        return;
    if ((with & EXTRAS) == WITH_SWEEP && !(with & WILD))
        check_sweep(c, choose_byte(choices));
    if ((with & EXTRAS) == WITH_JOINT && !(with & WILD))
        check_joint(c);
    if ((with & EXTRAS) == WITH_EXPLAIN && !(with & WILD))
        check_explain(c, (unsigned)(1e4 * choose_fraction(choices)));
}

int fuzz_engine(const uint8_t *data, size_t size)
{
    struct choices choices = { data, data + size };
    struct made made;
    const unsigned with = choose_byte(&choices);
    if (made_open(&made, &choices, (with & EXTRAS) == WITH_ORIGINAL, (with & WILD) != 0))
        check_run(&made.c, with, &choices);
    made_release(&made);
    return 0;
}
