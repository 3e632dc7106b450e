/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "input/ini_source.h"

#include "support/files.h"

#include <criterion/criterion.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static struct ini_source source;
static struct sm_faults faults;

static void begin(void)
{
    ini_source_init(&source);
    sm_faults_init(&faults);
}

static void end(void)
{
    ini_source_release(&source);
    sm_faults_release(&faults);
}

TestSuite(ini_source, .init = begin, .fini = end);

static enum sm_status parse(const char *text)
{
    return ini_source_parse("a.ini", text, strlen(text), &source, &faults);
}

static const char *value(size_t i)
{
    return source.entries[i].value;
}

Test(ini_source, keeps_lines_names_and_values)
{
    cr_assert_eq(parse("; head\n[ Drive ] ; comment\n\nLine_Voltage=480 V ; rms\n"
                       " vce_sat  @  25 degC = 1 2 V # x\n[load]\nk = v"),
                 SM_OK);
    expect_no_fault(&faults);
    cr_assert_eq(source.n_sections, 2);
    cr_assert_str_eq(source.sections[0].name, "drive");
    cr_assert_str_eq(source.sections[0].shown, "Drive");
    cr_assert_eq(source.sections[0].line, 2);
    cr_assert_eq(source.n_entries, 3);
    cr_assert_str_eq(source.entries[0].key, "Line_Voltage");
    cr_assert_str_eq(source.entries[0].name, "line_voltage");
    cr_assert_str_eq(value(0), "480 V");
    cr_assert_eq(source.entries[0].line, 4);
    cr_assert_str_eq(source.entries[1].name, "vce_sat @ 25 degc");
    cr_assert_str_eq(value(1), "1 2 V");
    cr_assert_eq(source.entries[2].section, 1);
    cr_assert_eq(source.entries[2].line, 7);
}

Test(ini_source, a_comment_begins_at_the_line_or_after_a_blank_only)
{
    cr_assert_eq(parse("[a]\n#c\n  ;c\nu = http://x#y;z\nq = \"a ; b # c\" ; d\ns = 'it is' # d\n"
                       "p = C:\\\nw = a=b\nb = 5\" fan\n"),
                 SM_OK);
    expect_no_fault(&faults);
    static const char *const want[] = { "http://x#y;z", "a ; b # c", "it is",
                                        "C:\\",         "a=b",       "5\" fan" };
    cr_assert_eq(source.n_entries, sizeof want / sizeof want[0]);
    for (size_t i = 0; i < source.n_entries; i++)
        cr_assert_str_eq(value(i), want[i]);
}

Test(ini_source, takes_bom_crlf_and_fixed_blanks)
{
    cr_assert_eq(parse("\xEF\xBB\xBF[a]\r\n\xC2\xA0k\xC2\xA0=\xC2\xA0"
                       "5\xC2\xA0V\xC2\xA0\r\n"),
                 SM_OK);
    expect_no_fault(&faults);
    cr_assert_str_eq(source.entries[0].name, "k");
    cr_assert_str_eq(value(0), "5\xC2\xA0V");
}

Test(ini_source, a_line_may_have_a_thousand_bytes)
{
    char text[1100] = "[a]\n";
    memset(text + 4, 'x', 1000);
    memcpy(text + 4, "k = ", 4);
    text[1004] = '\0';
    cr_assert_eq(parse(text), SM_OK);
    expect_no_fault(&faults);
    cr_assert_eq(strlen(value(0)), 996);
    ini_source_release(&source);
    memcpy(text + 1004, "x", 2);
    cr_assert_eq(parse(text), SM_OK);
    expect_fault(&faults, "2: [a]", "is longer than 1,000 bytes");
}

Test(ini_source, every_fault_of_the_syntax_is_told_with_its_line)
{
    cr_assert_eq(parse("x = 1\n[a]\nfoo\nk = a\"b'c\n[b\nq = \"x\n[a]\nk = 2\n"), SM_OK);
    static const int lines[] = { 1, 3, 4, 5, 6, 7, 8 };
    cr_assert_eq(faults.count, sizeof lines / sizeof lines[0]);
    for (size_t i = 0; i < faults.count; i++)
        cr_assert_eq(faults.list[i].line, lines[i], "%s", faults.list[i].message);
}

/* What belongs there is known to whoever knows the key. */
Test(ini_source, nothing_behind_the_equals_sign_is_told_apart_from_an_empty_text)
{
    cr_assert_eq(parse("[a]\nk =\nl = ; c\nm = \"\"\nn = '' ; c\n"), SM_OK);
    expect_no_fault(&faults);
    for (size_t i = 0; i < 4; i++) {
        cr_expect_str_eq(value(i), "");
        cr_expect_eq(source.entries[i].empty, i < 2, "%zu", i);
    }
}

Test(ini_source, nul_bytes_are_told_with_their_line)
{
    static const char text[] = "[a]\nk = 1\0 2\nl = 3\n";
    cr_assert_eq(ini_source_parse("a.ini", text, sizeof text - 1, &source, &faults), SM_OK);
    expect_fault(&faults, "2: [a]", "has a NUL byte in it");
    cr_assert(source.entries[0].broken);
    cr_assert_str_eq(value(1), "3");
}

Test(ini_source, utf16_is_one_fault)
{
    static const char *const texts[] = { "\xFF\xFE[\0a\0]\0", "\xFE\xFF\0[\0a\0]", "[\0a\0]\0\0",
                                         "\0[\0a\0]\0" };
    for (size_t i = 0; i < 4; i++) {
        cr_assert_eq(ini_source_parse("a.ini", texts[i], 7, &source, &faults), SM_ERR_SYNTAX);
        expect_fault(&faults, "1", "is UTF-16, not UTF-8");
        sm_faults_release(&faults);
    }
}

/* A letter beyond the first 256 has no NUL; a program has, but not as every second byte. */
Test(ini_source, bytes_that_are_no_text_are_one_fault_and_utf16_only_where_it_is)
{
    static const char wide[] = "[\0a\0]\0\n\0r\0 \0=\0 \0001\0 \0\xA9\x03\n\0k\0=\0001\0";
    static const char binary[] = "\x7F"
                                 "ELF\2\1\1\0\0\0\0\0\0\0\0\0\3\0>\0\1\0\0\0";
    static const char few[] = "A\0[drive]\nline_voltage = 480 V\n";
    cr_assert_eq(ini_source_parse("a.ini", wide, sizeof wide - 1, &source, &faults), SM_ERR_SYNTAX);
    expect_fault(&faults, "1", "is UTF-16, not UTF-8");
    sm_faults_release(&faults);
    cr_assert_eq(ini_source_parse("a.ini", binary, sizeof binary - 1, &source, &faults),
                 SM_ERR_SYNTAX);
    cr_expect_eq(faults.count, 1);
    expect_fault(&faults, "1", "is not text; expected text in UTF-8");
    sm_faults_release(&faults);
    cr_assert_eq(ini_source_parse("a.ini", few, sizeof few - 1, &source, &faults), SM_ERR_SYNTAX);
    expect_fault(&faults, "1", "has a NUL byte in it");
}

Test(ini_source, lines_that_end_in_cr_alone_are_one_fault)
{
    cr_assert_eq(parse("[a]\rk = 1\rl = 2\r"), SM_ERR_SYNTAX);
    expect_fault(&faults, "1", "lines end in CR alone; expected LF or CR LF");
}

static void refused(const char *file, const char *message)
{
    cr_assert_eq(ini_source_load(file, &source, &faults), SM_ERR_FILE, "%s", file);
    expect_fault(&faults, "", message);
    cr_assert_str_eq(faults.list[0].file, file);
    cr_assert_null(source.file);
    sm_faults_release(&faults);
}

Test(ini_source, reads_regular_files_of_bounded_size_only, .timeout = 10)
{
    char folder[] = "/tmp/swapmargin-test-XXXXXX", pipe_path[64];
    refused("/nowhere/at/all.ini", "cannot be read: No such file");
    refused("/dev/zero", "is a device");
    cr_assert(mkdtemp(folder) != NULL);
    refused(folder, "is a folder");
    (void)snprintf(pipe_path, sizeof pipe_path, "%s/pipe", folder);
    cr_assert_eq(mkfifo(pipe_path, 0600), 0);
    refused(pipe_path, "is a pipe");
    cr_assert(unlink(pipe_path) == 0 && rmdir(folder) == 0);
    refused(scratch(0, ""), "is empty");

    char *big = malloc(2 << 20);
    cr_assert(big != NULL);
    memset(big, 'x', 2 << 20);
    refused(scratch_bytes(0, big, 2 << 20), "is too large; expected a text file of at most 1 MiB");
    free(big);
}

Test(ini_source, a_mebibyte_of_anything_takes_bounded_time, .timeout = 20)
{
    static const char *const patterns[] = {
        "x\n", "k%06d=1\n", "[s%06d]\n", "[a]\n", "=\n", "a=1\n"
    };
    const size_t size = 1 << 20;
    char *text = malloc(size + 32);
    cr_assert(text != NULL);
    for (size_t i = 0; i < sizeof patterns / sizeof patterns[0]; i++) {
        size_t n = 0;
        memcpy(text, "[x]\n", 4);
        n = 4;
        for (int k = 0; n + 16 < size; k++) {
            char line[24];
            const char *mark = strchr(patterns[i], '%');
            const int length = mark ? snprintf(line, sizeof line, "%.*s%06d%s",
                                               (int)(mark - patterns[i]), patterns[i], k, mark + 4)
                                    : snprintf(line, sizeof line, "%s", patterns[i]);
            memcpy(text + n, line, (size_t)length);
            n += (size_t)length;
        }
        (void)ini_source_parse("a.ini", text, n, &source, &faults);
        cr_assert(faults.count > 0 && faults.count < 1100, "%zu", faults.count);
        ini_source_release(&source);
        sm_faults_release(&faults);
    }
    free(text);
}

/* A small generator (Numerical Recipes' constants), so that the same texts come every time. */
static unsigned next_random(unsigned *state)
{
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

Test(ini_source, no_text_of_ini_pieces_gives_an_entry_without_a_value_or_a_fault)
{
    static const char *const pieces[] = { "[a]",       "[",        "]",    "k",  "=",  " ",    "\n",
                                          ";",         "#",        "\"",   "'",  "\\", "5 V",  ":",
                                          "@ 25 degC", "\xC2\xB5", "\xFF", "\t", "\r", "[b]\n" };
    unsigned state = 1;
    for (int run = 0; run < 4000; run++) {
        char text[400] = "[a]\n";
        size_t n = 4;
        for (int i = 0; i < 30; i++) {
            const char *piece = pieces[next_random(&state) % (sizeof pieces / sizeof pieces[0])];
            memcpy(text + n, piece, strlen(piece));
            n += strlen(piece);
        }
        (void)ini_source_parse("a.ini", text, n, &source, &faults);
        size_t broken = 0;
        for (size_t i = 0; i < source.n_entries; i++) {
            cr_assert_neq(source.entries[i].broken, source.entries[i].value != NULL);
            broken += source.entries[i].broken;
        }
        cr_assert(broken == 0 || faults.count > 0);
        ini_source_release(&source);
        sm_faults_release(&faults);
    }
}

static void *load_often(void *result)
{
    for (int i = 0; i < 200; i++) {
        struct ini_source own;
        struct sm_faults list;
        sm_faults_init(&list);
        if (ini_source_parse("a.ini", least_module, strlen(least_module), &own, &list) != SM_OK ||
            own.n_entries != 19)
            *(int *)result = 1;
        ini_source_release(&own);
        sm_faults_release(&list);
    }
    return NULL;
}

Test(ini_source, may_run_in_several_threads)
{
    pthread_t threads[4];
    int results[4] = { 0 };
    for (size_t i = 0; i < 4; i++)
        cr_assert_eq(pthread_create(&threads[i], NULL, load_often, &results[i]), 0);
    for (size_t i = 0; i < 4; i++) {
        cr_assert_eq(pthread_join(threads[i], NULL), 0);
        cr_assert_eq(results[i], 0);
    }
}

Test(ini_source, what_turns_the_direction_of_writing_or_ends_a_line_is_refused)
{
    static const char *const signs[] = { "\xE2\x80\xAE", "\xE2\x80\xA8", "\xE2\x81\xA7" };
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
        char text[64];
        (void)snprintf(text, sizeof text, "[a]\nk = x%sy\n", signs[i]);
        (void)parse(text);
        expect_fault(&faults, "2: [a]", "'k = x?y' has a control byte in it");
        ini_source_release(&source);
        sm_faults_release(&faults);
    }
}

Test(ini_source, only_the_first_line_outside_a_section_is_told)
{
    (void)parse("<html>\n<body>\nk = 1\n[a]\nk = 2\n");
    expect_fault(&faults, "1", "'<html>' stands outside a section; expected a [section] before it");
}
