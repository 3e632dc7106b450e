/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Writes one group of the published values as a Markdown table (`make docs`). */
#include "support/published.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int main(int argc, char **argv)
{
    struct sm_text text;
    sm_text_init(&text);
    for (int g = 0; argc == 2 && g < PUBLISHED_GROUPS; g++)
        if (strcmp(argv[1], published_name((enum published_group)g)) == 0)
            published_table((enum published_group)g, &text);
    const bool written =
        text.data && !text.out_of_memory && fputs(text.data, stdout) >= 0 && fflush(stdout) == 0;
    sm_text_release(&text);
    return written ? EXIT_SUCCESS : EXIT_FAILURE;
}
