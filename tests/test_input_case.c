/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/input.h"

#include "support/files.h"
#include "support/near.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static struct sm_tables tables;
static struct sm_drive drive;
static struct sm_module module, original;
static struct sm_faults faults;
static struct sm_case assembled;

static void begin(void)
{
    sm_faults_init(&faults);
    sm_drive_init(&drive);
    sm_module_init(&module);
    sm_module_init(&original);
    assembled = (struct sm_case){ 0 };
    cr_assert_eq(sm_tables_load(NULL, &tables, &faults), SM_OK);
}

static void end(void)
{
    sm_drive_release(&drive);
    sm_module_release(&module);
    sm_module_release(&original);
    sm_tables_release(&tables);
    sm_faults_release(&faults);
}

TestSuite(input_case, .init = begin, .fini = end);

static const char with_reference[] =
    "rth_cs = 0.04 K/W\nrth_cs_conductivity = 1 W/(m.K)\nrth_cs_thickness = 100 um\n";

/* May be called again in the same test. */
static enum sm_status assemble(const char *drive_text, const char *module_text)
{
    sm_drive_release(&drive);
    sm_module_release(&module);
    cr_assert_eq(sm_drive_load(scratch(0, drive_text), NULL, &tables, &drive, &faults), SM_OK);
    cr_assert_eq(sm_module_load(scratch(1, module_text), &module, &faults), SM_OK);
    return sm_case_assemble(&drive, &module, NULL, &assembled, &faults);
}

Test(input_case, a_joint_as_printed_needs_no_layer)
{
    cr_assert_eq(assemble(least_drive, least_module), SM_OK);
    expect_no_fault(&faults);
    cr_assert_eq(assembled.drive, &drive);
    cr_assert_eq(assembled.module, &module);
    cr_assert_eq(sm_case_module_count(&assembled), 3);
}

Test(input_case, a_reference_needs_the_layer)
{
    cr_assert_eq(
        assemble(least_drive, replaced(0, least_module, "rth_cs = 0.04 K/W\n", with_reference)),
        SM_ERR_KEY);
    expect_fault(&faults, "[joint]",
                 "missing; expected a section with conductivity and thickness, or a compound");
    cr_assert_str_eq(faults.list[0].file, drive.file);
    cr_assert_null(assembled.drive);
}

Test(input_case, the_base_alone_needs_the_layer)
{
    const char *base =
        replaced(0, least_module, "rth_cs = 0.04 K/W", "base_width = 34 mm\nbase_length = 94 mm");
    const char *joint =
        replaced(1, least_drive, "[cooling]", "[joint]\nthickness = 50 um\n[cooling]");
    cr_assert_eq(assemble(joint, base), SM_ERR_KEY);
    expect_fault(&faults, "9: [joint] conductivity", "missing; expected it, or a compound");
}

Test(input_case, the_base_beside_a_printed_resistance_needs_none)
{
    cr_assert_eq(assemble(least_drive,
                          replaced(0, least_module, "rth_cs = 0.04 K/W",
                                   "rth_cs = 0.04 K/W\nbase_width = 34 mm\nbase_length = 94 mm")),
                 SM_OK);
}

Test(input_case, a_compound_is_a_layer)
{
    cr_assert_eq(
        assemble(replaced(0, least_drive, "[cooling]", "[joint]\ncompound = mica\n[cooling]"),
                 replaced(1, least_module, "rth_cs = 0.04 K/W\n", with_reference)),
        SM_OK);
}

Test(input_case, references_of_the_switches_need_the_layer)
{
    const char *text = replaced(0, least_module, "[mounting]\nrth_cs = 0.04 K/W\n", "");
    text = replaced(1, text, "rth_jc = 0.20 K/W\n", "rth_jc = 0.20 K/W\nrth_cs = 0.1 K/W\n");
    text = replaced(2, text, "rth_jc = 0.35 K/W\n",
                    "rth_jc = 0.35 K/W\nrth_cs = 0.1 K/W\nrth_cs_conductivity = 1 W/(m.K)\n"
                    "rth_cs_thickness = 100 um\n");
    cr_assert_eq(assemble(least_drive, text), SM_ERR_KEY);
    expect_fault(&faults, "[joint]", "rth_cs holds for a reference compound");
}

/* Hand: from 14 mJ at 8 ohm and 5 mJ at 6.8 ohm the line reaches 0 at 6.13 ohm. */
Test(input_case, an_energy_over_the_gate_resistor_must_not_fall_to_nothing)
{
    static const char table[] = "[igbt.switching]\ntest_rg = 7 ohm\nrg = 6.8 8 ohm\n"
                                "e_on_rg = 5 14 mJ\ne_off_rg = 5 6 mJ\n";
    const char *text = replaced(0, least_module, "[igbt.switching]\n", table);
    const char *drive_62 =
        replaced(1, least_drive, "[cooling]", "[gate]\nrg_on = 6.2 ohm\n[cooling]");
    cr_assert_eq(assemble(drive_62, text), SM_OK);
    const char *drive_61 =
        replaced(2, least_drive, "[cooling]", "[gate]\nrg_on = 6.1 ohm\n[cooling]");
    cr_assert_eq(assemble(drive_61, text), SM_ERR_RANGE);
    expect_fault(&faults, "12: [igbt.switching] rg", "6.1 ohm, the drive's resistor");
    sm_faults_release(&faults);
    const char *far = replaced(3, text, "test_rg = 7 ohm", "test_rg = 5 ohm");
    cr_assert_eq(assemble(drive_62, far), SM_ERR_RANGE);
    expect_fault(&faults, "12: [igbt.switching] rg", "5 ohm, the test's resistor");
    sm_faults_release(&faults);
    /* with the test's own resistor no table is asked */
    cr_expect_eq(
        assemble(replaced(1, least_drive, "[cooling]", "[gate]\nrg_on = 5 ohm\n[cooling]"), far),
        SM_OK);
}

Test(input_case, the_original_is_looked_at_too)
{
    cr_assert_eq(assemble(least_drive, least_module), SM_OK);
    const char *text = replaced(0, least_module, "rth_cs = 0.04 K/W\n", with_reference);
    text = replaced(1, text, "bench part", "old part");
    cr_assert_eq(sm_module_load(scratch(2, text), &original, &faults), SM_OK);
    cr_assert_eq(sm_case_assemble(&drive, &module, &original, &assembled, &faults), SM_ERR_KEY);
    expect_fault(&faults, "[joint]", "old part");
}

Test(input_case, counts_the_modules_of_the_bridge)
{
    static const struct {
        int circuit, parallel, count;
    } rows[] = { { SM_CIRCUIT_SINGLE, 1, 6 },      { SM_CIRCUIT_SINGLE, 12, 72 },
                 { SM_CIRCUIT_HALF_BRIDGE, 1, 3 }, { SM_CIRCUIT_HALF_BRIDGE, 2, 6 },
                 { SM_CIRCUIT_SIX_PACK, 1, 1 },    { SM_CIRCUIT_SIX_PACK, 3, 3 } };
    cr_assert_eq(assemble(least_drive, least_module), SM_OK);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        module.circuit = rows[i].circuit;
        drive.rating.parallel = rows[i].parallel;
        cr_assert_eq(sm_case_module_count(&assembled), rows[i].count);
    }
}

Test(input_case, a_bridge_that_does_not_come_out_even_is_refused)
{
    cr_assert_eq(assemble(least_drive, least_module), SM_OK);
    drive.rating.parallel = 0; /* no file can say so: a caller's struct can */
    cr_assert_eq(sm_case_assemble(&drive, &module, NULL, &assembled, &faults), SM_ERR_VALUE);
    expect_fault(&faults, "3: [module] circuit",
                 "expected a number of modules without a remainder");
}

Test(input_case, the_compiled_in_tables_hold_the_classes_of_the_trade)
{
    cr_assert_geq(tables.n_compounds, 10);
    cr_assert_geq(tables.n_surfaces, 1);
    for (size_t i = 0; i < tables.n_compounds; i++)
        cr_assert(tables.compounds[i].source[0] && tables.compounds[i].conductivity > 0.0);
}

Test(input_case, the_tables_of_a_folder_are_the_same_as_the_compiled_in_ones)
{
    struct sm_tables other;
    cr_assert_eq(sm_tables_load("tables", &other, &faults), SM_OK);
    cr_assert_eq(other.n_compounds, tables.n_compounds);
    for (size_t i = 0; i < tables.n_compounds; i++)
        cr_assert_eq(memcmp(&other.compounds[i], &tables.compounds[i], sizeof other.compounds[i]),
                     0);
    sm_tables_release(&other);
}

Test(input_case, a_folder_without_tables_is_told_file_by_file)
{
    struct sm_tables other;
    cr_assert_eq(sm_tables_load("/nowhere", &other, &faults), SM_ERR_FILE);
    cr_assert_eq(faults.count, 2);
    cr_assert_str_eq(faults.list[1].file, "/nowhere/surfaces.ini");
    cr_assert_null(other.compounds);
}

/* ------------------------------------------------------- tables of a folder */

static void file_put(const char *folder, const char *name, const char *text)
{
    char path[128];
    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "w");
    cr_assert_not_null(file);
    (void)fputs(text, file);
    cr_assert_eq(fclose(file), 0);
}

/* Loads tables with these texts. */
static enum sm_status tables_of(const char *compounds, const char *surfaces, struct sm_tables *out)
{
    char folder[] = "/tmp/swapmargin-tables-XXXXXX", path[64];
    cr_assert_not_null(mkdtemp(folder));
    file_put(folder, "compounds.ini", compounds);
    file_put(folder, "surfaces.ini", surfaces);
    const enum sm_status status = sm_tables_load(folder, out, &faults);
    static const char *const names[] = { "compounds.ini", "surfaces.ini" };
    for (size_t i = 0; i < 2; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        cr_assert_eq(unlink(path), 0);
    }
    cr_assert_eq(rmdir(folder), 0);
    return status;
}

static void drive_refused(const char *joint, const struct sm_tables *used, const char *place,
                          const char *message)
{
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "%s[joint]\n%s\n", least_drive, joint);
    sm_drive_release(&drive);
    cr_expect_eq(sm_drive_load(scratch(0, text.data), NULL, used, &drive, &faults), SM_ERR_VALUE);
    expect_fault(&faults, place, message);
    sm_faults_release(&faults);
    sm_text_release(&text);
}

/* A caller without tables: a name is found in none. */
Test(input_case, without_tables_there_is_no_compound_and_no_surface)
{
    drive_refused("compound = butter\nconductivity = 1 W/(m.K)", NULL, "13: [joint] compound",
                  "'butter' is not a known compound; expected one of: none, the table is empty");
    drive_refused("surface = sanded", NULL, "13: [joint] surface",
                  "'sanded' is not a known surface; expected one of: none, the table is empty");
}

Test(input_case, a_table_without_rows_is_refused)
{
    struct sm_tables none;
    cr_expect_eq(tables_of("; nothing yet\n", "", &none), SM_ERR_SYNTAX);
    cr_assert_eq(faults.count, 2);
    cr_expect_str_eq(faults.list[0].message, "is empty: no section in it; expected [section] and "
                                             "key = value lines");
    cr_expect_str_eq(faults.list[1].message, "is empty; expected a text file of at most 1 MiB");
}

static const char good_surface[] = "[smooth]\nroughness = 1 um\nslope = 0.1\n"
                                   "conductivity = 200 W/(m.K)\nhardness = 1100 MPa\n"
                                   "source = a guess\n";

/* Names and sources have a longest, told with the section's line. */
Test(input_case, a_row_of_a_table_with_a_name_too_long_is_refused)
{
    struct sm_tables none;
    struct sm_text text;
    sm_text_init(&text);
    sm_text_add(&text, "\n[");
    for (size_t i = 0; i < sizeof none.compounds[0].name; i++)
        sm_text_add(&text, "x");
    sm_text_add(&text, "]\nconductivity = 1 W/(m.K)\nthickness = 100 um\ndensity = 2 g/cm3\n"
                       "source = a guess\n");
    cr_expect_eq(tables_of(text.data, good_surface, &none), SM_ERR_RANGE);
    cr_assert_eq(faults.count, 1);
    cr_expect_eq(faults.list[0].line, 2);
    char expected[80];
    (void)snprintf(expected, sizeof expected, "text of %zu bytes in it; expected less than %zu",
                   sizeof none.compounds[0].name, sizeof none.compounds[0].name);
    cr_expect_str_eq(faults.list[0].message, expected);
    cr_expect_null(none.compounds);
    sm_text_release(&text);
}

/* What a row lacks is told, all of it, and nothing is kept. */
Test(input_case, a_row_of_a_table_needs_all_its_keys)
{
    struct sm_tables none;
    cr_expect_eq(tables_of("[half]\nconductivity = 1 W/(m.K)\n", "[half]\nslope = 0.1\n", &none),
                 SM_ERR_KEY);
    cr_expect_gt(faults.count, 4);
    for (size_t i = 0; i < faults.count; i++) {
        cr_expect_eq(faults.list[i].line, 1);
        cr_expect_str_eq(faults.list[i].section, "half");
        cr_expect(strncmp(faults.list[i].message, "missing; expected", 17) == 0, "%s",
                  faults.list[i].message);
    }
    cr_expect(none.n_compounds == 0 && none.n_surfaces == 0 && !none.compounds && !none.surfaces);
}

/* A joint of which only one half is typed: the other is asked for by name. */
Test(input_case, half_a_layer_is_asked_for_the_other_half)
{
    static const struct {
        const char *typed, *missing;
    } rows[] = {
        { "conductivity = 1 W/(m.K)\n", "12: [joint] thickness" },
        { "thickness = 100 um\n", "12: [joint] conductivity" },
    };
    for (size_t i = 0; i < 2; i++) {
        struct sm_text text;
        sm_text_init(&text);
        sm_text_add(&text, "%s[joint]\n%s", least_drive, rows[i].typed);
        cr_expect_eq(
            assemble(text.data, replaced(1, least_module, "rth_cs = 0.04 K/W\n", with_reference)),
            SM_ERR_KEY);
        expect_fault(&faults, rows[i].missing,
                     "missing; expected it, or a compound: the joint of "
                     "'bench part' depends on the layer (rth_cs holds "
                     "for a reference compound)");
        sm_faults_release(&faults);
        sm_text_release(&text);
    }
}
