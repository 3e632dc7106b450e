/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Writes the manual page or a shell's completion to standard output, from the tables of commands,
 * options and formats.
 *
 *     shell_doc man|bash|zsh|fish */
#include "cmd/options.h"
#include "swapmargin/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FORMATS_MOST 8

static const struct command_row *row_of(size_t command)
{
    return command_row((enum command_id)command);
}

static bool has(size_t command, size_t option)
{
    return command_has_option((enum command_id)command, (enum option_id)option);
}

/* The names of a command's formats, parted by blanks. */
static void formats_add(struct sm_text *out, size_t command)
{
    const char *gap = "";
    for (unsigned i = 0; i < FORMATS_MOST; i++)
        if ((row_of(command)->formats >> i & 1u) != 0) {
            sm_text_add(out, "%s%s", gap, format_name((enum sm_format)i));
            gap = " ";
        }
}

/* The words of "a|b|c", parted by blanks; nothing for an argument that is no list of words. */
static void words_add(struct sm_text *out, const char *argument)
{
    for (const char *c = argument; strchr(argument, '|') && argument[0] >= 'a' && *c; c++)
        sm_text_add(out, "%c", *c == '|' ? ' ' : *c);
}

/* -------------------------------------------------------------------- man */

/* One word as roff takes it: no request by accident, hyphens as minus signs. */
static void roff_word(struct sm_text *out, const char *word, size_t length, bool first)
{
    if (first && (word[0] == '.' || word[0] == '\''))
        sm_text_add(out, "\\&");
    for (size_t i = 0; i < length; i++) {
        if (word[i] == '\\')
            sm_text_add(out, "\\e");
        else
            sm_text_add(out, word[i] == '-' ? "\\%c" : "%c", word[i]);
    }
}

/* Text in lines that mandoc likes: short, and a new one after each sentence. */
static void sentences_add(struct sm_text *out, const char *text)
{
    enum { LINE = 72 };
    size_t column = 0;
    bool ended = false;
    while (*text != '\0') {
        const size_t length = strcspn(text, " ");
        const bool fresh = column == 0 || ended || column + 1 + length > LINE;
        if (column > 0)
            sm_text_add(out, fresh ? "\n" : " ");
        roff_word(out, text, length, fresh);
        column = (fresh ? 0 : column + 1) + length;
        ended = length > 0 && text[length - 1] == '.';
        text += length + strspn(text + length, " ");
    }
    sm_text_add(out, "\n");
}

static void man_option(struct sm_text *out, size_t option)
{
    const struct option_row *row = option_row((enum option_id)option);
    sm_text_add(out, ".It Fl Fl %s", row->name);
    if (row->argument[0] != '\0')
        sm_text_add(out, " Ar %s", row->argument);
    sm_text_add(out, "\n");
    sentences_add(out, row->help);
}

static void man_command(struct sm_text *out, size_t command)
{
    const struct command_row *row = row_of(command);
    sm_text_add(out, ".Ss %s\n.Nm\n.Cm %s\n.Ar %s\n.Op Ar option ...\n.Pp\n", row->name, row->name,
                row->operands);
    sentences_add(out, row->summary);
    sm_text_add(out, ".Pp\n");
    sentences_add(out, row->details);
    sm_text_add(out, ".Pp\nFormats: ");
    formats_add(out, command);
    sm_text_add(out, "\n.Bl -tag -width Ds\n");
    for (size_t i = 0; i < OPTION_COUNT; i++)
        if (i != OPTION_HELP && i != OPTION_VERSION && has(command, i))
            man_option(out, i);
    sm_text_add(out, ".El\n");
}

static void man(struct sm_text *out)
{
    sm_text_add(out,
                ".\\\" Written from the tables of commands and options.\n"
                ".Dd $Mdocdate$\n.Dt SWAPMARGIN 1\n.Os\n.Sh NAME\n.Nm swapmargin\n"
                ".Nd tells whether a substitute power module will live in a motor drive\n"
                ".Sh SYNOPSIS\n.Nm\n.Ar command\n.Ar ...\n.Op Ar option ...\n.Sh DESCRIPTION\n");
    sentences_add(out, "From the rating of an AC motor drive and the data sheet values of a power "
                       "module, both in files of text, swapmargin computes losses, junction "
                       "temperatures and the margin left, and judges what else decides a "
                       "substitution. It is a design aid: the drive maker's manual, local codes "
                       "and licensed practice come before it.");
    sm_text_add(out, ".Pp\n");
    sentences_add(out,
                  "Results go to standard output, all else to standard error. Options may stand "
                  "anywhere after the command.");
    sm_text_add(out, ".Bl -tag -width Ds\n");
    man_option(out, OPTION_HELP);
    man_option(out, OPTION_VERSION);
    sm_text_add(out, ".El\n");
    for (size_t i = 0; i < COMMAND_COUNT; i++)
        man_command(out, i);
    sm_text_add(out, ".Sh EXIT STATUS\n.Bl -tag -width Ds\n"
                     ".It 0\ndone; approve, conditional, or the margin kept\n"
                     ".It 1\nthe answer is no\n"
                     ".It 2\nwrong input or usage, or a place that\n.Fl Fl output\ncannot write\n"
                     ".It 3\nstandard output failed, no memory, or a fault of the program\n.El\n"
                     ".Sh EXAMPLES\n"
                     "A blank file for a drive and one for a module, then the check:\n"
                     ".Bd -literal -offset indent\n"
                     "swapmargin template drive > drive.ini\n"
                     "swapmargin template module > module.ini\n"
                     "swapmargin check drive.ini module.ini\n.Ed\n");
}

/* ------------------------------------------------------------------ shells */

static void options_add(struct sm_text *out, size_t command)
{
    for (size_t i = 0; i < OPTION_COUNT; i++)
        if (has(command, i))
            sm_text_add(out, " --%s", option_row((enum option_id)i)->name);
}

static void commands_add(struct sm_text *out)
{
    for (size_t i = 0; i < COMMAND_COUNT; i++)
        sm_text_add(out, "%s%s", i > 0 ? " " : "", row_of(i)->name);
}

static void bash(struct sm_text *out)
{
    sm_text_add(out, "# swapmargin(1) completion for bash\n"
                     "_swapmargin() {\n"
                     "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}\n"
                     "    local command=${COMP_WORDS[1]} words='' formats=''\n"
                     "    if [ \"$COMP_CWORD\" = 1 ]; then\n"
                     "        mapfile -t COMPREPLY < <(compgen -W '");
    commands_add(out);
    sm_text_add(out, " --help --version' -- \"$word\")\n        return\n    fi\n"
                     "    case $command in\n");
    for (size_t i = 0; i < COMMAND_COUNT; i++) {
        sm_text_add(out, "    %s) words='", row_of(i)->name);
        words_add(out, row_of(i)->operands);
        options_add(out, i);
        sm_text_add(out, "' formats='");
        formats_add(out, i);
        sm_text_add(out, "' ;;\n");
    }
    sm_text_add(
        out, "    esac\n    case $before in\n"
             "    --format) mapfile -t COMPREPLY < <(compgen -W \"$formats\" -- \"$word\") ;;\n");
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        const struct option_row *row = option_row((enum option_id)i);
        if (!strchr(row->argument, '|'))
            continue;
        sm_text_add(out, "    --%s) mapfile -t COMPREPLY < <(compgen -W '", row->name);
        words_add(out, row->argument);
        sm_text_add(out, "' -- \"$word\") ;;\n");
    }
    sm_text_add(out, "    *) mapfile -t COMPREPLY < <(compgen -W \"$words\" -- \"$word\"; "
                     "compgen -f -- \"$word\") ;;\n"
                     "    esac\n}\ncomplete -o filenames -F _swapmargin swapmargin\n");
}

/* A text between single quotes of a shell. */
static void quoted_add(struct sm_text *out, const char *text)
{
    for (const char *c = text; *c; c++) {
        if (*c == '\'')
            sm_text_add(out, "'\\''");
        else
            sm_text_add(out, strchr("[]:", *c) ? "\\%c" : "%c", *c);
    }
}

static void zsh(struct sm_text *out)
{
    sm_text_add(out, "#compdef swapmargin\n# swapmargin(1) completion for zsh\n"
                     "local -a commands options\ncommands=(\n");
    for (size_t i = 0; i < COMMAND_COUNT; i++) {
        sm_text_add(out, "  '%s:", row_of(i)->name);
        quoted_add(out, row_of(i)->summary);
        sm_text_add(out, "'\n");
    }
    sm_text_add(out, ")\nif (( CURRENT == 2 )); then\n  _describe command commands\n  return\nfi\n"
                     "case $words[2] in\n");
    for (size_t i = 0; i < COMMAND_COUNT; i++) {
        sm_text_add(out, "%s) options=(", row_of(i)->name);
        for (size_t k = 0; k < OPTION_COUNT; k++) {
            const struct option_row *row = option_row((enum option_id)k);
            if (!has(i, k))
                continue;
            sm_text_add(out, "\n  '--%s[", row->name);
            quoted_add(out, row->help);
            sm_text_add(out, "]");
            if (k == OPTION_FORMAT) {
                sm_text_add(out, ":format:(");
                formats_add(out, i);
                sm_text_add(out, ")");
            } else if (strchr(row->argument, '|')) {
                sm_text_add(out, ":word:(");
                words_add(out, row->argument);
                sm_text_add(out, ")");
            } else if (row->argument[0] != '\0') {
                sm_text_add(out, ":%s:_files", row->argument);
            }
            sm_text_add(out, "'");
        }
        sm_text_add(out, "\n  ) ;;\n");
    }
    sm_text_add(out, "esac\n_arguments -s $options '*:file:_files'\n");
}

/* The same for fish, which knows no other escape there. */
static void fish_quoted_add(struct sm_text *out, const char *text)
{
    for (const char *c = text; *c; c++)
        sm_text_add(out, *c == '\'' || *c == '\\' ? "\\%c" : "%c", *c);
}

static void fish(struct sm_text *out)
{
    sm_text_add(out, "# swapmargin(1) completion for fish\n");
    for (size_t i = 0; i < COMMAND_COUNT; i++) {
        sm_text_add(out, "complete -c swapmargin -n __fish_use_subcommand -f -a %s -d '",
                    row_of(i)->name);
        fish_quoted_add(out, row_of(i)->summary);
        sm_text_add(out, "'\n");
        for (size_t k = 0; k < OPTION_COUNT; k++) {
            const struct option_row *row = option_row((enum option_id)k);
            if (!has(i, k))
                continue;
            sm_text_add(out, "complete -c swapmargin -n '__fish_seen_subcommand_from %s' -l %s%s",
                        row_of(i)->name, row->name, row->argument[0] != '\0' ? " -r" : "");
            if (k == OPTION_FORMAT || strchr(row->argument, '|')) {
                sm_text_add(out, " -f -a '");
                if (k == OPTION_FORMAT)
                    formats_add(out, i);
                else
                    words_add(out, row->argument);
                sm_text_add(out, "'");
            }
            sm_text_add(out, " -d '");
            fish_quoted_add(out, row->help);
            sm_text_add(out, "'\n");
        }
    }
}

int main(int argc, char **argv)
{
    static const struct {
        const char *name;
        void (*write)(struct sm_text *out);
    } kinds[] = { { "man", man }, { "bash", bash }, { "zsh", zsh }, { "fish", fish } };
    struct sm_text text;
    sm_text_init(&text);
    for (size_t i = 0; argc == 2 && i < sizeof kinds / sizeof kinds[0]; i++)
        if (strcmp(argv[1], kinds[i].name) == 0)
            kinds[i].write(&text);
    const bool written =
        text.data && !text.out_of_memory && fputs(text.data, stdout) >= 0 && fflush(stdout) == 0;
    sm_text_release(&text);
    return written ? EXIT_SUCCESS : EXIT_FAILURE;
}
