/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Takes the commands of the program and does something like it, without any care: neither memory
 * nor calls are checked, the old file is written over in place.  The trials must say so. */
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { BYTES = 4096 };

int main(int argc, char **argv)
{
    const char *output = NULL;
    char *text = malloc(BYTES);
    memset(text, 'x', BYTES);
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--output") == 0 && i + 1 < argc) {
            output = argv[i + 1];
        }
        const int in = open(argv[i], O_RDONLY | O_NONBLOCK);
        (void)!read(in, text, BYTES / 2);
        (void)close(in);
    }
    const int out = output ? open(output, O_WRONLY | O_CREAT | O_TRUNC, 0666) : STDOUT_FILENO;
    (void)!write(out, text, BYTES);
    (void)close(out);
    free(text);
    return 0;
}
