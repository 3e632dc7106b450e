/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/command_functions.h"

#include "swapmargin/input.h"
#include "swapmargin/log.h"

#include <string.h>

/* The kinds of blank files: those of sm_template(), and the log. */
enum { TEMPLATE_LOG = SM_TEMPLATE_JOINT + 1 };

static const char *const template_words[] = {
    [SM_TEMPLATE_DRIVE] = "drive",
    [SM_TEMPLATE_MODULE] = "module",
    [SM_TEMPLATE_JOINT] = "joint",
    [TEMPLATE_LOG] = "log",
};

enum { TEMPLATE_COUNT = sizeof template_words / sizeof template_words[0] };

enum sm_status command_template(const struct options *options, const struct sm_style *style,
                                struct answer *answer, struct sm_faults *faults)
{
    (void)style;
    const char *word = options->operands[0];
    answer->code = EXIT_CODE_YES;
    for (size_t i = 0; i < TEMPLATE_COUNT; i++) {
        if (strcmp(word, template_words[i]) == 0) {
            return i == TEMPLATE_LOG ? sm_log_template(&answer->text)
                                     : sm_template((enum sm_template_kind)i, &answer->text);
        }
    }
    return options_unknown(faults, "unknown template", word, template_words, TEMPLATE_COUNT);
}
