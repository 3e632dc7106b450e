/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/input.h"

#include "support/files.h"
#include "support/near.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static struct sm_tables tables;
static struct sm_drive drive;
static struct sm_faults faults;

static void begin(void)
{
    sm_faults_init(&faults);
    sm_drive_init(&drive);
    cr_assert_eq(sm_tables_load(NULL, &tables, &faults), SM_OK);
}

static void end(void)
{
    sm_drive_release(&drive);
    sm_tables_release(&tables);
    sm_faults_release(&faults);
}

TestSuite(input_drive, .init = begin, .fini = end);

static void load(const char *text)
{
    sm_drive_release(&drive);
    const enum sm_status status = sm_drive_load(scratch(0, text), NULL, &tables, &drive, &faults);
    expect_no_fault(&faults);
    cr_assert_eq(status, SM_OK);
}

Test(input_drive, the_smallest_file_gets_the_defaults_of_the_format)
{
    load(least_drive);
    NEAR(drive.rating.line_voltage, 480.0, 0.0);
    NEAR(drive.rating.line_frequency, 60.0, 0.0);
    NEAR(drive.rating.switching_frequency, 4000.0, 0.0);
    NEAR(drive.cooling.ambient, 313.15, 1e-12);
    NEAR(drive.gate.driver_reaction, 2e-6, 0.0);
    NEAR(drive.test.required_margin, 15.0, 0.0);
    NEAR(drive.test.load, 1.0, 0.0);
    NEAR(drive.test.duration, 3600.0, 0.0);
    NEAR(drive.joint.coverage, 1.0, 0.0);
    cr_assert_eq(drive.rating.line_phases, 3);
    cr_assert_eq(drive.rating.parallel, 1);
    cr_assert_eq(drive.rating.modulation, SM_MOD_SPACE_VECTOR);
    cr_assert_eq(drive.load.torque, SM_TORQUE_CONSTANT);
    cr_assert_eq(drive.cooling.air, SM_AIR_FORCED);
    cr_assert_eq(drive.test.frequencies.n, 2);
    NEAR(drive.test.frequencies.v[0], 30.0, 0.0);
    NEAR(drive.test.frequencies.v[1], 60.0, 0.0);
    cr_assert_not(drive.rating.dc_bus_voltage.given || drive.joint.thickness.given ||
                  drive.gate.rg_on.given || drive.joint.surface.given);
    cr_assert_str_eq(drive.name, "");
    cr_assert_str_eq(drive.joint.compound, "");
    cr_assert_eq(drive.joint_line, 0);
}

Test(input_drive, every_value_says_where_it_came_from)
{
    load(replaced(0, least_drive, "[cooling]", "[joint]\ncompound = mica\n[cooling]"));
    const struct sm_origin *given = &drive.origin[SM_DRIVE_OUTPUT_CURRENT];
    cr_assert_eq(given->kind, SM_ORIGIN_GIVEN);
    cr_assert_eq(given->line, 3);
    cr_assert_eq(given->file, drive.file);
    cr_assert_eq(drive.origin[SM_DRIVE_LINE_FREQUENCY].kind, SM_ORIGIN_DEFAULT);
    cr_assert_eq(drive.origin[SM_DRIVE_DEAD_TIME].kind, SM_ORIGIN_ABSENT);
    cr_assert_null(drive.origin[SM_DRIVE_DEAD_TIME].file);
    cr_assert_eq(drive.origin[SM_DRIVE_POWER_FACTOR].line, 8);
    cr_assert_eq(drive.origin[SM_DRIVE_CONDUCTIVITY].kind, SM_ORIGIN_DERIVED);
    cr_assert_str_eq(drive.origin[SM_DRIVE_CONDUCTIVITY].file, "tables/compounds.ini");
    cr_assert_eq(drive.joint_line, 9);
}

Test(input_drive, the_plain_power_factor_stands_at_base_frequency)
{
    load(replaced(0, least_drive, "power_factor = 0.85",
                  "power_factor @ 90 Hz = 0.7\npower_factor = 85 %\npower_factor @ 30 Hz = 0.8"));
    const struct sm_rows *rows = &drive.load.power_factor;
    cr_assert_eq(rows->n, 3);
    NEAR(rows->row[0].at, 30.0, 0.0);
    NEAR(rows->row[1].at, 60.0, 0.0);
    NEAR(rows->row[1].values.v[0], 0.85, 1e-15);
    NEAR(rows->row[2].at, 90.0, 0.0);
    cr_assert_eq(rows->row[2].line, 8);
}

Test(input_drive, a_row_at_base_frequency_wins_over_the_plain_key)
{
    load(replaced(0, least_drive, "power_factor = 0.85",
                  "power_factor = 0.85\npower_factor @ 60 Hz = -0.9"));
    cr_assert_eq(drive.load.power_factor.n, 1);
    NEAR(drive.load.power_factor.row[0].values.v[0], -0.9, 0.0);
}

Test(input_drive, rows_alone_are_enough)
{
    load(replaced(0, least_drive, "power_factor = 0.85", "power_factor @ 30 Hz = 0.8"));
    cr_assert_eq(drive.load.power_factor.n, 1);
}

Test(input_drive, bounds_are_inside_whatever_the_unit)
{
    load(replaced(0, least_drive, "ambient = 40 degC", "ambient = -40 degF"));
    NEAR(drive.cooling.ambient, 233.15, 1e-9);
    load(replaced(0, least_drive, "ambient = 40 degC", "ambient = 90 degC"));
    load(replaced(0, least_drive, "switching_frequency = 4 kHz", "switching_frequency = 0.2 kHz"));
    load(replaced(0, least_drive, "[load]",
                  "overload_current = 400 %\noverload_time = 1 h\n[load]"));
    NEAR(drive.rating.overload_current.value, 4.0, 1e-15);
}

Test(input_drive, a_compound_gives_what_was_not_typed)
{
    const struct sm_compound *row = &tables.compounds[0];
    char text[200];
    (void)snprintf(text, sizeof text, "[joint]\ncompound = %s\nthickness = 33 um\n[cooling]",
                   row->name);
    load(replaced(0, least_drive, "[cooling]", text));
    NEAR(drive.joint.thickness.value, 33e-6, 1e-18);
    NEAR(drive.joint.conductivity.value, row->conductivity, 0.0);
    NEAR(drive.joint.density.value, row->density, 0.0);
    cr_assert_eq(drive.origin[SM_DRIVE_THICKNESS].kind, SM_ORIGIN_GIVEN);
}

Test(input_drive, a_surface_is_looked_up)
{
    const struct sm_surface_row *row = &tables.surfaces[0];
    char text[200];
    (void)snprintf(text, sizeof text, "[joint]\nsurface = %s\npressure = 0.5 MPa\n[cooling]",
                   row->name);
    load(replaced(0, least_drive, "[cooling]", text));
    cr_assert(drive.joint.surface.given);
    NEAR(drive.joint.surface.hardness, row->surface.hardness, 0.0);
    NEAR(drive.joint.pressure.value, 5e5, 1e-9);
}

Test(input_drive, a_joint_file_replaces_the_section_whole)
{
    const char *text = replaced(0, least_drive, "[cooling]",
                                "[joint]\ncompound = mica\nscrew_torque = 4 N.m\n[cooling]");
    const char *file = scratch(0, text);
    const char *joint = scratch(1, "[joint]\nconductivity = 3 W/mK\nthickness = 50 um\n");
    cr_assert_eq(sm_drive_load(file, joint, &tables, &drive, &faults), SM_OK);
    cr_assert_str_eq(drive.joint.compound, "");
    NEAR(drive.joint.conductivity.value, 3.0, 0.0);
    cr_assert_not(drive.joint.screw_torque.given || drive.joint.density.given);
    cr_assert_eq(drive.origin[SM_DRIVE_JOINT_SCREW_TORQUE].kind, SM_ORIGIN_ABSENT);
    cr_assert_str_eq(drive.origin[SM_DRIVE_THICKNESS].file, joint);
    cr_assert_eq(drive.origin[SM_DRIVE_THICKNESS].line, 3);
    cr_assert_str_eq(drive.joint_file, joint);
    cr_assert_str_eq(drive.origin[SM_DRIVE_RTH_SA].file, file);
}

Test(input_drive, faults_of_both_files_are_told_in_one_run)
{
    const char *file = scratch(0, replaced(0, least_drive, "480 V", "480"));
    const char *joint = scratch(1, "[joint]\nthickness = 5 m\n");
    cr_assert_eq(sm_drive_load(file, joint, &tables, &drive, &faults), SM_ERR_VALUE);
    cr_assert_eq(faults.count, 2);
    cr_assert_str_eq(faults.list[1].file, joint);
    cr_assert_eq(faults.list[1].status, SM_ERR_RANGE);
}

Test(input_drive, a_refused_drive_is_as_after_init)
{
    static const struct sm_drive empty;
    cr_assert_neq(sm_drive_load(scratch(0, "[drive]\nname = x\n"), NULL, &tables, &drive, &faults),
                  SM_OK);
    cr_assert_eq(memcmp(&drive, &empty, sizeof drive), 0);
    cr_assert_eq(sm_drive_load("/nowhere.ini", "/nowhere.ini", &tables, &drive, NULL), SM_ERR_FILE);
    cr_assert_eq(memcmp(&drive, &empty, sizeof drive), 0);
}

Test(input_drive, faults_come_in_the_order_of_lines)
{
    const char *text =
        replaced(0, least_drive, "output_current = 77 A", "output_current 77 A\n[x]");
    const char *more = replaced(1, text, "line_voltage = 480 V", "line_voltage = 480");
    cr_assert_neq(sm_drive_load(scratch(0, more), NULL, &tables, &drive, &faults), SM_OK);
    for (size_t i = 1; i < faults.count; i++)
        cr_assert(faults.list[i - 1].line <= faults.list[i].line);
}

Test(input_drive, confirmations_are_yes_or_absent)
{
    load(replaced(0, least_drive, "[cooling]", "[confirmed]\noutline = Yes\n[cooling]"));
    cr_assert(drive.confirmed.outline);
    cr_assert_not(drive.confirmed.pinout);
}

Test(input_drive, the_echo_tells_each_key)
{
    struct sm_echo echo;
    size_t i = 0;
    load(replaced(
        0, least_drive, "power_factor = 0.85",
        "power_factor = 0.85\npower_factor @ 30 Hz = 0.8\n[test]\nfrequencies = 25, 50 Hz"));
    sm_echo_init(&echo);
    for (; sm_drive_echo(&drive, i, &echo); i++) {
        if (i == SM_DRIVE_LINE_VOLTAGE)
            cr_assert_str_eq(echo.value.data, "480 V");
        if (i == SM_DRIVE_AMBIENT)
            cr_assert_str_eq(echo.value.data, "40 degC");
        if (i == SM_DRIVE_POWER_FACTOR)
            cr_assert_str_eq(echo.value.data, "30 Hz: 0.8; 60 Hz: 0.85");
        if (i == SM_DRIVE_FREQUENCIES)
            cr_assert_str_eq(echo.value.data, "25 50 Hz");
        if (i == SM_DRIVE_LOAD)
            cr_assert_str_eq(echo.value.data, "100 %");
        if (i == SM_DRIVE_MODULATION)
            cr_assert_str_eq(echo.value.data, "space-vector");
        if (i == SM_DRIVE_DEAD_TIME)
            cr_assert_str_eq(echo.value.data, "");
    }
    cr_assert_eq(i, SM_DRIVE_KEY_COUNT);
    sm_echo_release(&echo);
}
