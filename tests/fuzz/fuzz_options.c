/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Any words as a command line. */
#include "fuzz/fuzz.h"

#include "cmd/options.h"

#include <stdlib.h>
#include <string.h>

enum { WORDS_MOST = 24 };

int fuzz_options(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    char program[] = PROGRAM_NAME;
    char *words[WORDS_MOST + 2] = { program };
    int count = 1;
    FUZZ_CHECK(text != NULL);
    memcpy(text, data, size);
    text[size] = '\0';
    for (char *p = text; p && count <= WORDS_MOST; count++) {
        words[count] = p;
        p = strchr(p, '\n');
        if (p)
            *p++ = '\0';
    }

    struct options options;
    struct sm_faults faults;
    sm_faults_init(&faults);
    options_init(&options);
    const enum sm_status status = options_parse(count, words, &options, &faults);
    fuzz_check_faults(status, &faults);
    if (status == SM_OK && options.command != COMMAND_NONE) {
        const struct command_row *row = command_row(options.command);
        const bool asks = options.given[OPTION_HELP] || options.given[OPTION_VERSION];
        FUZZ_CHECK((row->formats >> options.format & 1u) != 0 || row->formats == 0);
        FUZZ_CHECK(asks || (options.n_operands >= row->least && options.n_operands <= row->most));
        for (size_t i = 0; i < OPTION_COUNT; i++)
            FUZZ_CHECK(!options.given[i] || command_has_option(options.command, (enum option_id)i));
    }
    options_release(&options);
    sm_faults_release(&faults);
    free(text);
    return 0;
}
