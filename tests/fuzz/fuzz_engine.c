/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Choices that make a case; the whole way of it through engine and reports. */
#include "fuzz/fuzz.h"

#include "swapmargin/engine.h"
#include "swapmargin/explain.h"
#include "swapmargin/report.h"
#include "swapmargin/sweep.h"

#include <jansson.h>
#include <math.h>

enum { COLUMNS = 80 };

/* What the first byte asks for beside the check, one of these or nothing; and curves of no part. */
enum { EXTRAS = 0x07, WITH_ORIGINAL = 1, WITH_LIMITS, WITH_SWEEP, WITH_EXPLAIN, WILD = 0x80 };

struct made {
    struct sm_drive drive;
    struct sm_module module, original;
    struct sm_case c;
};

static enum sm_status module_read(struct choices *choices, bool wild, int slot,
                                  struct sm_module *module, struct sm_faults *faults)
{
    struct sm_text text;
    sm_text_init(&text);
    make_module(choices, wild, &text);
    const enum sm_status status =
        sm_module_load(fuzz_file(slot, text.data, text.length), module, faults);
    sm_text_release(&text);
    return status;
}

/* Returned: whether the choices made a case. */
static bool case_make(struct choices *choices, unsigned with, struct made *made)
{
    const bool with_original = (with & EXTRAS) == WITH_ORIGINAL, wild = (with & WILD) != 0;
    struct sm_text text;
    struct sm_faults faults;
    sm_faults_init(&faults);
    sm_text_init(&text);
    sm_drive_init(&made->drive);
    sm_module_init(&made->module);
    sm_module_init(&made->original);
    make_drive(choices, &text);
    enum sm_status status = sm_drive_load(fuzz_file(0, text.data, text.length), NULL,
                                          fuzz_reference(), &made->drive, &faults);
    sm_text_release(&text);
    if (status == SM_OK)
        status = module_read(choices, wild, 1, &made->module, &faults);
    if (status == SM_OK && with_original)
        status = module_read(choices, wild, 2, &made->original, &faults);
    if (status == SM_OK)
        status = sm_case_assemble(&made->drive, &made->module,
                                  with_original ? &made->original : NULL, &made->c, &faults);
    fuzz_check_faults(status, &faults);
    sm_faults_release(&faults);
    return status == SM_OK;
}

static void made_release(struct made *made)
{
    sm_module_release(&made->original);
    sm_module_release(&made->module);
    sm_drive_release(&made->drive);
}

static void check_json(const struct sm_text *text)
{
    json_error_t error;
    json_t *root = json_loadb(text->data, text->length, JSON_REJECT_DUPLICATES, &error);
    FUZZ_CHECK(root != NULL);
    json_decref(root);
}

static void check_reports(const struct sm_case *c, const struct sm_result *result)
{
    static const enum sm_format formats[] = { SM_FORMAT_TEXT, SM_FORMAT_TEXT, SM_FORMAT_JSON,
                                              SM_FORMAT_CSV };
    for (size_t i = 0; i < sizeof formats / sizeof formats[0]; i++) {
        const struct sm_style style = { .utf8 = i == 0, .width = COLUMNS };
        struct sm_text text;
        sm_text_init(&text);
        FUZZ_CHECK(sm_report_check(c, result, formats[i], &style, &text, NULL) == SM_OK);
        FUZZ_CHECK(!text.out_of_memory && text.length > 0);
        if (formats[i] == SM_FORMAT_TEXT)
            fuzz_check_text(&text, !style.utf8, COLUMNS);
        if (formats[i] == SM_FORMAT_JSON)
            check_json(&text);
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
    /* an ambient may not pass the module's limit, and a printed joint has no layer */
    FUZZ_CHECK(status == SM_OK || status == SM_ERR_RANGE || status == SM_ERR_VALUE);
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

static void check_run(const struct sm_case *c, unsigned with, struct choices *choices)
{
    struct sm_result result;
    sm_result_init(&result);
    const enum sm_status status = sm_run(c, &result, NULL);
    if (status == SM_ERR_CONVERGE && (with & WILD) != 0)
        return; /* losses that leap with temperature are refused */
    FUZZ_CHECK(status == SM_OK);
    if ((with & EXTRAS) == WITH_LIMITS)
        FUZZ_CHECK(sm_run_limits(c, &result, NULL) == SM_OK || (with & WILD) != 0);
    fuzz_check_result(c, &result);
    check_reports(c, &result);
    sm_result_release(&result);
    if ((with & EXTRAS) == WITH_SWEEP && !(with & WILD))
        check_sweep(c, choose_byte(choices));
    if ((with & EXTRAS) == WITH_EXPLAIN && !(with & WILD))
        check_explain(c, (unsigned)(1e4 * choose_fraction(choices)));
}

int fuzz_engine(const uint8_t *data, size_t size)
{
    struct choices choices = { data, data + size };
    struct made made;
    const unsigned with = choose_byte(&choices);
    if (case_make(&choices, with, &made))
        check_run(&made.c, with, &choices);
    made_release(&made);
    return 0;
}
