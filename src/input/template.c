/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Blank files: every key of a table with its meaning, unit, default and range. */
#include "input/key_table.h"
#include "base/text.h"
#include "swapmargin/input.h"

#include <string.h>

static const char head[] = "; Fill in the open lines (\"key =\").  Lines that begin with ; are "
                           "comments: to use one of their\n"
                           "; keys, take the ; away and type a value.  Every value carries its "
                           "unit, after the last number\n"
                           "; of a list: 480 V, 30 60 Hz, 0.85.  A ; or # after a blank begins a "
                           "comment.  Text that has one\n"
                           "; of them in it is written in quotes.\n";

/* "; air entering the heatsink, not the room\n; degC, required, -40 degC to 90 degC\n" */
static void row_comment(const struct key_row *row, struct sm_text *out)
{
    struct sm_text words;
    sm_text_init(&words);
    sm_text_add(out, "\n; %s\n; ", row->meaning);

    switch (row->need) {
    case NEED_REQUIRED:
        sm_text_add(out, "required");
        break;
    case NEED_ONE_OF:
        sm_text_add(out, "one of several, see [mounting]");
        break;
    case NEED_FREE:
        sm_text_add(out, "optional");
        break;
    case NEED_DEFAULT:
        key_default_words(row, &words);
        sm_text_add(out, words.data ? "default %s" : "optional%s", text_words(&words));
        break;
    }
    text_close(&words, &out->out_of_memory);
    key_range_words(row, &words);
    if (words.data)
        sm_text_add(out, "; %s", words.data);
    if (row->unit[0] && strcmp(row->unit, "%") != 0)
        sm_text_add(out, "; in %s or another unit of its kind", row->unit);
    if (row->kind == KEY_LIST || (row->kind == KEY_ROWS && strcmp(row->extra, "degC") == 0))
        sm_text_add(out, "; a list");
    sm_text_add(out, "\n");
    text_close(&words, &out->out_of_memory);
}

/* The line itself: open when it must be filled in, else behind a ;. */
static void row_line(const struct key_row *row, struct sm_text *out)
{
    /* of the forms of the joint one is open, the commonest of datasheets */
    const bool open =
        row->need == NEED_REQUIRED || row == &module_keys.rows[SM_MODULE_MOUNTING_RTH_CS];
    const char *mark = open ? "" : ";";
    if (row->kind == KEY_ROWS && strcmp(row->extra, "degC") == 0) {
        sm_text_add(out, "%s%s @ 25 degC =\n;%s @ 125 degC =\n", mark, row->key, row->key);
        return;
    }
    sm_text_add(out, "%s%s =", mark, row->key);
    struct sm_text words;
    sm_text_init(&words);
    key_default_words(row, &words);
    if (row->kind == KEY_YES)
        sm_text_add(&words, "yes");
    if (row == &drive_keys.rows[SM_DRIVE_FREQUENCIES])
        sm_text_add(&words, "30 60 Hz");
    sm_text_add(out, "%s%s\n", words.data ? " " : "", text_words(&words));
    text_close(&words, &out->out_of_memory);
    if (row->kind == KEY_ROWS)
        sm_text_add(out, ";%s @ 30 Hz =\n", row->key);
}

static void section_note(const char *section, struct sm_text *out)
{
    if (strcmp(section, "mounting") == 0)
        sm_text_add(out, "; One of three: rth_cs here; rth_cs in both [igbt.thermal] and\n"
                         "; [diode.thermal]; or base_width and base_length.\n");
    if (strcmp(section, "confirmed") == 0)
        sm_text_add(out, "; Checked by hand by the person who signs.\n");
    if (strcmp(section, "joint") == 0)
        sm_text_add(out,
                    "; The layer between module and sink: a compound by name, or conductivity and\n"
                    "; thickness.  Parts whose joint depends on the layer need it.\n");
}

enum sm_status sm_template(enum sm_template_kind kind, struct sm_text *out)
{
    static const struct key_table *const tables[] = {
        [SM_TEMPLATE_DRIVE] = &drive_keys,
        [SM_TEMPLATE_MODULE] = &module_keys,
        [SM_TEMPLATE_JOINT] = &joint_keys,
    };
    const struct key_table *table = tables[kind];
    sm_text_add(out, "; A %s file for swapmargin.\n;\n%s", table->noun, head);
    for (size_t i = 0; i < table->n; i++) {
        const struct key_row *row = &table->rows[i];
        if (i == 0 || strcmp(row->section, table->rows[i - 1].section) != 0) {
            sm_text_add(out, "\n[%s]\n", row->section);
            section_note(row->section, out);
        }
        row_comment(row, out);
        row_line(row, out);
    }
    return out->out_of_memory ? SM_ERR_MEMORY : SM_OK;
}
