/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "swapmargin/compare.h"

/* What a kelvin above the required margin costs; nothing where there is none above it. */
static void price_it(const struct sm_case *c, const struct sm_result *result,
                     struct sm_candidate *candidate)
{
    candidate->price = c->module->price;
    if (!candidate->price.given)
        return;
    candidate->price_set = sm_given(candidate->price.value * result->module_count);
    const double above = result->margin - c->drive->test.required_margin;
    if (!result->runaway && above > 0.0)
        candidate->price_per_kelvin = sm_given(candidate->price_set.value / above);
}

void sm_candidate_of(const struct sm_case *c, const struct sm_result *result,
                     struct sm_candidate *candidate)
{
    const struct sm_point *worst = &result->points[result->worst_point];
    *candidate = (struct sm_candidate){ .standing = (enum sm_standing)result->verdict,
                                        .n_points = result->n_points,
                                        .worst_hz = worst->output_hz,
                                        .worst_chip = worst->worst,
                                        .lead_time = c->module->lead_time,
                                        .conditions = result->conditions.count };
    for (size_t i = 0; i < result->n_points && i < SM_CANDIDATE_POINTS; i++) {
        const struct sm_point *point = &result->points[i];
        candidate->points[i].output_hz = point->output_hz;
        if (!point->runaway)
            candidate->points[i].margin = sm_given(point->margin);
    }
    if (!result->runaway) {
        candidate->margin = sm_given(result->margin);
        candidate->losses = sm_given(worst->module_heat * result->module_count);
    }
    price_it(c, result, candidate);
}

void sm_candidate_unreadable(struct sm_candidate *candidate)
{
    *candidate = (struct sm_candidate){ .standing = SM_STANDING_UNREADABLE };
}

bool sm_standing_usable(enum sm_standing standing, bool strict)
{
    return standing == SM_STANDING_APPROVE || (standing == SM_STANDING_CONDITIONAL && !strict);
}

int sm_optional_order(struct sm_optional a, struct sm_optional b, double sign)
{
    if (a.given != b.given)
        return a.given ? -1 : 1;
    const double difference = a.given ? sign * (a.value - b.value) : 0.0;
    return difference < 0.0 ? -1 : difference > 0.0 ? 1 : 0;
}

int sm_candidate_order(const struct sm_candidate *a, const struct sm_candidate *b)
{
    if (a->standing != b->standing)
        return a->standing < b->standing ? -1 : 1;
    const int margin = sm_optional_order(a->margin, b->margin, -1.0);
    return margin != 0 ? margin : sm_optional_order(a->price, b->price, 1.0);
}

static size_t newly_covered(const bool *covers, size_t n_drives, const bool *covered)
{
    size_t count = 0;
    for (size_t d = 0; d < n_drives; d++)
        count += covers[d] && !covered[d] ? 1 : 0;
    return count;
}

size_t sm_stocking_list(const bool *covers, size_t n_modules, size_t n_drives, bool *scratch,
                        size_t *chosen, size_t *gain)
{
    size_t count = 0;
    for (size_t d = 0; d < n_drives; d++)
        scratch[d] = false;
    while (count < n_modules) {
        size_t best = 0, most = 0;
        for (size_t m = 0; m < n_modules; m++) {
            const size_t n = newly_covered(&covers[m * n_drives], n_drives, scratch);
            if (n > most) {
                most = n;
                best = m;
            }
        }
        if (most == 0)
            break;
        for (size_t d = 0; d < n_drives; d++)
            scratch[d] = scratch[d] || covers[best * n_drives + d];
        chosen[count] = best;
        gain[count++] = most;
    }
    return count;
}
