/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/csv.h"

#include "report/json_value.h"

#include <stdlib.h>
#include <string.h>

static void cell_begin(struct csv *csv)
{
    if (csv->begun) {
        sm_text_add_bytes(csv->out, ",", 1);
    }
    csv->begun = true;
}

/* Whether a spreadsheet could take the text for a formula; blanks, tabs and line ends before it are
 * passed over by some. */
static bool formula_like(const char *text)
{
    const char first = text[strspn(text, " \t\r\n")];
    return first != '\0' && strchr("=+-@", first) != NULL;
}

static void quoted_add(struct sm_text *out, const char *guard, const char *text)
{
    sm_text_add(out, "\"%s", guard);
    for (; *text != '\0'; text++) {
        sm_text_add_bytes(out, "\"\"", *text == '"' ? 2 : 0);
        sm_text_add_bytes(out, text, *text == '"' ? 0 : 1);
    }
    sm_text_add_bytes(out, "\"", 1);
}

void csv_text(struct csv *csv, const char *text)
{
    const char *words = text ? text : "";
    const char *guard = formula_like(words) ? "'" : "";
    cell_begin(csv);
    /* a semicolon parts cells in the spreadsheets of half of Europe: it is quoted too */
    if (words[strcspn(words, ",;\"\r\n\t")] != '\0') {
        quoted_add(csv->out, guard, words);
    } else {
        sm_text_add(csv->out, "%s%s", guard, words);
    }
}

void csv_number(struct csv *csv, const char *digits)
{
    cell_begin(csv);
    sm_text_add(csv->out, "%s", digits ? digits : "");
}

void csv_end(struct csv *csv)
{
    sm_text_add_bytes(csv->out, "\r\n", 2);
    csv->begun = false;
}

void csv_header(struct csv *csv, const char *const *names, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        csv_text(csv, names[i]);
    }
    csv_end(csv);
}

void csv_json(struct csv *csv, const json_t *number)
{
    csv_number(csv, NULL);
    if (!number || json_is_number(number)) {
        json_add(csv->out, number, JSON_ENCODE_ANY);
    }
}
