/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The corpus of the fuzzer, replayed: each file goes through its target, which aborts where a
 * promise of tests/fuzz/ is broken.  What fuzzing once found stands in the corpus. */
#include "fuzz/fuzz.h"

#include <criterion/criterion.h>

#include <dirent.h>
#include <gsl/gsl_errno.h>
#include <stdio.h>
#include <stdlib.h>

/* Bytes: far more than any file of the corpus has. */
#define FILE_LIMIT 65536

static void file_replay(int (*target)(const uint8_t *, size_t), const char *path)
{
    uint8_t *data = malloc(FILE_LIMIT);
    FILE *file = fopen(path, "rb");
    cr_assert(data && file, "%s", path);
    const size_t size = fread(data, 1, FILE_LIMIT, file);
    (void)fclose(file);
    cr_assert_eq(target(data, size), 0, "%s", path);
    free(data);
}

static void replay(int (*target)(const uint8_t *, size_t), const char *name)
{
    char path[512];
    size_t n = 0;
    (void)snprintf(path, sizeof path, SM_TESTS_DIR "/fuzz/corpus/%s", name);
    DIR *folder = opendir(path);
    cr_assert(folder, "%s", path);
    (void)gsl_set_error_handler_off();
    for (const struct dirent *entry; (entry = readdir(folder)) != NULL;) {
        if (entry->d_name[0] == '.')
            continue;
        (void)snprintf(path, sizeof path, SM_TESTS_DIR "/fuzz/corpus/%s/%s", name, entry->d_name);
        file_replay(target, path);
        n++;
    }
    (void)closedir(folder);
    cr_assert_gt(n, 0, "no corpus for %s", name);
}

Test(fuzz, values_of_the_corpus_keep_what_is_promised)
{
    replay(fuzz_quantity, "quantity");
}

Test(fuzz, drive_files_of_the_corpus_keep_what_is_promised)
{
    replay(fuzz_drive, "drive");
    replay(fuzz_joint, "joint");
    replay(fuzz_tables, "tables");
}

Test(fuzz, module_files_of_the_corpus_keep_what_is_promised)
{
    replay(fuzz_module, "module");
}

Test(fuzz, logs_of_the_corpus_keep_what_is_promised)
{
    replay(fuzz_log, "log");
}

Test(fuzz, command_lines_of_the_corpus_keep_what_is_promised)
{
    replay(fuzz_options, "options");
}

Test(fuzz, runs_of_the_corpus_keep_what_is_promised)
{
    replay(fuzz_engine, "engine");
}

Test(fuzz, load_runs_of_the_corpus_keep_what_is_promised)
{
    replay(fuzz_loadrun, "loadrun");
}
