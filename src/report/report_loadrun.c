/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_loadrun.h"

#include "report/deliver.h"
#include "report/inputs.h"
#include "report/made_from.h"
#include "report/report_csv.h"
#include "report/report_json.h"
#include "report/words.h"

/* What the width of the bands is made from. */
static json_t *band_json(struct json_writer *writer)
{
    json_t *out = json_object();
    json_put(writer, out, "model_share", json_number(writer, SM_BAND_MODEL));
    json_put(writer, out, "meter_k", json_number(writer, SM_BAND_METER));
    json_put(writer, out, "coverage", json_number(writer, SM_BAND_COVERAGE));
    return out;
}

static json_t *runs_json(struct json_writer *writer, const struct sm_loadrun *loadrun)
{
    json_t *runs = json_array();
    for (size_t i = 0; i < loadrun->n_runs; i++) {
        json_append(writer, runs, json_load_run(writer, &loadrun->runs[i]));
    }
    return runs;
}

static json_t *loadrun_root(struct json_writer *writer, const struct loadrun_page *page)
{
    const struct sm_result *result = page->result;
    json_t *root = json_object();
    json_put(writer, root, "drive", json_drive(writer, page->c, result));
    json_put(writer, root, "module", json_module(writer, page->c, result));
    json_put(writer, root, "runs", runs_json(writer, page->loadrun));
    json_put(writer, root, "network", json_network(writer, page->network));
    json_put(writer, root, "band", band_json(writer));
    json_put(writer, root, "balance_limit_percent",
             json_quantity(writer, page->c->drive->test.balance_limit, "%"));
    json_put(writer, root, "log", page->log ? json_log(writer, page->log) : json_null());
    json_put(writer, root, "log_why", json_words(writer, page->log ? NULL : "no log was given"));
    json_put(writer, root, "verdict", json_words(writer, word_verdict(result->verdict)));
    json_put(writer, root, "reasons", json_notes(writer, &result->reasons));
    json_put(writer, root, "conditions", json_notes(writer, &result->conditions));
    json_put(writer, root, "notes", json_notes(writer, &result->notes));
    json_put(writer, root, "warnings", json_warnings(writer, &result->warnings));
    json_put(writer, root, "practice", json_texts(writer, word_practice_count(), word_practice));
    json_put(writer, root, "not_checked", json_texts(writer, word_unseen_count(), word_unseen));
    json_put(writer, root, "cautions", json_cautions(writer));
    json_put(writer, root, "inputs", inputs_json(writer, page->c));
    const struct made_file log = log_made_file(page->log);
    made_from_json_also(writer, root, page->c, &log);
    return root;
}

enum sm_status report_loadrun(const struct loadrun_page *page, enum sm_format format,
                              const struct sm_style *style, struct sm_text *out,
                              struct sm_faults *faults)
{
    if (deliver_wants_sheet(format)) {
        struct sheet sheet;
        sheet_init(&sheet);
        sheet_loadrun(&sheet, page);
        return deliver_sheet(&sheet, format, style, out, faults);
    }
    struct json_writer writer = { .status = SM_OK };
    json_t *root = loadrun_root(&writer, page);
    return deliver_document(&writer, root, format, report_csv, out, faults);
}
