/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected outcomes: the command line rules in options.h. */
#include <criterion/criterion.h>

#include "cmd/commands.h"
#include "cmd/help.h"
#include "cmd/options.h"
#include "cmd/suggest.h"

#include <stdio.h>
#include <string.h>

enum { WORDS_MOST = 16 };

struct parsed {
    char line[256];
    char *argv[WORDS_MOST];
    struct options options;
    struct sm_faults faults;
    enum sm_status status;
};

/* Parses the words of a line parted by blanks. */
static void parse(struct parsed *p, const char *line)
{
    int argc = 0;
    memset(p, 0, sizeof *p);
    (void)snprintf(p->line, sizeof p->line, "swapmargin %s", line);
    for (char *word = p->line; *word != '\0' && argc < WORDS_MOST - 1;) {
        const size_t length = strcspn(word, " ");
        p->argv[argc++] = word;
        word += length;
        if (*word == ' ') {
            *word++ = '\0';
        }
    }
    options_init(&p->options);
    sm_faults_init(&p->faults);
    p->status = options_parse(argc, p->argv, &p->options, &p->faults);
}

static void parsed_release(struct parsed *p)
{
    options_release(&p->options);
    sm_faults_release(&p->faults);
}

static void refused(const char *line, const char *message)
{
    struct parsed p;
    parse(&p, line);
    cr_expect_neq(p.status, SM_OK, "'%s' was taken", line);
    bool found = false;
    for (size_t i = 0; i < p.faults.count; i++) {
        found = found || strstr(p.faults.list[i].message, message) != NULL;
    }
    cr_expect(found, "'%s' did not say '%s' but '%s'", line, message,
              p.faults.count > 0 ? p.faults.list[0].message : "nothing");
    parsed_release(&p);
}

Test(options, options_may_stand_anywhere_and_carry_their_value_either_way)
{
    static const char *const lines[] = {
        "check a.ini b.ini --format json --strict",
        "--format=json check --strict a.ini b.ini",
        "check --strict a.ini --format json b.ini",
    };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct parsed p;
        parse(&p, lines[i]);
        cr_assert_eq(p.status, SM_OK, "%s", lines[i]);
        cr_expect_eq(p.options.command, COMMAND_CHECK);
        cr_expect_eq(p.options.format, SM_FORMAT_JSON);
        cr_expect(p.options.given[OPTION_STRICT]);
        cr_assert_eq(p.options.n_operands, 2);
        cr_expect_str_eq(p.options.operands[0], "a.ini");
        cr_expect_str_eq(p.options.operands[1], "b.ini");
        parsed_release(&p);
    }
}

Test(options, text_is_the_form_unless_asked_otherwise)
{
    struct parsed p;
    parse(&p, "check a b");
    cr_expect_eq(p.status, SM_OK);
    cr_expect_eq(p.options.format, SM_FORMAT_TEXT);
    cr_expect_not(p.options.given[OPTION_FORMAT]);
    parsed_release(&p);
}

Test(options, two_dashes_end_the_options)
{
    struct parsed p;
    parse(&p, "check -- --strict b");
    cr_expect_eq(p.status, SM_OK);
    cr_assert_eq(p.options.n_operands, 2);
    cr_expect_str_eq(p.options.operands[0], "--strict");
    cr_expect_not(p.options.given[OPTION_STRICT]);
    parsed_release(&p);
}

Test(options, a_value_may_look_like_an_option)
{
    struct parsed p;
    parse(&p, "check a b --output --strict");
    cr_expect_eq(p.status, SM_OK);
    cr_expect_str_eq(p.options.value[OPTION_OUTPUT], "--strict");
    cr_expect_not(p.options.given[OPTION_STRICT]);
    parsed_release(&p);
}

Test(options, abbreviations_are_refused_with_the_whole_name)
{
    refused("check a b --form json", "unknown option '--form'; did you mean '--format'?");
    refused("check a b --stric", "did you mean '--strict'?");
    refused("check a b --out=x", "did you mean '--output'?");
}

Test(options, unknown_words_are_refused_with_what_was_meant)
{
    refused("chek a b", "unknown command 'chek'; did you mean 'check'?");
    refused("zzzzzz a b", "unknown command 'zzzzzz'; expected one of: check");
    refused("check a b --fromat json", "unknown option '--fromat'; did you mean '--format'?");
    refused("check a b -f", "unknown option '-f'; expected one of: --help");
    refused("check a b -strct", "unknown option '-strct'; did you mean '--strict'?");
    refused("check a b --format jsn", "'check' has no format 'jsn'; did you mean 'json'?");
}

/* Returned: the fault of a line that has one only. */
static const char *only_fault(struct parsed *p, const char *line)
{
    parse(p, line);
    cr_assert_eq(p->faults.count, 1, "%s: %zu faults", line, p->faults.count);
    return p->faults.list[0].message;
}

Test(options, a_file_name_that_begins_with_a_dash_is_told_once_and_how_to_write_it)
{
    static const char *const words[] = { "-dash.ini", "--dash.ini", "-d.ini=x" };
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        struct parsed p;
        char line[64], expected[160];
        (void)snprintf(line, sizeof line, "check d.ini %s", words[i]);
        (void)snprintf(expected, sizeof expected,
                       "unknown option '%s'; a file name that begins with a dash is written "
                       "'./%s', or stands after '--'",
                       words[i], words[i]);
        cr_expect_str_eq(only_fault(&p, line), expected);
        parsed_release(&p);
    }
}

Test(options, an_unknown_option_is_held_against_those_of_the_command_wherever_it_stands)
{
    static const char *const lines[] = { "template drive --ovr", "--ovr template drive" };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct parsed p;
        cr_expect_str_eq(only_fault(&p, lines[i]), "unknown option '--ovr'; expected one of: "
                                                   "--help, --version, --format, --output");
        parsed_release(&p);
    }
    refused("sweep a b --ovr load", "did you mean '--over'?");
    refused("--verson", "did you mean '--version'?");
}

Test(options, operands_are_not_counted_beside_a_word_that_nobody_knows)
{
    struct parsed p;
    (void)only_fault(&p, "check a b --frmat json"); /* json is its value, no third file */
    parsed_release(&p);
    (void)only_fault(&p, "check a -xyz");
    parsed_release(&p);
}

Test(options, what_a_command_does_not_have_is_refused)
{
    refused("template drive --strict", "'template' has no option '--strict'");
    refused("template drive --joint x", "'template' has no option '--joint'");
    refused("template drive --format json", "'template' has no format 'json'");
}

Test(options, operands_are_counted)
{
    refused("check a", "'check' needs DRIVE MODULE; 1 given");
    refused("check", "'check' needs DRIVE MODULE; 0 given");
    refused("check a b c", "'c' is one too many");
    refused("template", "'template' needs");
}

Test(options, values_are_needed_needless_or_empty)
{
    refused("check a b --output", "option '--output' needs a value: FILE");
    refused("check a b --strict=yes", "option '--strict' takes no value");
    refused("check a b --output=", "option '--output' has an empty value");
    refused("check a b --format text --format json", "option '--format' is given twice");
}

Test(options, every_fault_of_a_line_is_told)
{
    struct parsed p;
    parse(&p, "check a b --output= --strict=1 --frmat x");
    cr_expect_geq(p.faults.count, 3);
    for (size_t i = 0; i < p.faults.count; i++) {
        cr_expect_str_eq(p.faults.list[i].file, "swapmargin");
    }
    parsed_release(&p);
}

Test(options, help_and_version_ask_for_no_operands)
{
    static const char *const lines[] = { "--help", "check --help", "--version",
                                         "template --version" };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct parsed p;
        parse(&p, lines[i]);
        cr_expect_eq(p.status, SM_OK, "%s", lines[i]);
        parsed_release(&p);
    }
}

Test(options, a_line_without_a_command_is_no_fault_of_the_parser)
{
    struct parsed p;
    parse(&p, "");
    cr_expect_eq(p.status, SM_OK);
    cr_expect_eq(p.options.command, COMMAND_NONE);
    parsed_release(&p);
}

Test(options, every_command_has_a_format_and_help_that_names_its_options)
{
    for (int id = 0; id < COMMAND_COUNT; id++) {
        struct sm_text text;
        sm_text_init(&text);
        help_add(&text, (enum command_id)id);
        cr_assert_not_null(text.data);
        cr_expect_neq(command_row((enum command_id)id)->formats, 0);
        cr_expect_not_null(strstr(text.data, command_row((enum command_id)id)->operands));
        for (int option = 0; option < OPTION_COUNT; option++) {
            char name[40];
            (void)snprintf(name, sizeof name, "  --%s ", option_row((enum option_id)option)->name);
            cr_expect_eq(strstr(text.data, name) != NULL,
                         command_has_option((enum command_id)id, (enum option_id)option),
                         "%s in the help of command %d", name, id);
        }
        sm_text_release(&text);
    }
}

Test(options, a_suggestion_is_near_or_begins_alike)
{
    static const char *const words[] = { "check", "compare", "template" };
    cr_expect_str_eq(suggest("chekc", words, 3), "check");
    cr_expect_str_eq(suggest("temp", words, 3), "template");
    cr_expect_str_eq(suggest("compares", words, 3), "compare");
    cr_expect_null(suggest("sweep", words, 3));
    cr_expect_null(suggest("", words, 3));
    cr_expect_null(suggest("zz", words, 3));
    char longest[400];
    memset(longest, 'c', sizeof longest - 1);
    longest[sizeof longest - 1] = '\0';
    cr_expect_null(suggest(longest, words, 3));
}

Test(options, the_first_locale_variable_that_is_set_decides_the_spelling)
{
    cr_expect(locale_is_utf8(NULL, NULL, "en_CA.UTF-8"));
    cr_expect(locale_is_utf8("", "", "de_DE.utf8"));
    cr_expect(locale_is_utf8("C.UTF-8", "C", "C"));
    cr_expect_not(locale_is_utf8("C", "en_CA.UTF-8", "en_CA.UTF-8"));
    cr_expect_not(locale_is_utf8("", "POSIX", "en_CA.UTF-8"));
    cr_expect_not(locale_is_utf8(NULL, NULL, "de_DE.ISO-8859-1"));
    cr_expect_not(locale_is_utf8(NULL, NULL, "de_DE"));
    cr_expect_not(locale_is_utf8(NULL, NULL, NULL));
    cr_expect_not(locale_is_utf8("", "", ""));
}
