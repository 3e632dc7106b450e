/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The library in a program of your own, the shortest way:  embed DRIVE MODULE
 * With the library installed:  cc embed.c $(pkg-config --cflags --libs swapmargin) -o embed */
#include <stdio.h>
#include <swapmargin/engine.h>
#include <swapmargin/input.h>

int main(int argc, char **argv)
{
    struct sm_faults faults;
    struct sm_tables tables;
    struct sm_drive drive;
    struct sm_module module;
    struct sm_result result;
    struct sm_case c;
    sm_faults_init(&faults);
    sm_tables_init(&tables);
    sm_drive_init(&drive);
    sm_module_init(&module);
    sm_result_init(&result);
    const int done = argc == 3 && sm_tables_load(NULL, &tables, &faults) == SM_OK &&
                     sm_drive_load(argv[1], NULL, &tables, &drive, &faults) == SM_OK &&
                     sm_module_load(argv[2], &module, &faults) == SM_OK &&
                     sm_case_assemble(&drive, &module, NULL, &c, &faults) == SM_OK &&
                     sm_run(&c, &result, &faults) == SM_OK;
    if (done && !result.runaway)
        printf("margin %.2f K\n", result.margin);
    else
        printf("%s\n", done ? "thermal runaway" : faults.count ? faults.list[0].message : "usage");
    sm_result_release(&result);
    sm_module_release(&module);
    sm_drive_release(&drive);
    sm_tables_release(&tables);
    sm_faults_release(&faults);
    return done ? 0 : 2;
}
