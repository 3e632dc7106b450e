/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cmd/options.h"

#include "cmd/suggest.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ----------------------------------------------------------------- tables */

static const struct option_row options_table[OPTION_COUNT] = {
#define OPTION(id, name, argument, help) [OPTION_##id] = { name, argument, help },
#include "swapmargin/options.def"
#undef OPTION
};

static const struct command_row commands_table[COMMAND_COUNT] = {
#define FORMAT(id) (1u << SM_FORMAT_##id)
#define OPTION(id) (1u << OPTION_##id)
#define COMMAND(id, name, operands, least, most, formats, options, summary, details)               \
    [COMMAND_##id] = { name, operands, least, most, formats, options, summary, details },
#include "swapmargin/commands.def"
#undef COMMAND
#undef OPTION
#undef FORMAT
};

static const char *const formats_table[] = {
#define FORMAT(id, name) [SM_FORMAT_##id] = name,
#include "swapmargin/formats.def"
#undef FORMAT
};

enum { FORMAT_COUNT = sizeof formats_table / sizeof formats_table[0] };

const struct option_row *option_row(enum option_id id)
{
    return &options_table[id];
}

const struct command_row *command_row(enum command_id id)
{
    return &commands_table[id];
}

const char *format_name(enum sm_format format)
{
    return (unsigned)format < FORMAT_COUNT ? formats_table[format] : "";
}

bool command_has_option(enum command_id command, enum option_id option)
{
    return option == OPTION_HELP || option == OPTION_VERSION ||
           (command < COMMAND_COUNT && (commands_table[command].options >> option & 1u) != 0);
}

const char *options_output(const struct options *options)
{
    const char *file = options->value[OPTION_OUTPUT];
    return file && strcmp(file, "-") != 0 ? file : NULL;
}

/* ----------------------------------------------------------------- faults */

static const struct sm_place place = { .file = PROGRAM_NAME };

enum sm_status memory_fault(struct sm_faults *faults)
{
    return sm_fault_add(faults, SM_ERR_MEMORY, NULL, PROGRAM_NAME ": out of memory");
}

size_t options_word(struct sm_faults *faults, const char *what, const char *typed,
                    const char *const *words, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (strcmp(typed, words[i]) == 0) {
            return i;
        }
    }
    (void)options_unknown(faults, what, typed, words, count);
    return count;
}

enum sm_status options_unknown(struct sm_faults *faults, const char *what, const char *typed,
                               const char *const *words, size_t count)
{
    const char *near = suggest(typed, words, count);
    if (near) {
        return sm_fault_add(faults, SM_ERR_KEY, &place, "%s '%s'; did you mean '%s'?", what, typed,
                            near);
    }
    char list[256] = "";
    for (size_t i = 0; i < count; i++) {
        const size_t used = strlen(list);
        (void)snprintf(list + used, sizeof list - used, "%s%s", i > 0 ? ", " : "", words[i]);
    }
    return sm_fault_add(faults, SM_ERR_KEY, &place, "%s '%s'; expected one of: %s", what, typed,
                        list);
}

static void unknown_command(struct sm_faults *faults, const char *typed)
{
    const char *words[COMMAND_COUNT];
    for (size_t i = 0; i < COMMAND_COUNT; i++) {
        words[i] = commands_table[i].name;
    }
    (void)options_unknown(faults, "unknown command", typed, words, COMMAND_COUNT);
}

/* A file was meant: no option has a point in its name, or one dash and more than one letter. */
static bool is_dashed_file(const char *word)
{
    return strchr(word, '.') != NULL || (word[1] != '-' && strlen(word) > 2);
}

/* Held against the options of the command; where there is none, against all. */
static void unknown_option(struct sm_faults *faults, enum command_id command, const char *typed)
{
    char spelled[OPTION_COUNT][32];
    const char *words[OPTION_COUNT];
    size_t count = 0;
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        if (command == COMMAND_NONE || command_has_option(command, (enum option_id)i)) {
            (void)snprintf(spelled[count], sizeof spelled[count], "--%s", options_table[i].name);
            words[count] = spelled[count];
            count++;
        }
    }
    char name[64];
    (void)snprintf(name, sizeof name, "%.*s", (int)strcspn(typed, "="), typed);
    if (is_dashed_file(typed) && !suggest(name, words, count)) {
        (void)sm_fault_add(faults, SM_ERR_KEY, &place,
                           "unknown option '%s'; a file name that begins with a dash is written "
                           "'./%s', or stands after '--'",
                           typed, typed);
        return;
    }
    (void)options_unknown(faults, "unknown option", name, words, count);
}

/* ------------------------------------------------------------------ words */

/* Values that getopt_long() returns for our options: above every character, so that none is taken
 * for a short option. */
enum { OPTION_VALUE = 0x100, OPERAND_VALUE = 1 };

/* The id of "--name" or "--name=value", spelled in full; OPTION_COUNT for anything else. */
static enum option_id option_find(const char *word)
{
    if (strncmp(word, "--", 2) != 0) {
        return OPTION_COUNT;
    }
    const size_t length = strcspn(word + 2, "=");
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        if (strlen(options_table[i].name) == length &&
            strncmp(options_table[i].name, word + 2, length) == 0) {
            return (enum option_id)i;
        }
    }
    return OPTION_COUNT;
}

/* The words of a line, and those that look like options and are none. */
struct words {
    struct options *options;
    const char **unknown; /* room for every word of the line */
    size_t n_unknown;
};

static void operand_add(struct options *options, const char *word, struct sm_faults *faults)
{
    if (options->command != COMMAND_NONE) {
        options->operands[options->n_operands++] = word;
        return;
    }
    for (size_t i = 0; i < COMMAND_COUNT; i++) {
        if (strcmp(word, commands_table[i].name) == 0) {
            options->command = (enum command_id)i;
            return;
        }
    }
    /* the words after it are not judged: what they should be is not known */
    if (options->n_operands == 0) {
        unknown_command(faults, word);
    }
    options->operands[options->n_operands++] = word;
}

static void option_add(struct options *options, enum option_id id, const char *value,
                       struct sm_faults *faults)
{
    const char *name = options_table[id].name;
    if (options->given[id]) {
        (void)sm_fault_add(faults, SM_ERR_VALUE, &place, "option '--%s' is given twice", name);
    } else if (value && value[0] == '\0') {
        (void)sm_fault_add(faults, SM_ERR_VALUE, &place,
                           "option '--%s' has an empty value; "
                           "expected %s",
                           name, options_table[id].argument);
    }
    options->given[id] = true;
    options->value[id] = value;
}

/* What getopt_long() could not use. */
static void option_refused(struct words *words, const char *word, int kind,
                           struct sm_faults *faults)
{
    const enum option_id id = option_find(word);
    if (id == OPTION_COUNT) {
        words->unknown[words->n_unknown++] = word;
    } else if (kind == ':') {
        (void)sm_fault_add(faults, SM_ERR_VALUE, &place, "option '--%s' needs a value: %s",
                           options_table[id].name, options_table[id].argument);
    } else {
        (void)sm_fault_add(faults, SM_ERR_VALUE, &place, "option '--%s' takes no value",
                           options_table[id].name);
    }
}

/* Goes through the words in their order ("-": operands are returned, whatever the environment asks;
 * ":": a missing value is told apart). */
static void words_read(int argc, char **argv, struct words *words, struct sm_faults *faults)
{
    struct option longs[OPTION_COUNT + 1] = { { NULL, 0, NULL, 0 } };
    for (int i = 0; i < OPTION_COUNT; i++) {
        const bool has = options_table[i].argument[0] != '\0';
        longs[i] = (struct option){ options_table[i].name, has ? required_argument : no_argument,
                                    NULL, OPTION_VALUE + i };
    }
    optind = 0; /* begins afresh, also in a second call */
    opterr = 0;
    int kind = 0, refused = 0;
    for (int at = 1; (kind = getopt_long(argc, argv, "-:", longs, NULL)) != -1; at = optind) {
        const char *word = argv[at];
        if (kind == OPERAND_VALUE) {
            operand_add(words->options, word, faults);
        } else if (kind >= OPTION_VALUE && option_find(word) != OPTION_COUNT) {
            option_add(words->options, (enum option_id)(kind - OPTION_VALUE), optarg, faults);
        } else if (at != refused) { /* letters after one dash are returned one by one */
            option_refused(words, word, kind, faults);
            refused = at;
        }
    }
    for (int i = optind; i < argc; i++) {
        operand_add(words->options, argv[i], faults);
    }
}

/* ----------------------------------------------------------------- checks */

static void formats_check(struct options *options, struct sm_faults *faults)
{
    const struct command_row *row = &commands_table[options->command];
    const char *asked = options->value[OPTION_FORMAT];
    const char *words[FORMAT_COUNT];
    size_t count = 0;
    bool found = false;
    for (size_t i = 0; i < FORMAT_COUNT; i++) {
        if ((row->formats >> i & 1u) == 0) {
            continue;
        }
        if (!found && (!asked || strcmp(asked, formats_table[i]) == 0)) {
            options->format = (enum sm_format)i;
            found = true;
        }
        words[count++] = formats_table[i];
    }
    if (!found && asked && asked[0] != '\0') {
        char what[64];
        (void)snprintf(what, sizeof what, "'%s' has no format", row->name);
        (void)options_unknown(faults, what, asked, words, count);
    }
}

static void operands_check(const struct options *options, struct sm_faults *faults)
{
    const struct command_row *row = &commands_table[options->command];
    if (options->n_operands < row->least) {
        (void)sm_fault_add(faults, SM_ERR_VALUE, &place, "'%s' needs %s; %zu given", row->name,
                           row->operands, options->n_operands);
    }
    for (size_t i = row->most; i < options->n_operands; i++) {
        (void)sm_fault_add(faults, SM_ERR_VALUE, &place, "'%s' takes %s; '%s' is one too many",
                           row->name, row->operands, options->operands[i]);
    }
}

/* operands: whether they are to be counted. */
static void command_check(struct options *options, bool operands, struct sm_faults *faults)
{
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        if (options->given[i] && !command_has_option(options->command, (enum option_id)i)) {
            (void)sm_fault_add(faults, SM_ERR_KEY, &place, "'%s' has no option '--%s'",
                               commands_table[options->command].name, options_table[i].name);
        }
    }
    formats_check(options, faults);
    if (operands && !options->given[OPTION_HELP] && !options->given[OPTION_VERSION]) {
        operands_check(options, faults);
    }
}

void options_init(struct options *options)
{
    memset(options, 0, sizeof *options);
    options->command = COMMAND_NONE;
}

void options_release(struct options *options)
{
    free(options->operands);
    options_init(options);
}

enum sm_status options_parse(int argc, char **argv, struct options *options,
                             struct sm_faults *faults)
{
    const size_t before = faults->count;
    struct words words = { options, calloc((size_t)argc + 1, sizeof *words.unknown), 0 };
    options->operands = calloc((size_t)argc + 1, sizeof *options->operands);
    if (!words.unknown || !options->operands) {
        free(words.unknown);
        return sm_fault_add(faults, SM_ERR_MEMORY, &place, "out of memory");
    }
    words_read(argc, argv, &words, faults);
    for (size_t i = 0; i < words.n_unknown; i++) {
        unknown_option(faults, options->command, words.unknown[i]);
    }
    if (options->command != COMMAND_NONE) {
        /* what is beside an unknown word may be its value, or stand for a file that it was */
        command_check(options, words.n_unknown == 0, faults);
    }
    free(words.unknown);
    if (faults->out_of_memory) {
        return SM_ERR_MEMORY;
    }
    return faults->count > before ? faults->list[before].status : SM_OK;
}
