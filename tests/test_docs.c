/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The documents against the project: what they name is there.  Nothing is expected that is not
 * written down in one of the two places. */
#define _POSIX_C_SOURCE 200809L
#include "support/documents.h"
#include "support/published.h"
#include "support/run.h"

#include <criterion/criterion.h>
#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct texts documents, sources;

static void begin(void)
{
    documents = texts_load(documents_patterns);
    sources = texts_load(sources_patterns);
    cr_assert_geq(documents.n, 5);
    cr_assert_geq(sources.n, 100);
}

static void end(void)
{
    texts_release(&documents);
    texts_release(&sources);
}

TestSuite(docs, .init = begin, .fini = end);

static const char *document(const char *name)
{
    const struct text_file *file = texts_find(&documents, name);
    cr_assert_not_null(file, "no %s", name);
    return file->text;
}

/* ------------------------------------------------------------ code spans */

static bool is_path(const char *span)
{
    static const char *const roots[] = { "src/",      "include/", "tables/", "tests/",
                                         "examples/", "docs/",    ".ci/" };
    for (size_t i = 0; i < sizeof roots / sizeof roots[0]; i++)
        if (strncmp(span, roots[i], strlen(roots[i])) == 0)
            return true;
    return false;
}

/* A name pattern, as tests/test_<source>.c, and a command line are no paths. */
static bool is_checkable(const char *span)
{
    return is_path(span) && !strpbrk(span, "< ");
}

Test(docs, every_path_that_a_document_names_exists)
{
    size_t seen = 0;
    for (size_t i = 0; i < documents.n; i++) {
        struct spans spans = spans_of(documents.file[i].text);
        while (spans_next(&spans)) {
            if (!is_checkable(spans.span))
                continue;
            seen++;
            cr_expect(path_exists(spans.span), "%s names %s", documents.file[i].name, spans.span);
        }
    }
    cr_assert_geq(seen, 100);
}

/* "name()" -> "name(" in *out; false when the span is no function. */
static bool is_function(const char *span, char *out, size_t size)
{
    const size_t n = strlen(span);
    if (n < 4 || n >= size || strcmp(span + n - 2, "()") != 0)
        return false;
    for (size_t i = 0; i + 2 < n; i++)
        if (!isalnum((unsigned char)span[i]) && span[i] != '_')
            return false;
    (void)snprintf(out, size, "%.*s(", (int)(n - 2), span);
    return true;
}

/* A function after a source file in the same paragraph or row is in that file. */
Test(docs, every_function_that_a_document_names_is_in_the_file_named_before_it)
{
    size_t seen = 0;
    for (size_t i = 0; i < documents.n; i++) {
        const struct text_file *in = NULL;
        struct spans spans = spans_of(documents.file[i].text);
        while (spans_next(&spans)) {
            char call[80];
            if (spans.new_paragraph)
                in = NULL;
            if (is_checkable(spans.span))
                in = texts_find(&sources, spans.span);
            if (!is_function(spans.span, call, sizeof call))
                continue;
            seen++;
            cr_expect(in ? strstr(in->text, call) != NULL : texts_contain(&sources, call),
                      "%s names %s of %s", documents.file[i].name, spans.span,
                      in ? in->name : "the project");
        }
    }
    cr_assert_geq(seen, 40);
}

static bool is_constant(const char *span)
{
    const size_t n = strlen(span);
    return n >= 8 && strchr(span, '_') && isupper((unsigned char)span[0]) &&
           strspn(span, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_") == n;
}

Test(docs, every_constant_that_a_document_names_is_in_the_sources)
{
    size_t seen = 0;
    for (size_t i = 0; i < documents.n; i++) {
        struct spans spans = spans_of(documents.file[i].text);
        while (spans_next(&spans))
            if (is_constant(spans.span)) {
                seen++;
                cr_expect(texts_contain(&sources, spans.span), "%s names %s",
                          documents.file[i].name, spans.span);
            }
    }
    cr_assert_geq(seen, 2);
}

/* ------------------------------------------------------------- equations */

/* The number of an equation in front of a line, "(4.2)", as 402; 0 when there is none. */
static int equation_of(const char *line)
{
    int section = 0, number = 0, length = 0;
    if (sscanf(line, "(%d.%d)%n", &section, &number, &length) != 2 || length < 5 ||
        line[length] != ' ')
        return 0;
    return 100 * section + number;
}

static bool equation_exists(int wanted)
{
    for (const char *p = document("docs/method.md"); p; p = strchr(p, '\n')) {
        p += *p == '\n';
        if (equation_of(p) == wanted)
            return true;
    }
    return false;
}

Test(docs, equations_are_numbered_without_gaps)
{
    int last = 0;
    for (const char *p = document("docs/method.md"); p; p = strchr(p, '\n')) {
        p += *p == '\n';
        const int equation = equation_of(p);
        if (equation == 0)
            continue;
        cr_expect(equation == last + 1 || (equation % 100 == 1 && equation / 100 > last / 100),
                  "equation %d.%d follows %d.%d", equation / 100, equation % 100, last / 100,
                  last % 100);
        last = equation;
    }
    cr_assert_geq(last, 1000);
}

/* References are written "eq. 4.2", "eq. 4.2 to 4.5", "eq. 4.2 and 4.3"; those of publications
 * have no section of ours ("eq. 22"). */
static size_t check_references(const struct text_file *file)
{
    size_t seen = 0;
    for (const char *p = file->text; (p = strstr(p, "q. ")); p++) {
        int section[2] = { 0, 0 }, number[2] = { 0, 0 };
        char word[4] = "";
        if (p == file->text || (p[-1] != 'e' && p[-1] != 'E'))
            continue;
        const int got =
            sscanf(p, "q. %d.%d%3s %d.%d", &section[0], &number[0], word, &section[1], &number[1]);
        const int n = got == 5 && (!strcmp(word, "to") || !strcmp(word, "and")) ? 2 : got >= 2;
        for (int i = 0; i < n; i++, seen++)
            cr_expect(equation_exists(100 * section[i] + number[i]), "%s refers to eq. %d.%d",
                      file->name, section[i], number[i]);
    }
    return seen;
}

Test(docs, every_equation_that_is_referred_to_exists)
{
    size_t seen = 0;
    for (size_t i = 0; i < documents.n; i++)
        seen += check_references(&documents.file[i]);
    for (size_t i = 0; i < sources.n; i++)
        seen += check_references(&sources.file[i]);
    cr_assert_geq(seen, 30);
}

/* --------------------------------------------------------------- symbols */

/* Letters of a symbol: ASCII letters and digits, '_', and the two-byte Greek and accented ones. */
static size_t letter_at(const char *p)
{
    const unsigned char c = (unsigned char)*p;
    if (isalnum(c) || c == '_')
        return 1;
    return c == 0xC3 || c == 0xCE || c == 0xCF ? 2 : 0;
}

/* "T_c,D" and "R_th(j-c)" are one symbol each: what follows an index without a blank. */
static size_t symbol_length(const char *p)
{
    size_t n = 0;
    while (letter_at(p + n) || (n > 0 && p[n] == ',' && isalpha((unsigned char)p[n + 1])))
        n += p[n] == ',' ? 1 : letter_at(p + n);
    if (p[n] == '(' && p[n + 1] && p[n + 2] == '-' && p[n + 3] && p[n + 4] == ')')
        n += 5;
    return n;
}

/* Indices of one lower-case letter or digit count through points and terms: x_i, y_1. */
static bool needs_a_row(const char *symbol)
{
    const char *index = strchr(symbol, '_');
    return index && (isupper((unsigned char)index[1]) || letter_at(index + 2) > 0) &&
           !isdigit((unsigned char)index[1]);
}

static void check_symbols(const char *line, const char *table)
{
    for (const char *p = line; *p && *p != '\n';) {
        const size_t n = symbol_length(p);
        char symbol[64], cell[68];
        if (n == 0) {
            p++;
            continue;
        }
        (void)snprintf(symbol, sizeof symbol, "%.*s", (int)n, p);
        (void)snprintf(cell, sizeof cell, "`%s`", symbol);
        if (needs_a_row(symbol) && isalpha((unsigned char)symbol[0]))
            cr_expect(strstr(table, cell), "%s is not in the table of symbols: %.60s", symbol,
                      line);
        p += n;
    }
}

Test(docs, every_symbol_of_an_equation_is_in_the_table_of_symbols)
{
    const char *method = document("docs/method.md");
    const char *after = strstr(method, "\n## 2 ");
    cr_assert_not_null(after);
    char *table = strndup(method, (size_t)(after - method));
    bool fenced = false;
    for (const char *p = after + 1; p; p = strchr(p, '\n')) {
        p += *p == '\n';
        if (strncmp(p, "```", 3) == 0)
            fenced = !fenced;
        else if (fenced)
            check_symbols(p, table);
    }
    free(table);
}

/* --------------------------------------------------------------- sources */

/* "[name]" that is no link and no section of a file stands in sources.md as "**name**". */
static size_t check_source_names(const char *text, const char *listed)
{
    size_t seen = 0;
    bool code = false;
    for (const char *p = text; *p; p++) {
        code ^= *p == '`';
        const size_t n = *p == '[' ? strspn(p + 1, "abcdefghijklmnopqrstuvwxyz0123456789-") : 0;
        if (code || n == 0 || p[n + 1] != ']' || p[n + 2] == '(')
            continue;
        char entry[64];
        (void)snprintf(entry, sizeof entry, "**%.*s**", (int)n, p + 1);
        cr_expect(strstr(listed, entry), "sources.md lacks %s", entry);
        seen++;
    }
    return seen;
}

Test(docs, every_source_named_in_the_method_is_listed)
{
    const size_t seen = check_source_names(document("docs/method.md"), document("docs/sources.md"));
    cr_assert_geq(seen, 30);
}

Test(docs, every_source_of_a_value_from_outside_is_listed)
{
    const char *listed = document("docs/sources.md");
    for (int g = 0; g < PUBLISHED_GROUPS; g++) {
        struct published rows[PUBLISHED_MOST];
        const size_t n = published_rows((enum published_group)g, rows);
        for (size_t i = 0; i < n; i++)
            cr_expect(strstr(listed, rows[i].source), "sources.md lacks: %s", rows[i].source);
    }
}

Test(docs, every_row_of_the_tables_says_where_its_values_are_from)
{
    static const char *const names[] = { "tables/compounds.ini", "tables/surfaces.ini" };
    for (size_t i = 0; i < 2; i++) {
        size_t seen = 0;
        for (const char *p = texts_find(&sources, names[i])->text; (p = strstr(p, "\nsource = "));
             seen++) {
            char line[400];
            cr_assert_eq(sscanf(++p, "%399[^\n]", line), 1);
            cr_expect(strstr(line, "common practice") || strstr(line, "from memory") ||
                          strstr(line, "the head of this table"),
                      "%s: %s", names[i], line);
        }
        cr_assert_geq(seen, 9);
    }
}

/* ----------------------------------------------------------------- links */

Test(docs, every_link_between_documents_resolves)
{
    size_t seen = 0;
    for (size_t i = 0; i < documents.n; i++)
        for (const char *p = documents.file[i].text; (p = strstr(p, "](")); p++) {
            char target[200];
            if (sscanf(p, "](%199[^)\n])", target) != 1 || strstr(target, "://"))
                continue;
            seen++;
            cr_expect(link_resolves(&documents, documents.file[i].name, target), "%s links to %s",
                      documents.file[i].name, target);
        }
    cr_assert_geq(seen, 8);
}

/* -------------------------------------------------------------- commands */

static const char *const commands[] = {
#define COMMAND(id, name, ...) name,
#include "swapmargin/commands.def"
#undef COMMAND
};

static const char *const options[] = {
#define OPTION(id, name, ...) "`--" name,
#include "swapmargin/options.def"
#undef OPTION
};

Test(docs, every_command_and_option_is_told)
{
    const char *told = document("docs/commands.md");
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++) {
        char heading[80], row[80];
        (void)snprintf(heading, sizeof heading, "\n## %s\n", commands[i]);
        (void)snprintf(row, sizeof row, "\n| `swapmargin %s ", commands[i]);
        cr_expect(strstr(told, heading), "docs/commands.md lacks a section %s", commands[i]);
        cr_expect(strstr(document("README.md"), row), "README.md's commands lack %s", commands[i]);
    }
    for (size_t i = 0; i < sizeof options / sizeof options[0]; i++)
        cr_expect(strstr(told, options[i]), "docs/commands.md lacks %s`", options[i]);
}

/* ----------------------------------------------------------------- sheet */

Test(docs, the_sheet_in_the_readme_is_the_beginning_of_the_real_one)
{
    static const char fence[] = "\n```sheet\n";
    const char *shown = strstr(document("README.md"), fence);
    cr_assert_not_null(shown);
    shown += sizeof fence - 1;
    const char *stop = strstr(shown, "```");
    cr_assert(stop && stop - shown > 500);
    struct run run;
    run_open(&run);
    run_line(&run, "cd \"$E/..\" && \"$S\" check examples/drive.ini examples/module-good.ini");
    cr_assert_eq(run.code, 0);
    cr_expect(strncmp(run.out, shown, (size_t)(stop - shown)) == 0,
              "README.md shows another sheet: make docs");
    run_close(&run);
}
