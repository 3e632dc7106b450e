/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_joint.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const char *const steps[] = {
#define MOUNTING(id, text) text,
#include "swapmargin/mounting.def"
#undef MOUNTING
};

size_t joint_step_count(void)
{
    return COUNT(steps);
}

const char *joint_step(size_t index)
{
    return steps[index];
}

bool joint_keeps(const struct joint_page *page)
{
    const struct sm_result *result = &page->study->result;
    return !result->runaway && result->margin >= page->c->drive->test.required_margin;
}

const char *joint_why_no_bounds(const struct joint_page *page)
{
    const struct sm_result *result = &page->study->result;
    if (!result->joint.layer_used)
        return "R_th(c-s) is used as printed, without a layer of its own: the layer applied does "
               "not enter";
    switch (result->limits[SM_LIMIT_JOINT_THICKNESS].state) {
    case SM_LIMIT_KEPT:
        return "even a layer of 5 mm keeps the margin";
    case SM_LIMIT_SHORT:
        return "even a layer of 1 um leaves the margin short: the joint is not to blame";
    case SM_LIMIT_FOUND:
    case SM_LIMIT_NOT_COMPUTED:
    case SM_LIMIT_NO_LAYER:
    case SM_LIMIT_NO_RANGE:
        break;
    }
    return NULL;
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
