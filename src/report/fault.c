/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/glyph.h"
#include "swapmargin/report.h"

void sm_report_fault(const struct sm_fault *fault, struct sm_text *out)
{
    if (fault->file && fault->file[0] != '\0') {
        glyph_add_utf8(out, fault->file);
        if (fault->line > 0) {
            sm_text_add(out, ":%d", fault->line);
        }
        sm_text_add(out, ": ");
    }
    if (fault->section[0] != '\0') {
        sm_text_add(out, "[");
        glyph_add_utf8(out, fault->section);
        sm_text_add(out, "] ");
    }
    if (fault->key[0] != '\0') {
        glyph_add_utf8(out, fault->key);
        sm_text_add(out, ": ");
    }
    glyph_add_utf8(out, fault->message[0] != '\0' ? fault->message : sm_status_text(fault->status));
    sm_text_add(out, "\n");
}
