/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "device/curve.h"

#include "support/near.h"

#include <criterion/criterion.h>
#include <gsl/gsl_spline.h>

static const double x[] = { 0.0, 10.0, 25.0, 50.0, 100.0, 200.0 };
static const double y[] = { 0.6, 1.0, 1.22, 1.5, 2.0, 2.9 };
enum { N = 6 };

/* Expected: GSL's own Steffen spline, evaluated by GSL.  1e-13: rounding of two forms of one cubic.
 */
Test(curve, equals_the_library_s_steffen_spline_between_the_points)
{
    struct arena arena;
    arena_init(&arena);
    const struct curve curve = curve_build(&arena, x, y, N, false);
    gsl_spline *spline = gsl_spline_alloc(gsl_interp_steffen, N);
    gsl_spline_init(spline, x, y, N);
    for (int k = 0; k <= 2000; k++) {
        const double at = 0.1 * k;
        NEAR(curve_at(&curve, at), gsl_spline_eval(spline, at, NULL), 1e-13);
    }
    gsl_spline_free(spline);
    arena_release(&arena);
}

/* Steffen's slope at an inner point from the secants s and widths h on both sides, written from his
 * paper's formula (value from memory); at the ends the secant itself. */
static double steffen_slope(const double *px, const double *py, size_t i, size_t n)
{
    if (i == 0 || i == n - 1) {
        const size_t k = i == 0 ? 0 : n - 2;
        return (py[k + 1] - py[k]) / (px[k + 1] - px[k]);
    }
    const double h0 = px[i] - px[i - 1], h1 = px[i + 1] - px[i];
    const double s0 = (py[i] - py[i - 1]) / h0, s1 = (py[i + 1] - py[i]) / h1;
    const double p = (s0 * h1 + s1 * h0) / (h0 + h1);
    return (copysign(1.0, s0) + copysign(1.0, s1)) * fmin(fmin(fabs(s0), fabs(s1)), 0.5 * fabs(p));
}

Test(curve, slopes_at_the_points_are_steffen_s)
{
    struct arena arena;
    arena_init(&arena);
    const double wx[] = { 1.0, 2.0, 4.0, 5.0, 9.0 }, wy[] = { 0.0, 3.0, 3.5, 1.0, 0.9 };
    const struct curve rising = curve_build(&arena, x, y, N, false);
    const struct curve turning = curve_build(&arena, wx, wy, 5, false);
    for (size_t i = 0; i < N; i++)
        NEAR(rising.piece[i + 1].c[1], steffen_slope(x, y, i, N), 1e-14);
    for (size_t i = 0; i < 5; i++)
        NEAR(turning.piece[i + 1].c[1], steffen_slope(wx, wy, i, 5), 1e-13);
    arena_release(&arena);
}

/* Expected: the straight lines of the first and last secant, by hand. */
Test(curve, goes_on_as_the_end_secants_beyond_the_points)
{
    struct arena arena;
    arena_init(&arena);
    const struct curve curve = curve_build(&arena, x + 1, y + 1, N - 1, false);
    NEAR(curve_at(&curve, 300.0), 2.9 + 0.009 * 100.0, 1e-13);
    NEAR(curve_at(&curve, 0.0), 1.0 - 10.0 * (0.22 / 15.0), 1e-13);
    arena_release(&arena);
}

Test(curve, of_two_points_is_their_straight_line_everywhere)
{
    struct arena arena;
    arena_init(&arena);
    const double px[] = { 50.0, 100.0 }, py[] = { 1.0, 4.0 };
    const struct curve curve = curve_build(&arena, px, py, 2, false);
    for (int i = 0; i <= 30; i++)
        NEAR(curve_at(&curve, 10.0 * i), 1.0 + 3.0 * (10.0 * i - 50.0) / 50.0, 1e-12);
    arena_release(&arena);
}

Test(curve, from_origin_adds_the_origin_once_and_never_overshoots_the_points)
{
    struct arena arena;
    arena_init(&arena);
    const double ex[] = { 20.0, 50.0, 100.0 }, ey[] = { 1.0e-3, 1.1e-3, 9.0e-3 };
    const struct curve curve = curve_build(&arena, ex, ey, 3, true);
    cr_assert_eq(curve.n, 4);
    NEAR(curve_at(&curve, 0.0), 0.0, 0.0);
    double last = 0.0;
    for (int i = 0; i <= 1000; i++) { /* monotone points give a monotone curve: Steffen's theorem */
        const double e = curve_at(&curve, 0.1 * i);
        cr_assert(e >= last - 1e-18, "falls at %g A", 0.1 * i);
        last = e;
    }
    const struct curve again = curve_build(&arena, x, y, N, true);
    cr_assert_eq(again.n, N, "a table that starts at 0 A keeps its own first point");
    arena_release(&arena);
}
