/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The project's own texts, for tests of the documents. */
#ifndef SM_TESTS_DOCUMENTS_H
#define SM_TESTS_DOCUMENTS_H

#include <stdbool.h>
#include <stddef.h>

struct text_file {
    char *name; /* from the project's folder, "src/engine.c" */
    char *text;
};

struct texts {
    struct text_file *file;
    size_t n;
};

/* NULL-terminated patterns of the documents, and of all that they can name. */
extern const char *const documents_patterns[];
extern const char *const sources_patterns[];

/* All files that match; the test fails when one cannot be read. */
struct texts texts_load(const char *const *patterns);
void texts_release(struct texts *texts);

/* NULL when there is none of that name. */
const struct text_file *texts_find(const struct texts *texts, const char *name);
bool texts_contain(const struct texts *texts, const char *word);

/* True when a path, or a pattern with *, names something in the project. */
bool path_exists(const char *path);

/* Code between single backticks, outside fences.
 *     struct spans spans = spans_of(text); while (spans_next(&spans)) use(spans.span); */
struct spans {
    const char *at;
    bool new_paragraph; /* an empty line or a table's row began before this one */
    char span[200];
};

struct spans spans_of(const char *text);
bool spans_next(struct spans *spans);

/* True when a link's target, "file.md#heading", leads from a document to a file and heading. */
bool link_resolves(const struct texts *documents, const char *from, const char *target);

#endif
