/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Points to settle that a key of the files would settle: each names it.  Expected: the keys' own
 * names.  $S, $E, $T: tests/support/run.h. */
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define NO_LAYER "/^rth_cs_/d"
#define OTHER_RG "s/^\\(rg_[a-z]*\\) = .*/\\1 = 10 ohm/"
#define NO_TABLE "/^rg = /d; /^e_on_rg/d; /^e_off_rg/d; /^e_rr_rg/d"

/* What is changed in the examples' drive and module, by sed, and what a point says then. */
static const struct {
    const char *drive, *module, *said;
} rows[] = {
    { "/^rg_on/d", "",
      "rg_on of the drive is not given: energies are those of the datasheet's "
      "test resistor; missing: drive file [gate] rg_on" },
    { "/^rg_off/d", "", "missing: drive file [gate] rg_off" },
    { "/^rg_on/d", "/^test_rg/d",
      "missing: drive file [gate] rg_on; module file [igbt.switching] test_rg_on" },
    { "", "/^test_rg/d",
      "the datasheet's test resistor for rg_on is not given: energies are used "
      "as printed; missing: module file [igbt.switching] test_rg_on" },
    { "", "/^test_rg/d", "missing: module file [igbt.switching] test_rg_off" },
    { OTHER_RG, NO_TABLE, "missing: module file [igbt.switching] rg, e_on_rg" },
    { OTHER_RG, NO_TABLE, "missing: module file [igbt.switching] rg, e_off_rg" },
    { OTHER_RG, NO_TABLE, "missing: module file [diode.recovery] rg, e_rr_rg" },
    { "", NO_LAYER,
      "R_th(c-s) has no reference layer: the printed value was used, not the layer "
      "applied; missing: module file [mounting] rth_cs_conductivity, "
      "rth_cs_thickness" },
    { "", NO_LAYER "; s/^rth_cs = .*//; s/^rth_jc = .*/&\\nrth_cs = 0.1 K\\/W/",
      "missing: module file [igbt.thermal] rth_cs_conductivity, rth_cs_thickness, [diode.thermal] "
      "rth_cs_conductivity, rth_cs_thickness" },
    { "", NO_LAYER "; s/^rth_cs = .*//",
      "missing: module file [mounting] rth_cs or [igbt.thermal] rth_cs, [diode.thermal] rth_cs" },
    { "s/^coverage.*/coverage = 90 %/", "", "a mounting with a full print, 100 %, settles it" },
};

Test(run_conditions, a_point_that_a_key_settles_names_the_key, .timeout = 60)
{
    struct run run;
    run_open(&run);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char command[900];
        (void)snprintf(command, sizeof command,
                       "cd $T; sed '%s' $E/drive.ini > d.ini; sed '%s' $E/module-good.ini > m.ini; "
                       "$S check d.ini m.ini --format json | jq -r '.conditions[]'",
                       rows[i].drive, rows[i].module);
        run_line(&run, command);
        cr_expect(strstr(run.out, rows[i].said), "no '%s' in\n%s%s", rows[i].said, run.out,
                  run.err);
    }
    run_close(&run);
}
