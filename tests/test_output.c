/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected outcomes: a file is written whole or not at all (output.h). */
#include <criterion/criterion.h>

#include "cmd/output.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* A folder of its own for each test, which is a process of its own. */
struct bench {
    char folder[64];
    char path[128];
    struct sm_text text;
    struct sm_faults faults;
};

static void bench_open(struct bench *b)
{
    (void)snprintf(b->folder, sizeof b->folder, "/tmp/swapmargin-output-XXXXXX");
    cr_assert_not_null(mkdtemp(b->folder));
    (void)snprintf(b->path, sizeof b->path, "%s/sheet.txt", b->folder);
    sm_text_init(&b->text);
    sm_faults_init(&b->faults);
    sm_text_add(&b->text, "one\ntwo\n");
}

static size_t bench_files(const struct bench *b)
{
    size_t n = 0;
    DIR *folder = opendir(b->folder);
    cr_assert_not_null(folder);
    for (const struct dirent *entry = NULL; (entry = readdir(folder)) != NULL;) {
        n += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0 ? 1u : 0u;
    }
    (void)closedir(folder);
    return n;
}

static void bench_close(struct bench *b)
{
    char command[128];
    (void)snprintf(command, sizeof command, "rm -rf '%s'", b->folder);
    cr_expect_eq(system(command), 0); /* NOLINT(cert-env33-c): a fixed command */
    sm_text_release(&b->text);
    sm_faults_release(&b->faults);
}

static void file_put(const char *path, const char *content)
{
    FILE *file = fopen(path, "w");
    cr_assert_not_null(file);
    (void)fputs(content, file);
    cr_assert_eq(fclose(file), 0);
}

static void file_is(const char *path, const char *expected)
{
    char content[256] = "";
    FILE *file = fopen(path, "r");
    cr_assert_not_null(file, "%s is not there", path);
    const size_t n = fread(content, 1, sizeof content - 1, file);
    content[n] = '\0';
    (void)fclose(file);
    cr_expect_str_eq(content, expected);
}

static mode_t file_mode(const char *path)
{
    struct stat st;
    cr_assert_eq(stat(path, &st), 0);
    return st.st_mode & 0777u;
}

Test(output, a_new_file_is_whole_and_has_the_users_mode)
{
    struct bench b;
    bench_open(&b);
    (void)umask(027);
    cr_expect_eq(output_file(b.path, &(struct output_body){ .text = &b.text }, NULL, 0, &b.faults),
                 SM_OK);
    file_is(b.path, "one\ntwo\n");
    cr_expect_eq(file_mode(b.path), 0640); /* 0666 less the mask */
    cr_expect_eq(bench_files(&b), 1, "no temporary file is left");
    bench_close(&b);
}

Test(output, an_old_file_is_replaced_and_keeps_its_mode)
{
    struct bench b;
    bench_open(&b);
    file_put(b.path, "old and much longer than the new one\n");
    cr_assert_eq(chmod(b.path, 0604), 0);
    cr_expect_eq(output_file(b.path, &(struct output_body){ .text = &b.text }, NULL, 0, &b.faults),
                 SM_OK);
    file_is(b.path, "one\ntwo\n");
    cr_expect_eq(file_mode(b.path), 0604);
    bench_close(&b);
}

Test(output, a_link_is_followed)
{
    struct bench b;
    char link[160];
    struct stat st;
    bench_open(&b);
    (void)snprintf(link, sizeof link, "%s/link", b.folder);
    file_put(b.path, "old\n");
    cr_assert_eq(symlink("sheet.txt", link), 0);
    cr_expect_eq(output_file(link, &(struct output_body){ .text = &b.text }, NULL, 0, &b.faults),
                 SM_OK);
    file_is(b.path, "one\ntwo\n");
    cr_assert_eq(lstat(link, &st), 0);
    cr_expect(S_ISLNK(st.st_mode));
    bench_close(&b);
}

Test(output, an_input_is_never_written_over)
{
    struct bench b;
    char same[160];
    bench_open(&b);
    file_put(b.path, "[drive]\n");
    (void)snprintf(same, sizeof same, "%s/./sheet.txt", b.folder);
    const char *inputs[] = { "elsewhere.ini", same };
    cr_expect_eq(
        output_file(b.path, &(struct output_body){ .text = &b.text }, inputs, 2, &b.faults),
        SM_ERR_FILE);
    file_is(b.path, "[drive]\n");
    cr_assert_eq(b.faults.count, 1);
    cr_expect_not_null(strstr(b.faults.list[0].message, "one of the files read"));
    bench_close(&b);
}

Test(output, a_place_that_cannot_be_written_leaves_nothing_behind)
{
    struct bench b;
    bench_open(&b);
    char places[3][160];
    (void)snprintf(places[0], sizeof places[0], "%s", b.folder);
    (void)snprintf(places[1], sizeof places[1], "%s/none/sheet.txt", b.folder);
    (void)snprintf(places[2], sizeof places[2], "%s/new/", b.folder);
    for (size_t i = 0; i < 3; i++) {
        cr_expect_eq(
            output_file(places[i], &(struct output_body){ .text = &b.text }, NULL, 0, &b.faults),
            SM_ERR_FILE, "%s", places[i]);
    }
    cr_expect_eq(b.faults.count, 3);
    cr_expect_eq(bench_files(&b), 0);
    bench_close(&b);
}

Test(output, a_device_is_no_place_for_a_file)
{
    struct bench b;
    bench_open(&b);
    cr_expect_eq(
        output_file("/dev/null", &(struct output_body){ .text = &b.text }, NULL, 0, &b.faults),
        SM_ERR_FILE);
    struct stat st;
    cr_assert_eq(stat("/dev/null", &st), 0);
    cr_expect(S_ISCHR(st.st_mode), "the device is still one");
    bench_close(&b);
}

Test(output, a_full_standard_output_is_told)
{
    struct bench b;
    bench_open(&b);
    cr_assert_not_null(freopen("/dev/full", "w", stdout));
    cr_expect_eq(output_standard(&(struct output_body){ .text = &b.text }, &b.faults), SM_ERR_FILE);
    cr_expect_eq(b.faults.count, 1);
    bench_close(&b);
}

/* What the system says of a place is told, and what stood there stays. */
Test(output, a_place_that_is_none_is_told_by_the_system_s_own_words)
{
    struct bench b;
    bench_open(&b);
    char loop[128], below[160], none[128];
    (void)snprintf(loop, sizeof loop, "%s/loop", b.folder);
    (void)snprintf(below, sizeof below, "%s/x", b.path);
    (void)snprintf(none, sizeof none, "%s/none/", b.folder);
    cr_assert_eq(symlink("loop", loop), 0);
    file_put(b.path, "old\n");
    const struct {
        const char *path, *message;
    } rows[] = {
        { loop, "cannot be written: Too many levels of symbolic links" },
        { below, "cannot be written: Not a directory" },
        { none, "cannot be written: it names a folder" },
        { "", "cannot be written: " },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cr_expect_eq(
            output_file(rows[i].path, &(struct output_body){ .text = &b.text }, NULL, 0, &b.faults),
            SM_ERR_FILE, "%s", rows[i].path);
        cr_assert_eq(b.faults.count, 1);
        const char *message = b.faults.list[0].message;
        cr_expect(strncmp(message, rows[i].message, strlen(rows[i].message)) == 0, "%s", message);
        sm_faults_release(&b.faults);
    }
    file_is(b.path, "old\n");
    cr_expect_eq(bench_files(&b), 2);
    bench_close(&b);
}

/* A name without a folder goes into the folder that the program was started in. */
Test(output, a_bare_name_is_written_where_the_program_runs)
{
    struct bench b;
    bench_open(&b);
    cr_assert_eq(chdir(b.folder), 0);
    cr_expect_eq(
        output_file("sheet.txt", &(struct output_body){ .text = &b.text }, NULL, 0, &b.faults),
        SM_OK);
    file_is(b.path, "one\ntwo\n");
    cr_expect_eq(bench_files(&b), 1);
    cr_assert_eq(chdir("/"), 0);
    bench_close(&b);
}
