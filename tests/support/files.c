/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* memfd_create() */
#include "support/files.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#define SLOTS 4

const char least_drive[] = "[drive]\n"
                           "line_voltage = 480 V\n"
                           "output_current = 77 A\n"
                           "output_voltage = 460 V\n"
                           "base_frequency = 60 Hz\n"
                           "switching_frequency = 4 kHz\n"
                           "[load]\n"
                           "power_factor = 0.85\n"
                           "[cooling]\n"
                           "ambient = 40 degC\n"
                           "rth_sa = 0.05 K/W\n";

const char least_module[] = "[module]\n"
                            "part = bench part\n"
                            "circuit = half-bridge\n"
                            "vces = 1200 V\n"
                            "ic_nominal = 100 A\n"
                            "tvj_op_max = 150 degC\n"
                            "[igbt.conduction]\n"
                            "current = 10 100 200 A\n"
                            "vce_sat @ 125 degC = 1.0 1.9 2.7 V\n"
                            "[igbt.switching]\n"
                            "test_voltage = 600 V\n"
                            "current = 100 A\n"
                            "e_on @ 125 degC = 10 mJ\n"
                            "e_off @ 125 degC = 11 mJ\n"
                            "[igbt.thermal]\n"
                            "rth_jc = 0.20 K/W\n"
                            "[diode.conduction]\n"
                            "current = 10 100 200 A\n"
                            "vf @ 125 degC = 0.8 1.5 2.0 V\n"
                            "[diode.recovery]\n"
                            "test_voltage = 600 V\n"
                            "current = 100 A\n"
                            "e_rr @ 125 degC = 7 mJ\n"
                            "[diode.thermal]\n"
                            "rth_jc = 0.35 K/W\n"
                            "[mounting]\n"
                            "rth_cs = 0.04 K/W\n";

const char *scratch_bytes(int slot, const char *bytes, size_t n)
{
    static char paths[SLOTS][64];
    static int open_files[SLOTS]; /* 0: none */
    if (open_files[slot] > 0)
        (void)close(open_files[slot]);
    const int fd = memfd_create("scratch", 0);
    cr_assert(fd > 0, "no scratch file");
    open_files[slot] = fd;
    cr_assert_eq(write(fd, bytes, n), (ssize_t)n);
    (void)snprintf(paths[slot], sizeof paths[slot], "/proc/self/fd/%d", fd);
    return paths[slot];
}

const char *scratch(int slot, const char *text)
{
    return scratch_bytes(slot, text, strlen(text));
}

const char *replaced(int slot, const char *text, const char *from, const char *to)
{
    static char texts[SLOTS][8192];
    const char *at = strstr(text, from);
    cr_assert(at != NULL, "'%s' is not in the text", from);
    char made[sizeof texts[0]];
    const int n =
        snprintf(made, sizeof made, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from));
    cr_assert(n > 0 && (size_t)n < sizeof made);
    memcpy(texts[slot], made, (size_t)n + 1);
    return texts[slot];
}

void fault_place(const struct sm_fault *fault, struct sm_text *out)
{
    sm_text_add(out, "%s", "");
    if (fault->line > 0)
        sm_text_add(out, "%d%s", fault->line, fault->section[0] || fault->key[0] ? ": " : "");
    if (fault->section[0])
        sm_text_add(out, "[%s]%s", fault->section, fault->key[0] ? " " : "");
    sm_text_add(out, "%s", fault->key);
}

void expect_fault(const struct sm_faults *faults, const char *place, const char *message)
{
    struct sm_text got;
    sm_text_init(&got);
    cr_assert_eq(faults->count, 1, "%zu faults, expected '%s'; the last: %s", faults->count,
                 message, faults->count ? faults->list[faults->count - 1].message : "-");
    fault_place(&faults->list[0], &got);
    cr_assert_str_eq(got.data, place, "at '%s', expected '%s' (%s)", got.data, place,
                     faults->list[0].message);
    cr_assert(strstr(faults->list[0].message, message), "'%s', expected '%s'",
              faults->list[0].message, message);
    sm_text_release(&got);
}

void expect_no_fault(const struct sm_faults *faults)
{
    cr_assert_eq(faults->count, 0, "line %d: %s", faults->list ? faults->list[0].line : 0,
                 faults->list ? faults->list[0].message : "");
}
