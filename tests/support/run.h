/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Runs of the program, through the shell, with what it printed. */
#ifndef SM_TESTS_RUN_H
#define SM_TESTS_RUN_H

struct run {
    char folder[64]; /* empty before a run; removed by run_close() */
    int code;        /* exit status of the last run; -1 when it did not exit */
    char *out, *err; /* what it wrote, owned */
};

/* Makes the folder and sets the variables that commands use: $S the program, $E the examples, $C
 * the cases of the reference, $TABLES the tables, $T the folder. */
void run_open(struct run *run);

/* Runs a shell command and reads what it wrote to both streams. */
void run_line(struct run *run, const char *command);

/* The content of a file, owned by the caller; NULL when it is not there. */
char *run_file(const char *path);

void run_close(struct run *run);

#endif
