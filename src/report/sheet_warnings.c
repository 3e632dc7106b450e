/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/phrase.h"
#include "report/sheet_check.h"
#include "report/words.h"

void sheet_warnings(const struct check_sheet *s)
{
    const struct sm_warnings *all = &s->result->warnings;
    if (all->count == 0) {
        return;
    }
    (void)sheet_add(s->sheet, SHEET_HEADING, SHEET_UNLIKELY, "slips");
    (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "",
                    "They were used as they stand. Hold each against the data sheet:");
    struct sheet_block *block = sheet_add(s->sheet, SHEET_BULLETS, "", "");
    for (size_t i = 0; i < all->count; i++) {
        const struct sm_warning *warning = &all->list[i];
        const struct word_key *key = word_module_key(warning->key);
        struct sm_text text;
        sm_text_init(&text);
        if (warning->file) {
            sm_text_add(&text, "%s:%d: ", warning->file, warning->line);
        }
        sm_text_add(&text, "[%s] %s: ", key->section, key->key);
        phrase_warning(&text, warning, true);
        sheet_item(s->sheet, block, "", sheet_take(s->sheet, &text));
    }
}
