/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Memory that runs out at one place after the other, in every call of the engine: told as such, and
 * nothing kept.  How many places there are is found by going on until none is met. */
#include "support/log_bench.h"
#include "support/scarce.h"
#include "swapmargin/cycle.h"
#include "swapmargin/engine.h"
#include "swapmargin/loadrun.h"
#include "swapmargin/network.h"
#include "swapmargin/sweep.h"

#include <criterion/criterion.h>

enum { MOST = 20000 }; /* places at which a call may take memory */

static struct log_bench bench;
static struct sm_module original;
static struct sm_result settled;

static void begin(void)
{
    log_bench_open(&bench, SM_EXAMPLES "/log-good.csv");
    sm_module_init(&original);
    sm_result_init(&settled);
    cr_assert_eq(sm_module_load(SM_EXAMPLES "/module-original.ini", &original, &bench.faults),
                 SM_OK);
    cr_assert_eq(sm_case_assemble(&bench.drive, &bench.module, NULL, &bench.c, &bench.faults),
                 SM_OK);
    cr_assert_eq(sm_run(&bench.c, &settled, &bench.faults), SM_OK);
}

static void end(void)
{
    sm_result_release(&settled);
    sm_module_release(&original);
    log_bench_close(&bench);
}

TestSuite(memory, .init = begin, .fini = end, .timeout = 120);

/* The call itself, made ready and given back: its status. */
typedef enum sm_status call(struct sm_faults *faults);

/* From the first place on, one in `step`: each refusal is SM_ERR_MEMORY with one fault, until
 * nothing is refused and the call is fulfilled; and each time all that was taken is given back.
 * Steps are 1 or primes, so that places which repeat are met in turn. */
static void runs_out(call *made, long step)
{
    for (long before = 0; before < MOST; before += step) {
        struct sm_faults faults;
        const long held = scarce_held();
        sm_faults_init(&faults);
        scarce_after(before);
        const enum sm_status status = made(&faults);
        const bool refused = scarce_end();
        cr_assert_eq(status, refused ? SM_ERR_MEMORY : SM_OK, "after %ld: %s", before,
                     sm_status_text(status));
        cr_assert_eq(faults.count, refused ? 1 : 0, "after %ld", before);
        sm_faults_release(&faults);
        cr_assert_eq(scarce_held(), held, "after %ld", before);
        if (!refused)
            return;
    }
    cr_assert_fail("no end");
}

static enum sm_status run(struct sm_faults *faults)
{
    struct sm_result result;
    sm_result_init(&result);
    const enum sm_status status = sm_run(&bench.c, &result, faults);
    cr_assert_eq(result.n_points, status == SM_OK ? 2 : 0);
    sm_result_release(&result);
    return status;
}

static enum sm_status limits(struct sm_faults *faults)
{
    struct sm_result result = settled; /* what it points to is only read */
    return sm_run_limits(&bench.c, &result, faults);
}

static enum sm_status cycle(struct sm_faults *faults)
{
    struct sm_cycle out;
    sm_cycle_init(&out);
    const enum sm_status status = sm_cycle(&bench.c, 30.0, &out, faults);
    cr_assert_eq(out.n > 0, status == SM_OK);
    sm_cycle_release(&out);
    return status;
}

static enum sm_status load_run(struct sm_faults *faults)
{
    struct sm_loadrun out;
    sm_loadrun_init(&out);
    const enum sm_status status = sm_loadrun(&bench.c, &settled, &out, faults);
    sm_loadrun_release(&out);
    return status;
}

static enum sm_status network(struct sm_faults *faults)
{
    struct sm_network out;
    sm_network_init(&out);
    const enum sm_status status = sm_network(&bench.c, &settled, &out, faults);
    sm_network_release(&out);
    return status;
}

static enum sm_status sweep(struct sm_faults *faults)
{
    static const struct sm_sweep_plan plan = { SM_SWEEP_LOAD, 0.5, 1.0, 2, false };
    struct sm_sweep out;
    sm_sweep_init(&out);
    const enum sm_status status = sm_sweep(&bench.c, &plan, &out, faults);
    cr_assert_eq(out.n_rows, status == SM_OK ? 2 : 0);
    sm_sweep_release(&out);
    return status;
}

static enum sm_status judge(struct sm_faults *faults)
{
    struct sm_log_judgement out;
    sm_log_judgement_init(&out);
    const enum sm_status status =
        sm_log_judge(&bench.c, &bench.expected, &bench.log, true, &out, faults);
    sm_log_judgement_release(&out);
    return status;
}

/* The judges alone: the map of losses that they read is filled by a first time. */
static enum sm_status judge_again(struct sm_faults *faults)
{
    struct log_rows rows = { .arena = &bench.rows,
                             .c = &bench.c,
                             .expected = &bench.expected,
                             .log = &bench.log,
                             .model = &bench.model };
    const struct sm_place place = { .file = bench.log.file };
    const enum sm_status status = log_judge(&rows, &bench.judgement);
    sm_log_judgement_release(&bench.judgement);
    arena_release(&bench.rows);
    return status == SM_OK ? SM_OK : sm_fault_add(faults, status, &place, "told by the caller");
}

Test(memory, that_runs_out_in_a_run_is_told)
{
    runs_out(run, 1);
}

/* With a warning, too: a short-circuit bus above the blocking voltage is a slip of the sheet. */
Test(memory, that_runs_out_beside_the_original_is_told)
{
    bench.module.short_circuit_bus = sm_given(2.0 * bench.module.vces);
    cr_assert_eq(sm_case_assemble(&bench.drive, &bench.module, &original, &bench.c, &bench.faults),
                 SM_OK);
    runs_out(run, 1);
}

Test(memory, that_runs_out_in_a_search_for_limits_is_told)
{
    runs_out(limits, 1);
}

Test(memory, that_runs_out_in_a_cycle_is_told)
{
    runs_out(cycle, 1);
}

Test(memory, that_runs_out_in_a_load_run_is_told)
{
    runs_out(load_run, 1);
}

/* A minute of it: what is taken does not depend on how long it runs. */
Test(memory, that_runs_out_in_a_network_is_told)
{
    bench.drive.test.duration = 60.0;
    runs_out(network, 7);
}

Test(memory, that_runs_out_in_a_sweep_is_told)
{
    runs_out(sweep, 1);
}

Test(memory, that_runs_out_while_a_log_is_judged_is_told)
{
    runs_out(judge, 41);
}

Test(memory, that_runs_out_in_any_judge_of_a_log_is_told)
{
    cr_assert_eq(judge_again(&bench.faults), SM_OK);
    runs_out(judge_again, 1);
    bench.log.n_rows = 40; /* without its second run: a doubt to be noted */
    runs_out(judge_again, 1);
}
