/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Writes docs/keys.md to standard output, from the key tables (`make docs`). */
#include "swapmargin/input.h"
#include "swapmargin/text.h"

#include <stdio.h>
#include <stdlib.h>

int main(void)
{
    struct sm_text text;
    sm_text_init(&text);
    const enum sm_status status = sm_keys_document(&text);
    bool written = false;
    if (status == SM_OK && text.data)
        written = fputs(text.data, stdout) >= 0 && fflush(stdout) == 0;
    sm_text_release(&text);
    return written ? EXIT_SUCCESS : EXIT_FAILURE;
}
