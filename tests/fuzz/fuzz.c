/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* memfd_create() */
#include "fuzz/fuzz.h"

#include "base/utf8.h"
#include "report/glyph.h"
#include "swapmargin/report.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

/* What a page puts around text written from the right: U+2068 and U+2069. */
#define ISOLATE_BEGIN 0x2068u
#define ISOLATE_END 0x2069u

void fuzz_broken(const char *file, int line, const char *promise)
{
    (void)fprintf(stderr, "%s:%d: broken: %s\n", file, line, promise);
    abort();
}

/* A line that breaks a promise is shown with it. */
static void line_check(bool holds, const char *promise, const char *line)
{
    if (holds)
        return;
    (void)fprintf(stderr, "%.*s\n", (int)strcspn(line, "\n"), line);
    fuzz_broken(__FILE__, __LINE__, promise);
}

/* What holds of all text. */
static void text_check(const struct sm_text *text)
{
    FUZZ_CHECK(!text->out_of_memory && text->length > 0);
    FUZZ_CHECK(text->data[text->length - 1] == '\n' && strlen(text->data) == text->length);
    for (const char *p = text->data, *line = p; *p;) {
        const size_t n = utf8_length(p);
        line_check(n > 0, "valid UTF-8", line);
        p += n;
        if (p[-1] == '\n')
            line = p;
    }
}

void fuzz_check_text(const struct sm_text *text, bool ascii, size_t columns)
{
    size_t column = 0;
    text_check(text);
    for (const char *p = text->data, *line = p; *p; p += utf8_length(p)) {
        if (*p == '\n') {
            column = 0;
            line = p + 1;
            continue;
        }
        line_check(!ascii || utf8_length(p) == 1, "ASCII only", line);
        line_check(!utf8_is_control(p), "no control characters", line);
        column += (size_t)glyph_columns(utf8_code(p));
        line_check(columns == 0 || column <= columns, "no line wider than asked for", line);
    }
}

void fuzz_check_page(const struct sm_text *text)
{
    int depth = 0;
    text_check(text);
    for (const char *p = text->data, *line = p; *p; p += utf8_length(p)) {
        const uint32_t code = utf8_code(p);
        if (code == ISOLATE_BEGIN || code == ISOLATE_END)
            depth += code == ISOLATE_BEGIN ? 1 : -1;
        else
            line_check(code == '\n' || !utf8_is_control(p), "no control characters", line);
        line_check(depth == 0 || (depth == 1 && code != '\n'), "each run isolated by itself", line);
        if (code == '\n')
            line = p + 1;
    }
}

void fuzz_check_faults(enum sm_status status, const struct sm_faults *faults)
{
    FUZZ_CHECK((status == SM_OK) == (faults->count == 0));
    FUZZ_CHECK(!faults->out_of_memory && status != SM_ERR_MEMORY);
    for (size_t i = 0; i < faults->count; i++) {
        struct sm_text line;
        sm_text_init(&line);
        sm_report_fault(&faults->list[i], &line);
        fuzz_check_text(&line, false, 0);
        FUZZ_CHECK(strchr(line.data, '\n') == line.data + line.length - 1);
        FUZZ_CHECK(faults->list[i].message[0] != '\0' && faults->list[i].line >= 0);
        sm_text_release(&line);
    }
}

const char *fuzz_file(int slot, const void *data, size_t size)
{
    static char names[4][40];
    static int files[4]; /* 0: none yet */
    if (files[slot] == 0) {
        files[slot] = memfd_create("fuzz", MFD_CLOEXEC);
        FUZZ_CHECK(files[slot] > 0);
        (void)snprintf(names[slot], sizeof names[slot], "/proc/self/fd/%d", files[slot]);
    }
    FUZZ_CHECK(ftruncate(files[slot], 0) == 0);
    FUZZ_CHECK(size == 0 || pwrite(files[slot], data, size, 0) == (ssize_t)size);
    return names[slot];
}

const struct sm_tables *fuzz_reference(void)
{
    static struct sm_tables tables;
    if (tables.n_compounds == 0)
        FUZZ_CHECK(sm_tables_load(NULL, &tables, NULL) == SM_OK);
    return &tables;
}

unsigned choose_byte(struct choices *choices)
{
    return choices->next < choices->end ? *choices->next++ : 0;
}

double choose_fraction(struct choices *choices)
{
    const unsigned high = choose_byte(choices);
    return (256.0 * high + choose_byte(choices)) / 65535.0;
}
