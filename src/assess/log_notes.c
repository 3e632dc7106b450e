/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/log_notes.h"

#include "base/grow.h"

enum sm_status log_note_add(struct sm_log_judgement *judgement, struct sm_log_note note)
{
    struct sm_log_note *list =
        list_grow(judgement->notes, judgement->n_notes, &judgement->note_room, sizeof *list);
    if (!list)
        return SM_ERR_MEMORY;
    judgement->notes = list;
    list[judgement->n_notes++] = note;
    return SM_OK;
}
