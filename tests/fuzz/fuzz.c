/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* memfd_create() */
#include "fuzz/fuzz.h"

#include "base/utf8.h"
#include "swapmargin/report.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

void fuzz_broken(const char *file, int line, const char *promise)
{
    (void)fprintf(stderr, "%s:%d: broken: %s\n", file, line, promise);
    abort();
}

void fuzz_check_text(const struct sm_text *text, bool ascii, size_t columns)
{
    size_t column = 0;
    FUZZ_CHECK(!text->out_of_memory && text->length > 0);
    FUZZ_CHECK(text->data[text->length - 1] == '\n' && strlen(text->data) == text->length);
    for (const char *p = text->data; *p;) {
        const size_t n = utf8_length(p);
        FUZZ_CHECK(n > 0 && (n == 1 || !ascii));
        FUZZ_CHECK(*p == '\n' || !utf8_is_control(p));
        column = *p == '\n' ? 0 : column + 1;
        FUZZ_CHECK(columns == 0 || column <= columns);
        p += n;
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
