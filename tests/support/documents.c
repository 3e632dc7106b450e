/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "support/documents.h"

#include "support/run.h"

#include <criterion/criterion.h>
#include <ctype.h>
#include <glob.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ROOT SM_TESTS_DIR "/../"

const char *const documents_patterns[] = { "README.md", "DEVELOPERS.md", "docs/*.md",
                                           "tests/reference/README.md", NULL };

const char *const sources_patterns[] = { "src/*.[ch]",     "src/*/*.[ch]",   "include/*/*.h",
                                         "tables/*.ini",   "tables/*/*.def", "tests/*.[ch]",
                                         "tests/*/*.[ch]", "Makefile",       NULL };

static void texts_add(struct texts *texts, const char *path)
{
    texts->file = realloc(texts->file, (texts->n + 1) * sizeof *texts->file);
    cr_assert_not_null(texts->file);
    struct text_file *file = &texts->file[texts->n++];
    file->name = strdup(path + strlen(ROOT));
    file->text = run_file(path);
    cr_assert(file->name && file->text, "cannot read %s", path);
}

struct texts texts_load(const char *const *patterns)
{
    struct texts texts = { NULL, 0 };
    for (; *patterns; patterns++) {
        char pattern[1024];
        glob_t found;
        (void)snprintf(pattern, sizeof pattern, ROOT "%s", *patterns);
        cr_assert_eq(glob(pattern, 0, NULL, &found), 0, "nothing is %s", *patterns);
        for (size_t i = 0; i < found.gl_pathc; i++)
            texts_add(&texts, found.gl_pathv[i]);
        globfree(&found);
    }
    return texts;
}

void texts_release(struct texts *texts)
{
    for (size_t i = 0; i < texts->n; i++) {
        free(texts->file[i].name);
        free(texts->file[i].text);
    }
    free(texts->file);
    *texts = (struct texts){ NULL, 0 };
}

const struct text_file *texts_find(const struct texts *texts, const char *name)
{
    for (size_t i = 0; i < texts->n; i++)
        if (strcmp(texts->file[i].name, name) == 0)
            return &texts->file[i];
    return NULL;
}

bool texts_contain(const struct texts *texts, const char *word)
{
    for (size_t i = 0; i < texts->n; i++)
        if (strstr(texts->file[i].text, word))
            return true;
    return false;
}

bool path_exists(const char *path)
{
    char pattern[1024];
    glob_t found;
    (void)snprintf(pattern, sizeof pattern, ROOT "%s", path);
    const bool exists = glob(pattern, 0, NULL, &found) == 0;
    if (exists)
        globfree(&found);
    return exists;
}

/* ----------------------------------------------------------- code spans */

struct spans spans_of(const char *text)
{
    return (struct spans){ .at = text };
}

/* At a fence: the line after its end, or the text's end. */
static const char *fence_skip(const char *fence)
{
    const char *end = strstr(fence + 3, "\n```");
    if (!end)
        return fence + strlen(fence);
    const char *line = strchr(end + 1, '\n');
    return line ? line : end + strlen(end);
}

bool spans_next(struct spans *spans)
{
    spans->new_paragraph = false;
    for (const char *p = spans->at; *p; p++) {
        if (p[0] == '\n' && (p[1] == '\n' || p[1] == '|'))
            spans->new_paragraph = true;
        if (strncmp(p, "```", 3) == 0) {
            p = fence_skip(p);
            if (!*p)
                break;
            continue;
        }
        if (*p != '`')
            continue;
        const char *end = strchr(p + 1, '`');
        if (!end)
            break;
        (void)snprintf(spans->span, sizeof spans->span, "%.*s", (int)(end - p - 1), p + 1);
        spans->at = end + 1;
        return true;
    }
    return false;
}

/* ---------------------------------------------------------------- links */

/* A heading's anchor: small letters and digits, '-' for a blank, '_' and '-' kept, no other signs.
 */
static bool heading_is(const char *heading, const char *anchor)
{
    for (; *heading && *heading != '\n'; heading++) {
        const unsigned char c = (unsigned char)*heading;
        const int shown = isalnum(c) || c == '_' || c == '-' ? tolower(c) : c == ' ' ? '-' : 0;
        if (shown == 0)
            continue;
        if (*anchor++ != shown)
            return false;
    }
    return *anchor == '\0';
}

static bool anchor_exists(const char *text, const char *anchor)
{
    for (const char *p = text; (p = strstr(p, "\n#")); p++) {
        const char *heading = p + 1 + strspn(p + 1, "#");
        if (*heading == ' ' && heading_is(heading + 1, anchor))
            return true;
    }
    return false;
}

bool link_resolves(const struct texts *documents, const char *from, const char *target)
{
    char name[400];
    const char *slash = strrchr(from, '/');
    const char *anchor = strchr(target, '#');
    const int folder = slash ? (int)(slash + 1 - from) : 0;
    const int length = anchor ? (int)(anchor - target) : (int)strlen(target);
    if (length == 0)
        (void)snprintf(name, sizeof name, "%s", from);
    else
        (void)snprintf(name, sizeof name, "%.*s%.*s", folder, from, length, target);
    if (!anchor)
        return path_exists(name);
    const struct text_file *file = texts_find(documents, name);
    return file && anchor_exists(file->text, anchor + 1);
}
