/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected outcomes: what folder_walk.h says is found. */
#include "cmd/folder_walk.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A folder of its own for each test, which is a process of its own. */
static char folder[64];
static struct sm_faults faults;

static void shell(const char *line)
{
    cr_assert_eq(system(line), 0, "%s", line); /* NOLINT(cert-env33-c): a fixed command */
}

static void open_folder(void)
{
    (void)snprintf(folder, sizeof folder, "/tmp/swapmargin-walk-XXXXXX");
    cr_assert_not_null(mkdtemp(folder));
    cr_assert_eq(chdir(folder), 0);
    sm_faults_init(&faults);
}

static void close_folder(void)
{
    char line[128];
    sm_faults_release(&faults);
    (void)snprintf(line, sizeof line, "rm -rf '%s'", folder);
    shell(line);
}

TestSuite(folder_walk, .init = open_folder, .fini = close_folder);

/* What was found, each behind a blank. */
struct found {
    char names[512];
    size_t n, room; /* `room` are taken, then there is no memory */
};

static bool note(void *context, const char *path)
{
    struct found *found = context;
    const size_t used = strlen(found->names);
    (void)snprintf(found->names + used, sizeof found->names - used, " %s", path);
    return found->n++ < found->room;
}

static struct found walk(const char *path, enum sm_status expected)
{
    struct found found = { .names = "", .room = 99 };
    cr_assert_eq(folder_walk(path, note, &found, &faults), expected);
    return found;
}

Test(folder_walk, finds_ini_files_of_all_folders_and_nothing_that_is_hidden)
{
    shell("mkdir -p m/a/b m/.h && touch m/x.txt m/.x.ini m/.ini m/.h/x.ini m/a/b/x.INI");
    cr_expect_str_eq(walk("m", SM_OK).names, " m/a/b/x.INI");
    cr_expect_str_eq(walk("m/", SM_OK).names, " m/a/b/x.INI", "no second slash");
    cr_expect_str_eq(walk("m/.h", SM_OK).names, " m/.h/x.ini", "asked for by name");
}

Test(folder_walk, a_folder_may_be_called_like_a_file)
{
    shell("mkdir -p m/a.ini && touch m/a.ini/x.ini");
    cr_expect_str_eq(walk("m", SM_OK).names, " m/a.ini/x.ini");
}

Test(folder_walk, links_are_followed_and_a_circle_is_entered_once)
{
    shell("mkdir -p m/a other && touch other/x.ini && ln -s .. m/a/up && ln -s ../other m/to && "
          "ln -s self m/self");
    cr_expect_str_eq(walk("m", SM_OK).names, " m/to/x.ini");
}

Test(folder_walk, what_cannot_be_read_is_found_when_its_name_is_one_of_ours)
{
    shell("mkdir m && ln -s nowhere m/x.ini && ln -s nowhere m/x.txt");
    cr_expect_str_eq(walk("m", SM_OK).names, " m/x.ini");
    shell("rm m/x.ini && mkfifo m/x.ini");
    cr_expect_str_eq(walk("m", SM_OK).names, " m/x.ini", "without waiting at the pipe");
}

Test(folder_walk, what_is_no_folder_is_found_whatever_its_name)
{
    shell("touch x.txt");
    cr_expect_str_eq(walk("x.txt", SM_OK).names, " x.txt");
    cr_expect_str_eq(walk("nowhere", SM_OK).names, " nowhere");
    cr_expect_eq(faults.count, 0);
}

Test(folder_walk, no_name_is_a_fault)
{
    (void)walk("", SM_ERR_FILE);
    cr_expect_str_eq(faults.list[0].message, "cannot be searched: No such file or directory");
}

Test(folder_walk, no_memory_for_what_was_found_ends_it)
{
    struct found found = { .names = "", .room = 1 };
    shell("mkdir m && touch m/x.ini m/y.ini m/z.ini");
    cr_expect_eq(folder_walk("m", note, &found, &faults), SM_ERR_MEMORY);
    cr_expect_eq(found.n, 2, "the one that failed is the last");
    cr_assert_eq(faults.count, 1);
    cr_expect_str_eq(faults.list[0].message, "out of memory");
    cr_expect(strncmp(faults.list[0].file, "m/", 2) == 0, "%s", faults.list[0].file);
}

/* 4,096 bytes, the longest path of the system, are reached by 17 names of 250. */
Test(folder_walk, what_lies_too_deep_is_found_and_not_passed_over)
{
    shell("name=$(printf '%0250d' 0); mkdir m && cd m && "
          "for i in $(seq 17); do mkdir $name && cd -P $name || exit; done");
    struct found found = { .names = "", .room = 99 };
    cr_expect_eq(folder_walk("m", note, &found, &faults), SM_OK);
    cr_expect_eq(found.n, 1);
}
