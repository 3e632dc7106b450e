/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _DEFAULT_SOURCE /* NOLINT(bugprone-reserved-identifier): TIOCGWINSZ is from there */

#include "cmd/terminal.h"

#include <sys/ioctl.h>
#include <unistd.h>

/* Lines longer than this are hard to follow across. */
#define COLUMNS_MOST 200

int terminal_columns(int fd, int least)
{
    struct winsize size;
    if (!isatty(fd) || ioctl(fd, TIOCGWINSZ, &size) != 0 || size.ws_col < least)
        return least;
    return size.ws_col < COLUMNS_MOST ? size.ws_col : COLUMNS_MOST;
}
