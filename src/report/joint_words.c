/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/phrase.h"
#include "report/report_joint.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

enum mounting_when { MOUNTING_ALWAYS, MOUNTING_TOLD, MOUNTING_UNTOLD };

static const struct mounting_step {
    enum mounting_when when;
    const char *text;
} steps[] = {
#define MOUNTING(id, when, text) { MOUNTING_##when, text },
#include "swapmargin/mounting.def"
#undef MOUNTING
};

size_t joint_step_count(void)
{
    return COUNT(steps);
}

const char *joint_step(const struct joint_page *page, size_t index)
{
    const enum mounting_when not_wanted =
        page->study->compound_mass.given ? MOUNTING_UNTOLD : MOUNTING_TOLD;
    return steps[index].when == not_wanted ? NULL : steps[index].text;
}

bool joint_keeps(const struct joint_page *page)
{
    const struct sm_result *result = &page->study->result;
    return !result->runaway && result->margin >= page->c->drive->test.required_margin;
}

const char *joint_why_no_coverage(const struct joint_page *page)
{
    if (!page->study->max_thickness.given || page->study->min_coverage.given)
        return NULL;
    return joint_keeps(page) ? "any coverage keeps the margin"
                             : "even a full print leaves the margin short";
}

const char *joint_why_no_conductivity(const struct joint_page *page)
{
    if (!page->study->max_thickness.given || page->study->min_conductivity.given)
        return NULL;
    return "any compound keeps the margin";
}

void joint_why_no_bounds(struct sm_text *out, const struct joint_page *page)
{
    const struct sm_result *result = &page->study->result;
    const struct sm_limit *limit = &result->limits[SM_LIMIT_JOINT_THICKNESS];
    if (!result->joint.layer_used) {
        sm_text_add(out, "R_th(c-s) is used as printed, without a layer of its own: the layer "
                         "applied does not enter");
    } else if (limit->state == SM_LIMIT_KEPT) {
        sm_text_add(out, "even a layer of ");
        phrase_quantity(out, limit->high, "mm", true);
        sm_text_add(out, " keeps the margin");
    } else if (limit->state == SM_LIMIT_SHORT) {
        sm_text_add(out, "even a layer of ");
        phrase_quantity(out, limit->low, "um", true);
        sm_text_add(out, " leaves the margin short: the joint is not to blame");
    } else {
        const char *const whys[] = { joint_why_no_coverage(page), joint_why_no_conductivity(page) };
        for (size_t k = 0; k < COUNT(whys); k++)
            if (whys[k])
                sm_text_add(out, "%s%s", out->length > 0 ? "; " : "", whys[k]);
    }
}

const char *joint_why_no_amount(const struct joint_page *page)
{
    if (!page->study->base_area.given)
        return "the module file does not give base_width and base_length";
    if (!page->study->compound_volume.given)
        return "no layer thickness is known";
    return page->study->compound_mass.given
               ? NULL
               : "the compound's density is not known: it is that of a row of compounds.ini";
}

const char *joint_why_no_pressing(const struct joint_page *page)
{
    if (!page->study->pressure.given)
        return "no pressure is known: it takes [joint] pressure, or screws, screw_size, a torque "
               "and "
               "the base size";
    return page->study->expected_thickness.given
               ? NULL
               : "the pressure lies outside the range in which the law was measured";
}

const char *joint_why_no_bare(const struct joint_page *page)
{
    if (!page->c->drive->joint.surface.given)
        return "[joint] surface is not given: a row of surfaces.ini";
    if (!page->study->pressure.given)
        return "no pressure is known";
    return page->study->bare_rth.given ? NULL
                                       : "the module file does not give base_width and base_length";
}
