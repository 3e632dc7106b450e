/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/input.h"
#include "swapmargin/text.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* docs/keys.md is some 20 kB; far above that something is wrong with the file. */
enum { DOCUMENT_MAX = 1 << 20 };

/* The whole file, NUL-terminated; the caller frees it. */
static char *file_read(const char *path)
{
    FILE *file = fopen(path, "rb");
    cr_assert_not_null(file, "cannot open %s", path);
    char *data = calloc(1, DOCUMENT_MAX + 1);
    cr_assert_not_null(data);
    const size_t length = fread(data, 1, DOCUMENT_MAX, file);
    cr_assert_lt(length, (size_t)DOCUMENT_MAX);
    fclose(file);
    return data;
}

/* Expected: the key tables are the one place of every key; the document is made from them. */
Test(keys_doc, keys_md_is_what_the_key_tables_say)
{
    struct sm_text text;
    sm_text_init(&text);
    cr_assert_eq(sm_keys_document(&text), SM_OK);
    char *file = file_read(SM_DOCS_DIR "/keys.md");
    cr_expect(strcmp(file, text.data) == 0, "docs/keys.md differs from the key tables: make docs");
    free(file);
    sm_text_release(&text);
}
