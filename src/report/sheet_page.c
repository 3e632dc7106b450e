/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The approval sheet in the order of a document: what was decided and why, what a person must still
 * do, what carries the decision, and a place to sign. */
#include "report/sheet_check.h"

#include "report/inputs.h"
#include "report/made_from.h"
#include "report/sheet_pictures.h"

static void not_drawn(const struct check_sheet *s, const char *what)
{
    (void)sheet_add(s->sheet, SHEET_PARAGRAPH, "",
                    sheet_format(s->sheet, "The curve over %s could not be computed.", what));
}

static void margins(const struct check_sheet *s, const struct sm_check_curves *curves)
{
    sheet_margins(s);
    pictures_cycle(s, curves);
    if (curves->frequency && picture_has_curve(curves->frequency)) {
        picture_over_frequency(s->sheet, s->result, curves->frequency);
    }
    if (curves->thickness && picture_has_curve(curves->thickness)) {
        picture_over_thickness(s->sheet, s->result, curves->thickness);
    }
    if (!curves->frequency) {
        not_drawn(s, "the output frequency");
    }
    if (!curves->thickness && s->result->joint.layer_used) {
        not_drawn(s, "the thickness of the joint");
    }
}

void sheet_check_page(struct sheet *sheet, const struct sm_case *c, const struct sm_result *result,
                      const struct sm_check_curves *curves)
{
    const struct check_sheet s = { sheet, c, result };
    sheet->dense = true;
    sheet_verdict(&s);
    sheet_facts(&s, false);
    sheet_conditions(&s);
    sheet_path_page(&s);
    margins(&s, curves);
    sheet_losses(&s);
    sheet_losses_picture(&s);
    sheet_operation(&s);
    sheet_extremes(&s);
    sheet_limits(&s);
    sheet_checks(&s);
    sheet_original_page(&s);
    sheet_warnings(&s);
    inputs_defaults(sheet, c);
    sheet_assumptions(&s);
    sheet_cautions(sheet);
    sheet_sign(&s);
    made_from_sheet(sheet, c);
}
