/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where labels of a picture stand.  Expected: the rules of html_plot_labels.h; a line of text is 13
 * px high. */
#include "report/html_plot_labels.h"

#include "base/text.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct canvas_box field = { 40.0, 10.0, 340.0, 210.0 };

struct picture {
    struct sm_text out;
    struct canvas canvas;
    struct plot_labels labels;
};

static void picture_open(struct picture *p)
{
    sm_text_init(&p->out);
    p->canvas = (struct canvas){ .out = &p->out, .clip = field };
    plot_labels_init(&p->labels, &field);
}

static size_t texts(const struct picture *p)
{
    size_t n = 0;
    for (const char *at = text_words(&p->out); (at = strstr(at, "<text ")) != NULL; at++)
        n++;
    return n;
}

/* The y of the n-th text. */
static double y_of(const struct picture *p, size_t n)
{
    const char *at = text_words(&p->out);
    for (size_t i = 0; i <= n; i++) {
        at = strstr(i ? at + 1 : at, " y=\"");
        cr_assert_not_null(at, "no text %zu", n);
    }
    return strtod(at + 4, NULL);
}

/* 30 ends at one height: 24 are kept, each a line below the one before, none under the field. */
Test(html_plot_labels, ends_at_one_height_are_parted_and_no_more_are_kept_than_there_is_room)
{
    struct picture p;
    picture_open(&p);
    for (int i = 0; i < 30; i++)
        plot_labels_end(&p.labels, 100.0, "curve", "pen0");
    plot_labels_draw_ends(&p.labels, &p.canvas);
    cr_assert_eq(texts(&p), PLOT_LABELS_ENDS);
    for (size_t i = 1; i < PLOT_LABELS_ENDS; i++)
        cr_expect_float_eq(y_of(&p, i) - y_of(&p, i - 1), 13.0, 0.01, "%zu", i);
    cr_expect_leq(y_of(&p, PLOT_LABELS_ENDS - 1), field.bottom + 4.0 + 0.01);
    sm_text_release(&p.out);
}

/* Three at 100 px: the first stays there, 4 px above its base line, the others go below it. */
Test(html_plot_labels, ends_that_would_touch_are_moved_down_by_a_line)
{
    struct picture p;
    picture_open(&p);
    for (int i = 0; i < 3; i++)
        plot_labels_end(&p.labels, 100.0, "curve", "pen0");
    plot_labels_draw_ends(&p.labels, &p.canvas);
    for (size_t i = 0; i < 3; i++)
        cr_expect_float_eq(y_of(&p, i), 104.0 + 13.0 * (double)i, 0.01, "%zu", i);
    sm_text_release(&p.out);
}

/* In whatever order they come, they stand in the order of their heights. */
Test(html_plot_labels, ends_stand_in_the_order_of_their_heights)
{
    struct picture p;
    picture_open(&p);
    plot_labels_end(&p.labels, 150.0, "low", "pen0");
    plot_labels_end(&p.labels, 50.0, "high", "pen1");
    plot_labels_draw_ends(&p.labels, &p.canvas);
    cr_expect(strstr(p.out.data, ">high<") < strstr(p.out.data, ">low<"), "%s", p.out.data);
    cr_expect_float_eq(y_of(&p, 0), 54.0, 0.01);
    cr_expect_float_eq(y_of(&p, 1), 154.0, 0.01);
    sm_text_release(&p.out);
}

/* A field full of spots leaves no side free: the label of a point is left out, that of a level,
 * which the picture cannot do without, is not. */
Test(html_plot_labels, where_there_is_no_room_a_point_has_no_label_and_a_level_has_one)
{
    struct picture p;
    picture_open(&p);
    plot_labels_beside(&p.labels, &p.canvas, (struct canvas_point){ 190.0, 110.0 }, "free");
    cr_expect_eq(texts(&p), 1);
    plot_labels_beside(&p.labels, &p.canvas, (struct canvas_point){ 190.0, 110.0 }, "");
    cr_expect_eq(texts(&p), 1);
    for (int i = 0; i < 100; i++) /* more than are remembered */
        plot_labels_avoid(&p.labels, (struct canvas_point){ 190.0, 110.0 }, 400.0);
    plot_labels_beside(&p.labels, &p.canvas, (struct canvas_point){ 190.0, 110.0 }, "none");
    cr_expect_eq(texts(&p), 1);
    plot_labels_along(&p.labels, &p.canvas, 110.0, "asked", "level");
    cr_expect_eq(texts(&p), 2);
    cr_expect_not_null(strstr(p.out.data, ">level<"));
    sm_text_release(&p.out);
}

/* Lines that leave the picture on any side do no harm. */
Test(html_plot_labels, a_line_beyond_the_picture_is_kept_within_it)
{
    struct picture p;
    picture_open(&p);
    plot_labels_avoid_line(&p.labels, (struct canvas_point){ -500.0, -500.0 },
                           (struct canvas_point){ 900.0, 900.0 });
    cr_expect(p.labels.curve[0][0]);
    cr_expect(p.labels.curve[PLOT_LABELS_DOWN - 1][PLOT_LABELS_ACROSS - 1]);
    sm_text_release(&p.out);
}
