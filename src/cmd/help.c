/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/help.h"

#include "report/text_layout.h"

#include <stdio.h>

enum { PAGE = 80, NAME_WIDTH = 18, LABEL_SIZE = 64, FIRST_SIZE = 96 };

static const struct sm_style plain = { .utf8 = false, .width = PAGE };

/* "  label     text", the texts in one column. */
static void row_add(struct sm_text *out, const char *label, const char *text)
{
    char first[FIRST_SIZE];
    (void)snprintf(first, sizeof first, "  %-*s ", NAME_WIDTH, label);
    layout_wrap(out, text, &(struct layout){ &plain, first });
}

static void option_add(struct sm_text *out, enum option_id id)
{
    const struct option_row *row = option_row(id);
    char label[LABEL_SIZE];
    (void)snprintf(label, sizeof label, "--%s%s%s", row->name, row->argument[0] ? " " : "",
                   row->argument);
    row_add(out, label, row->help);
}

static void options_add(struct sm_text *out, enum command_id command)
{
    sm_text_add(out, "\nOptions\n");
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        if (command_has_option(command, (enum option_id)i)) {
            option_add(out, (enum option_id)i);
        }
    }
}

static void formats_add(struct sm_text *out, const struct command_row *row)
{
    sm_text_add(out, "\nFormats\n ");
    for (unsigned i = 0; row->formats >> i != 0; i++) {
        if ((row->formats >> i & 1u) != 0) {
            sm_text_add(out, " %s", format_name((enum sm_format)i));
        }
    }
    sm_text_add(out, "\n");
}

static void command_help(struct sm_text *out, enum command_id command)
{
    const struct command_row *row = command_row(command);
    sm_text_add(out, "Usage: %s %s %s [options]\n\n", PROGRAM_NAME, row->name, row->operands);
    char first[FIRST_SIZE];
    (void)snprintf(first, sizeof first, "%s ", row->name);
    layout_wrap(out, row->summary, &(struct layout){ &plain, first });
    sm_text_add(out, "\n");
    layout_wrap(out, row->details, &(struct layout){ &plain, "" });
    formats_add(out, row);
    options_add(out, command);
}

static void commands_add(struct sm_text *out)
{
    sm_text_add(out, "\nCommands\n");
    for (size_t i = 0; i < COMMAND_COUNT; i++) {
        const struct command_row *row = command_row((enum command_id)i);
        row_add(out, row->name, row->summary);
    }
}

void help_usage(struct sm_text *out)
{
    sm_text_add(out, "Usage: %s COMMAND ... [options]\n", PROGRAM_NAME);
    commands_add(out);
    sm_text_add(out, "\n`%s COMMAND --help` tells more of a command.\n", PROGRAM_NAME);
}

void help_add(struct sm_text *out, enum command_id command)
{
    if (command < COMMAND_COUNT) {
        command_help(out, command);
        return;
    }
    help_usage(out);
    options_add(out, COMMAND_NONE);
    sm_text_add(out, "\nExit status\n");
    row_add(out, "0", "done; for check: approve or conditional");
    row_add(out, "1", "the answer is no: reject");
    row_add(out, "2", "wrong input or usage, or a file that --output cannot write");
    row_add(out, "3", "standard output failed, no memory, or a fault of the program");
}

void help_version(struct sm_text *out)
{
    sm_text_add(out, "%s %s\n", PROGRAM_NAME, SM_VERSION);
}
