/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/ascii.h"

bool is_ascii(const char *text)
{
    for (; *text != '\0'; text++) {
        if ((*text < 0x20 && *text != '\n') || *text > 0x7E) {
            return false;
        }
    }
    return true;
}
