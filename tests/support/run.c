/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/run.h"

#include <criterion/criterion.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

void run_open(struct run *run)
{
    memset(run, 0, sizeof *run);
    (void)snprintf(run->folder, sizeof run->folder, "/tmp/swapmargin-run-XXXXXX");
    cr_assert_not_null(mkdtemp(run->folder));
    cr_assert_eq(setenv("S", SM_PROGRAM, 1), 0);
    cr_assert_eq(setenv("E", SM_EXAMPLES, 1), 0);
    cr_assert_eq(setenv("C", SM_TESTS_DIR "/reference/cases", 1), 0);
    cr_assert_eq(setenv("TABLES", SM_TABLES_DIR, 1), 0);
    cr_assert_eq(setenv("T", run->folder, 1), 0);
    cr_assert_eq(setenv("LC_ALL", "C", 1), 0);
}

char *run_file(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        return NULL;
    }
    cr_assert_eq(fseek(file, 0, SEEK_END), 0);
    const long size = ftell(file);
    cr_assert_geq(size, 0);
    rewind(file);
    char *content = calloc((size_t)size + 1, 1);
    cr_assert_not_null(content);
    cr_assert_eq(fread(content, 1, (size_t)size, file), (size_t)size);
    (void)fclose(file);
    return content;
}

static char *stream_read(const struct run *run, const char *name)
{
    char path[128];
    (void)snprintf(path, sizeof path, "%s/%s", run->folder, name);
    char *content = run_file(path);
    cr_assert_not_null(content);
    cr_assert_eq(unlink(path), 0);
    return content;
}

void run_line(struct run *run, const char *command)
{
    char line[1024];
    (void)snprintf(line, sizeof line, "{ %s\n} >\"$T/.out\" 2>\"$T/.err\"", command);
    const int status = system(line); /* NOLINT(cert-env33-c): the test's own command */
    run->code = status != -1 && WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    free(run->out);
    free(run->err);
    run->out = stream_read(run, ".out");
    run->err = stream_read(run, ".err");
}

void run_close(struct run *run)
{
    cr_expect_eq(system("rm -rf \"$T\""), 0); /* NOLINT(cert-env33-c): the test's own folder */
    free(run->out);
    free(run->err);
}
