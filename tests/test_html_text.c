/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected bytes: the HTML and XML rules for character references, and the Unicode bidirectional
 * algorithm (Unicode Standard Annex 9) for what is isolated. */
#include "report/html_text.h"

#include <criterion/criterion.h>

#define FSI "\u2068"
#define PDI "\u2069"
#define LOST "\uFFFD"

typedef void spelling(struct sm_text *out, const char *text);

static void is(spelling *spell, const char *text, const char *expected)
{
    struct sm_text out;
    sm_text_init(&out);
    spell(&out, text);
    cr_expect_str_eq(out.data ? out.data : "", expected);
    sm_text_release(&out);
}

Test(html_text, markup_and_quotes_are_escaped)
{
    is(html_text, "<script>alert('a & b')</script>",
       "&#60;script&#62;alert(&#39;a &#38; b&#39;)&#60;/script&#62;");
    is(html_text, "\" onload=\"x", "&#34; onload=&#34;x");
    is(html_text, "&lt;", "&#38;lt;");
    is(html_text, "", "");
}

Test(html_text, units_and_accents_stay)
{
    is(html_text, "150 \u00b0C, 5 \u00b5m, caf\u00e9, \u6f22",
       "150 \u00b0C, 5 \u00b5m, caf\u00e9, \u6f22");
}

Test(html_text, broken_bytes_and_controls_become_replacement_characters)
{
    is(html_text, "a\xFFz", "a" LOST "z");
    is(html_text, "a\x1B[31mz", "a" LOST "[31mz");
    is(html_text, "a\xC2\x85z", "a" LOST "z");
}

Test(html_text, what_steers_the_writing_direction_is_taken_away)
{
    is(html_text, "a\u202Ez", "a" LOST "z"); /* right-to-left override */
    is(html_text, "a\u2067z", "a" LOST "z"); /* right-to-left isolate */
    is(html_text, "a\u2069z", "a" LOST "z"); /* pop, which would end ours */
    is(html_text, "a\u200Fz", "a" LOST "z"); /* right-to-left mark */
    is(html_text, "a\u061Cz", "a" LOST "z"); /* Arabic letter mark */
    is(html_text, "a\u2028z", "a" LOST "z"); /* line separator */
    is(html_text, "a\uFEFFz", "a" LOST "z"); /* byte order mark */
}

Test(html_text, a_run_from_the_right_is_isolated_without_the_numbers_after_it)
{
    is(html_text, "\u05D0\u05D1 100 K", FSI "\u05D0\u05D1" PDI " 100 K");
    is(html_text, "for \u05D0 12 \u05D1, 9 K", "for " FSI "\u05D0 12 \u05D1" PDI ", 9 K");
    is(html_text, "\u0645 KT \u0645", FSI "\u0645" PDI " KT " FSI "\u0645" PDI);
    is(html_text, "\u05D0", FSI "\u05D0" PDI);
}

Test(html_text, an_override_inside_a_run_ends_the_run)
{
    is(html_text, "\u05D0\u202E\u05D1", FSI "\u05D0" PDI LOST FSI "\u05D1" PDI);
}

Test(html_text, a_newline_is_a_blank_or_a_new_line)
{
    is(html_text, "a\nb", "a b");
    is(html_lines, "a\n<b", "a<br/>&#60;b");
}

Test(html_text, a_css_string_holds_nothing_but_escapes)
{
    is(html_css_string, "a\"}<\u202E", "\"\\000061\\000022\\00007d\\00003c\\00fffd\"");
}

Test(html_text, what_stands_between_backticks_is_code)
{
    struct sm_text out;
    sm_text_init(&out);
    html_lines(&out, "run `a <b` now\none ` alone");
    cr_expect_str_eq(out.data, "run <code>a &#60;b</code> now<br/>one ` alone");
    sm_text_release(&out);
}
