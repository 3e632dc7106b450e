/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the terminal can show. */
#ifndef SWAPMARGIN_CMD_TERMINAL_H
#define SWAPMARGIN_CMD_TERMINAL_H

/* Columns of the terminal behind a stream, not below `least`; `least` when it is none. */
int terminal_columns(int fd, int least);

#endif
