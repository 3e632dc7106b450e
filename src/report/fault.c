/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/glyph.h"
#include "report/phrase.h"
#include "report/words.h"
#include "swapmargin/report.h"

/* "FILE:LINE: "; nothing where the file is not known. */
static void place_add(struct sm_text *out, const char *file, int line)
{
    if (!file || file[0] == '\0') {
        return;
    }
    glyph_add_utf8(out, file);
    if (line > 0) {
        sm_text_add(out, ":%d", line);
    }
    sm_text_add(out, ": ");
}

/* "[section] key: ", what is known of it. */
static void key_add(struct sm_text *out, const char *section, const char *key)
{
    if (section[0] != '\0') {
        sm_text_add(out, "[");
        glyph_add_utf8(out, section);
        sm_text_add(out, "] ");
    }
    if (key[0] != '\0') {
        glyph_add_utf8(out, key);
        sm_text_add(out, ": ");
    }
}

void sm_report_fault(const struct sm_fault *fault, struct sm_text *out)
{
    place_add(out, fault->file, fault->line);
    key_add(out, fault->section, fault->key);
    glyph_add_utf8(out, fault->message[0] != '\0' ? fault->message : sm_status_text(fault->status));
    sm_text_add(out, "\n");
}

void sm_report_warning(const struct sm_warning *warning, struct sm_text *out)
{
    const struct word_key *key = word_module_key(warning->key);
    place_add(out, warning->file, warning->line);
    sm_text_add(out, "warning: ");
    key_add(out, key->section, key->key);
    phrase_warning(out, warning, false);
    sm_text_add(out, "\n");
}
