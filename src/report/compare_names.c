/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/compare_names.h"

#include "base/grow.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

static int by_part_and_file(const void *left, const void *right)
{
    const struct compare_name *a = left, *b = right;
    const int order = strcmp(a->part, b->part);
    return order != 0 ? order : strcmp(a->file, b->file);
}

/* The last n names of a path; all of it where it has fewer. */
static const char *path_tail(const char *path, size_t n)
{
    const char *p = path + strlen(path);
    for (; p > path; p--) {
        if (p[-1] == '/' && --n == 0)
            return p;
    }
    return path;
}

static bool all_differ(const char **words, size_t n)
{
    qsort(words, n, sizeof *words, text_order);
    for (size_t i = 1; i < n; i++) {
        if (strcmp(words[i - 1], words[i]) == 0)
            return false;
    }
    return true;
}

/* So many names of a path tell the n files apart; they are different files.  words: room for n. */
static size_t tail_length(const struct compare_name *list, size_t n, const char **words)
{
    for (size_t length = 1;; length++) {
        for (size_t i = 0; i < n; i++)
            words[i] = path_tail(list[i].file, length);
        if (all_differ(words, n))
            return length;
    }
}

/* Names the n files of one part. */
static void part_name(struct sheet *sheet, struct compare_name *list, size_t n, const char **words)
{
    const bool alone = n == 1 || list[0].part[0] == '\0';
    const size_t length = alone ? 0 : tail_length(list, n, words);
    for (size_t i = 0; i < n; i++) {
        struct compare_name *one = &list[i];
        one->name = one->part[0] == '\0' ? one->file
                    : alone
                        ? one->part
                        : sheet_format(sheet, "%s (%s)", one->part, path_tail(one->file, length));
    }
}

/* Sorted, each file once.  Returned: how many. */
static size_t names_sort(struct compare_name *list, size_t n)
{
    size_t kept = 0;
    if (n > 0)
        qsort(list, n, sizeof *list, by_part_and_file);
    for (size_t i = 0; i < n; i++) {
        if (kept == 0 || by_part_and_file(&list[kept - 1], &list[i]) != 0)
            list[kept++] = list[i];
    }
    return kept;
}

struct compare_names compare_names_make(struct sheet *sheet, const struct comparison *about,
                                        const struct ranked *rows)
{
    const size_t n = about->several ? about->n_modules : about->shown;
    struct compare_names names = { list_zeroed(n, sizeof *names.list), 0 };
    const char **words = list_zeroed(n, sizeof *words);
    if (!names.list || !words) {
        sheet->out_of_memory = true;
        free(words);
        return names;
    }
    for (size_t i = 0; i < n; i++) {
        const struct candidate *row = about->several ? NULL : &rows[i].candidate;
        names.list[i].part = row ? row->part : about->modules[i];
        names.list[i].file = row ? row->file : about->module_files[i];
    }
    names.n = names_sort(names.list, n);
    for (size_t first = 0, end = 0; first < names.n; first = end) {
        for (end = first + 1;
             end < names.n && strcmp(names.list[end].part, names.list[first].part) == 0; end++) {
        }
        part_name(sheet, &names.list[first], end - first, words);
    }
    free(words);
    return names;
}

void compare_names_release(struct compare_names *names)
{
    free(names->list);
    *names = (struct compare_names){ NULL, 0 };
}

const char *compare_name_of(const struct compare_names *names, const char *part, const char *file)
{
    const struct compare_name wanted = { part, file, NULL };
    const struct compare_name *found = names->n > 0 ? bsearch(&wanted, names->list, names->n,
                                                              sizeof *names->list, by_part_and_file)
                                                    : NULL;
    return found ? found->name : part[0] != '\0' ? part : file;
}
