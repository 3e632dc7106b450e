/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Files that have no end, or that keep whoever opens them waiting, in the place of each input: told
 * by name, within five seconds and within little memory. */
#include "faults/trial.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

/* Bytes of address space; the program with its libraries takes half of it before it reads. */
#define LITTLE_MEMORY (96u * 1024u * 1024u)

/* Seconds; a run on the examples takes a hundredth of one where nothing else runs. */
#define SOON 5.0

#define DRIVE "examples/drive.ini"
#define MODULE "examples/module-good.ini"

/* What @ stands for in a command: the file itself, or a folder with it in it. */
static const char *const commands[][12] = {
    { "check", "@", MODULE },
    { "check", DRIVE, "@" },
    { "check", DRIVE, MODULE, "--joint", "@" },
    { "check", DRIVE, MODULE, "--original", "@" },
    { "check", DRIVE, MODULE, "--tables", "in-tables" },
    { "loadrun", DRIVE, MODULE, "--log", "@" },
    { "explain", DRIVE, "@", "margin_k" },
    { "joint", "@", MODULE },
    { "sweep", DRIVE, "@", "--over", "load", "--from", "50 %", "--to", "1", "--steps", "2" },
    { "compare", "@", MODULE },
    { "compare", DRIVE, "@", "--format", "jsonl" },
    { "compare", DRIVE, "in-modules", "--format", "jsonl" },
    { "compare", "--drives", "in-drives", MODULE },
    { "compare", "--merge", "@" },
};

static const char *const files[] = {
    "sparse", "/dev/zero",      "/dev/full", "pipe", "folder",
    "socket", "/proc/self/mem", "loop",      "none",
};

enum { COMMANDS = sizeof commands / sizeof commands[0], FILES = sizeof files / sizeof files[0] };

static void files_make(void)
{
    const int sparse = open("sparse", O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
    must(sparse >= 0 && ftruncate(sparse, 1024L * 1024L * 1024L) == 0, "sparse");
    (void)close(sparse);
    must(mkfifo("pipe", 0600) == 0, "pipe");
    must(mkdir("folder", 0700) == 0, "folder");
    must(symlink("loop", "loop") == 0, "loop");
    const struct sockaddr_un address = { .sun_family = AF_UNIX, .sun_path = "socket" };
    const int fd = socket(AF_UNIX, SOCK_STREAM, 0);
    must(fd >= 0 && bind(fd, (const struct sockaddr *)&address, sizeof address) == 0, "socket");
    (void)close(fd);
}

/* Folders with the file in them, beside a good one. */
static void folders_make(const char *file)
{
    char line[4 * PAGE_NAME];
    (void)snprintf(line, sizeof line,
                   "rm -rf in-modules in-drives in-tables && "
                   "mkdir in-modules in-drives in-tables && "
                   "cp tables/surfaces.ini in-tables && "
                   "for link in in-modules/x.ini in-drives/x.ini in-tables/compounds.ini; do "
                   "ln -s \"$(cd \"$(dirname '%s')\" && pwd)/$(basename '%s')\" $link; done",
                   file, file);
    must(system(line) == 0, line); /* NOLINT(cert-env33-c): a fixed command */
}

static bool named(const char *text, const char *file)
{
    return strstr(text, file) || strstr(text, "in-modules/x.ini") ||
           strstr(text, "in-drives/x.ini") || strstr(text, "in-tables/compounds.ini");
}

/* Folders may stand where modules do, and a folder in a folder is looked into. */
static bool is_walked(const char *const *words, const char *file)
{
    return strcmp(file, "folder") == 0 && strcmp(words[0], "compare") == 0 &&
           strcmp(words[1], "folder") != 0 && strcmp(words[1], "--merge") != 0;
}

static void refusal_judge(struct bench *bench, const char *const *words, const char *file)
{
    struct trial trial;
    trial_run(bench, words, LITTLE_MEMORY, &trial);
    const bool row = trial.code == 1 && strcmp(words[0], "compare") == 0;
    const char *said = row ? trial.out : trial.err;
    if (!(trial.code == 2 && trial.out_n == 0) && !(row && strstr(said, "unreadable"))) {
        finding(bench, words, &trial, "not refused");
    } else if (!named(said, file)) {
        finding(bench, words, &trial, "refused without its name");
    } else if (trial.seconds > SOON) {
        finding(bench, words, &trial, "refused after five seconds");
    }
    trial_release(&trial);
}

void try_hostile(struct bench *bench, unsigned share, unsigned shares)
{
    if (share > 0 || shares == 0) {
        return; /* a few seconds: not shared out */
    }
    files_make();
    bench_calm(bench);
    for (unsigned f = 0; f < FILES; f++) {
        folders_make(files[f]);
        for (unsigned i = 0; i < COMMANDS; i++) {
            const char *words[16] = { NULL };
            for (size_t w = 0; commands[i][w]; w++) {
                words[w] = strcmp(commands[i][w], "@") == 0 ? files[f] : commands[i][w];
            }
            if (!is_walked(words, files[f])) {
                refusal_judge(bench, words, files[f]);
            }
        }
    }
    (void)printf("hostile %5u of %5u  commands and files\n", COMMANDS * FILES, COMMANDS * FILES);
}
