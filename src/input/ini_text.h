/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Small steps over one line of an INI file. */
#ifndef SM_INPUT_INI_TEXT_H
#define SM_INPUT_INI_TEXT_H

#include <stdbool.h>
#include <stddef.h>

/* Bytes of the blank at p: a blank or tab 1, a no-break space 2; 0 for anything else. */
size_t ini_blank(const char *p);

/* Skips blanks. */
const char *ini_skip(const char *p);

/* Cuts blanks off the end of the text that starts at `text`. */
void ini_trim_end(char *text);

/* Where a comment begins: the first ; or # at p itself or after a blank; else the end. */
char *ini_comment(char *p);

/* A text as a fault repeats it: not longer than a line of a terminal bears. */
struct ini_clip {
    char text[72];
};
struct ini_clip ini_clip(const char *text);

/* Lower case (ASCII), runs of blanks as one blank.  `to` has room for strlen(from) + 1. */
void ini_fold(const char *from, char *to);

#endif
