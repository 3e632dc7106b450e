/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected: the elements of SVG 1.1; places on the clip's edge by similar triangles, in each
 * test. */
#include "report/canvas.h"

#include <criterion/criterion.h>

#include <string.h>

struct picture {
    struct sm_text out;
    struct canvas canvas;
};

static void picture_open(struct picture *p)
{
    sm_text_init(&p->out);
    p->canvas =
        canvas_begin(&p->out, 100.0, 50.0, &(struct canvas_words){ "p-1", "a <b>", "\"c\"" });
    p->canvas.clip = (struct canvas_box){ 0.0, 0.0, 100.0, 50.0 };
}

static void has(const struct picture *p, const char *piece)
{
    cr_expect(strstr(p->out.data, piece) != NULL, "%s is not in\n%s", piece, p->out.data);
}

Test(canvas, its_name_and_what_it_shows_are_told_with_its_own_prefix)
{
    struct picture p;
    picture_open(&p);
    canvas_end(&p.canvas);
    has(&p, "viewBox=\"0 0 100 50\" role=\"img\" aria-label=\"a &#60;b&#62;\"");
    has(&p, "aria-describedby=\"p-1-shows\"");
    has(&p, "<desc id=\"p-1-shows\">&#34;c&#34;</desc>");
    sm_text_release(&p.out);
}

Test(canvas, text_stays_text_and_is_escaped)
{
    struct picture p;
    picture_open(&p);
    canvas_text(&p.canvas, (struct canvas_point){ 1.0, 2.5 },
                (struct canvas_type){ "tick", CANVAS_END }, "<9 \u00b0C>");
    has(&p, "<text class=\"tick\" x=\"1.00\" y=\"2.50\" text-anchor=\"end\">&#60;9 "
            "\u00b0C&#62;</text>");
    sm_text_release(&p.out);
}

/* y falls from 0 to 100 while x goes from 0 to 100: at the lower edge, y 50, x is 50. */
Test(canvas, a_line_ends_at_the_edge_of_the_clip)
{
    struct picture p;
    picture_open(&p);
    const struct canvas_point line[] = { { 0.0, 0.0 }, { 100.0, 100.0 } };
    canvas_polyline(&p.canvas, line, 2, (struct canvas_pen){ "pen0", CANVAS_SOLID });
    has(&p, "<path class=\"pen0\" d=\"M0.00 0.00L50.00 50.00\"/>");
    sm_text_release(&p.out);
}

/* Out over the upper edge (y 0 at x 20) and in again (y 0 at x 40). */
Test(canvas, a_line_that_leaves_and_comes_back_is_two_strokes)
{
    struct picture p;
    picture_open(&p);
    const struct canvas_point line[] = { { 10.0, 10.0 }, { 30.0, -10.0 }, { 50.0, 10.0 } };
    canvas_polyline(&p.canvas, line, 3, (struct canvas_pen){ "pen1", CANVAS_DASHED });
    has(&p, "stroke-dasharray=\"6 3\" d=\"M10.00 10.00L20.00 0.00M40.00 0.00L50.00 10.00\"/>");
    sm_text_release(&p.out);
}

Test(canvas, what_lies_wholly_outside_leaves_nothing)
{
    struct picture p;
    picture_open(&p);
    const size_t before = p.out.length;
    const struct canvas_point out[] = { { -10.0, 60.0 }, { 200.0, 60.0 }, { 200.0, -5.0 } };
    canvas_polyline(&p.canvas, out, 3, (struct canvas_pen){ "pen0", CANVAS_SOLID });
    canvas_polyline(&p.canvas, out, 1, (struct canvas_pen){ "pen0", CANVAS_SOLID });
    canvas_polyline(&p.canvas, out, 0, (struct canvas_pen){ "pen0", CANVAS_SOLID });
    cr_expect_eq(p.out.length, before);
    sm_text_release(&p.out);
}

Test(canvas, a_box_has_no_negative_size_and_tells_its_tip)
{
    struct picture p;
    picture_open(&p);
    canvas_rect(&p.canvas, &(struct canvas_box){ 30.0, 20.0, 10.0, 5.0 }, "heat", "9 < 10");
    has(&p,
        "x=\"10.00\" y=\"5.00\" width=\"20.00\" height=\"15.00\"><title>9 &#60; 10</title></rect>");
    canvas_spot(&p.canvas, (struct canvas_point){ -0.001, 4.0 }, 3.0, "mark", NULL);
    has(&p, "<circle class=\"mark\" cx=\"0.00\" cy=\"4.00\" r=\"3.00\"/>");
    sm_text_release(&p.out);
}

/* Widths at 12 px, by class: narrow 3.5, usual 6.8, capitals 8.7, wide 10.4; columns of Unicode
 * Standard Annex 11 beyond Latin. */
Test(canvas, a_text_is_as_wide_as_its_characters_together)
{
    static const struct {
        const char *text;
        double width;
    } rows[] = {
        { "", 0.0 },        { "a", 6.8 },       { "il.", 10.5 },   { "mMwW%@", 62.4 },
        { "AZ", 17.4 },     { "[/]", 10.5 },    { "09", 13.6 },    { "\u00b5", 6.8 },
        { "\u03a9", 10.4 }, { "\u3042", 20.8 }, { "\u0301", 0.0 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        cr_expect_float_eq(canvas_text_width(rows[i].text), rows[i].width, 1e-9, "%s",
                           rows[i].text);
}

/* Straight through the field, 100 by 50, from beyond each edge, and past it on each side. */
Test(canvas, only_what_lies_within_the_clip_is_drawn)
{
    static const struct {
        struct canvas_point from, to;
        const char *path; /* NULL: nothing */
    } rows[] = {
        { { -50.0, 20.0 }, { 150.0, 20.0 }, "d=\"M0.00 20.00L100.00 20.00\"" },
        { { 150.0, 20.0 }, { -50.0, 20.0 }, "d=\"M100.00 20.00L0.00 20.00\"" },
        { { 30.0, -50.0 }, { 30.0, 100.0 }, "d=\"M30.00 0.00L30.00 50.00\"" },
        { { 30.0, 100.0 }, { 30.0, -50.0 }, "d=\"M30.00 50.00L30.00 0.00\"" },
        { { -20.0, 10.0 }, { -10.0, 40.0 }, NULL },
        { { -10.0, 10.0 }, { -10.0, 40.0 }, NULL },
        { { 110.0, 10.0 }, { 110.0, 40.0 }, NULL },
        { { 10.0, -10.0 }, { 40.0, -10.0 }, NULL },
        { { 10.0, 60.0 }, { 40.0, 60.0 }, NULL },
        { { 10.0, 60.0 }, { 40.0, 70.0 }, NULL },
        { { -30.0, 20.0 }, { 20.0, -30.0 }, NULL }, /* past the corner */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct picture p;
        picture_open(&p);
        const struct canvas_point line[] = { rows[i].from, rows[i].to };
        canvas_polyline(&p.canvas, line, 2, (struct canvas_pen){ "pen0", CANVAS_SOLID });
        const char *path = strstr(p.out.data, "<path");
        cr_expect_eq(path != NULL, rows[i].path != NULL, "%zu", i);
        if (rows[i].path)
            has(&p, rows[i].path);
        sm_text_release(&p.out);
    }
}
