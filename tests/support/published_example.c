/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/published_example.h"

#include "swapmargin/engine.h"
#include "swapmargin/input.h"

#include <math.h>

#define ZERO_CELSIUS 273.15 /* K */
#define LOWEST_SITE 1000.0  /* m  up to here makers ask for no derating */

struct example {
    struct sm_tables tables;
    struct sm_drive drive;
    struct sm_module module;
    struct sm_case c;
    bool sound;
};

static void example_open(struct example *e)
{
    struct sm_faults faults;
    sm_faults_init(&faults);
    sm_tables_init(&e->tables);
    sm_drive_init(&e->drive);
    sm_module_init(&e->module);
    e->sound =
        sm_tables_load(NULL, &e->tables, &faults) == SM_OK &&
        sm_drive_load(SM_EXAMPLES "/drive.ini", NULL, &e->tables, &e->drive, &faults) == SM_OK &&
        sm_module_load(SM_EXAMPLES "/module-original.ini", &e->module, &faults) == SM_OK &&
        sm_case_assemble(&e->drive, &e->module, NULL, &e->c, &faults) == SM_OK;
    sm_faults_release(&faults);
}

static void example_close(struct example *e)
{
    sm_drive_release(&e->drive);
    sm_module_release(&e->module);
    sm_tables_release(&e->tables);
}

/* K: smallest margin at a site; NaN on failure. */
static double margin_at(struct example *e, double t_ambient, double altitude, double load)
{
    struct sm_result result;
    sm_result_init(&result);
    e->drive.cooling.ambient = t_ambient;
    e->drive.cooling.altitude = altitude;
    e->drive.test.load = load;
    const bool ran = e->sound && sm_run(&e->c, &result, NULL) == SM_OK;
    const double margin = !ran ? (double)NAN : result.runaway ? -1000.0 : result.margin;
    sm_result_release(&result);
    return margin;
}

double example_altitude_kelvins(void)
{
    struct example e;
    example_open(&e);
    const double t = 40.0 + ZERO_CELSIUS;
    const double low = margin_at(&e, t, LOWEST_SITE, 1.0), high = margin_at(&e, t, 2000.0, 1.0);
    example_close(&e);
    return low - high;
}

/* Bisected; the margin falls with the load. */
static double largest_load(struct example *e, double t_ambient, double altitude, double margin)
{
    double low = 0.3, high = 2.0;
    for (int i = 0; i < 40; i++) {
        const double middle = 0.5 * (low + high);
        if (margin_at(e, t_ambient, altitude, middle) > margin)
            low = middle;
        else
            high = middle;
    }
    return 0.5 * (low + high);
}

double example_current_share(double t_ambient, double altitude)
{
    struct example e;
    example_open(&e);
    const double at_rated = margin_at(&e, 40.0 + ZERO_CELSIUS, LOWEST_SITE, 1.0);
    const double share =
        isnan(at_rated) ? at_rated : largest_load(&e, t_ambient + ZERO_CELSIUS, altitude, at_rated);
    example_close(&e);
    return share;
}
