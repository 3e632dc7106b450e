/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Names and meanings: templates with {placeholders}. */
#include "assess/checks.h"
#include "explain/builder.h"
#include "swapmargin/quantity.h"
#include "swapmargin/text.h"

#include <string.h>

#define NAME_DIGITS 6 /* 1  of a frequency or temperature in a name */

const char *keep(struct builder *b, struct sm_text *text)
{
    char *kept = arena_bytes(b->arena, text->length + 1);
    if (text->out_of_memory)
        b->arena->failed = true;
    else if (kept && text->data)
        memcpy(kept, text->data, text->length);
    sm_text_release(text);
    return kept ? kept : "";
}

static void add_quantity(struct sm_text *out, double si, const char *unit, const char *blank)
{
    char number[32];
    double shown = si;
    (void)sm_quantity_to_unit(si, unit, &shown);
    sm_number_format(number, sizeof number, shown, NAME_DIGITS);
    sm_text_add(out, "%s%s%s", number, blank, unit);
}

/* Where a row stands: a junction temperature, or the frequency of a power factor. */
static void add_at(const struct builder *b, struct sm_text *out, const struct where *w,
                   bool frequency, const char *blank)
{
    const struct sm_rows *rows = frequency ? &b->c->drive->load.power_factor : curve_rows(b, w);
    if (w->k < rows->n)
        add_quantity(out, rows->row[w->k].at, frequency ? "Hz" : "degC", blank);
}

static const char *curve_name(const struct where *w)
{
    static const char *const voltages[SM_CHIP_COUNT] = { "vce_sat", "vf" };
    static const char *const energies[] = { "e_on", "e_off" };
    if (!w->switching)
        return voltages[w->chip];
    return w->chip == SM_DIODE ? "e_rr" : energies[w->energy];
}

static const char *limit_title(size_t k)
{
    static const char *const titles[] = {
#define LIMIT(id, name, unit, title) title,
#include "swapmargin/limits.def"
#undef LIMIT
    };
    return k < SM_LIMIT_COUNT ? titles[k] : "";
}

struct filling {
    const struct builder *b;
    const struct where *w;
    const char *template;
    bool people;
};

static bool inside_is(const char *inside, size_t n, const char *name)
{
    return strlen(name) == n && strncmp(inside, name, n) == 0;
}

static void add_inside(const struct filling *f, struct sm_text *out, const char *inside, size_t n)
{
    static const char *const chips[2][SM_CHIP_COUNT] = { { "igbt", "diode" }, { "IGBT", "diode" } };
    const struct where *w = f->w;
    if (inside_is(inside, n, "site") && w->site)
        sm_text_add(out, "%s", w->site->name);
    else if (inside_is(inside, n, "hz") && w->site)
        add_quantity(out, w->site->op.output_hz, "Hz", " ");
    else if (inside_is(inside, n, "i") && w->site)
        sm_text_add(out, "%zu", w->site->index);
    else if (inside_is(inside, n, "chip"))
        sm_text_add(out, "%s", chips[f->people][w->chip]);
    else if (inside_is(inside, n, "k"))
        sm_text_add(out, "%zu", w->k);
    else if (inside_is(inside, n, "limit"))
        sm_text_add(out, "%s", limit_title(w->k));
    else if (inside_is(inside, n, "check"))
        sm_text_add(out, "%s", w->k < SM_CHECK_COUNT ? check_title((enum sm_check_id)w->k) : "");
    else if (inside_is(inside, n, "curve"))
        sm_text_add(out, "%s", curve_name(w));
    else if (inside_is(inside, n, "end"))
        sm_text_add(out, "%s", w->lowest ? "lowest" : "highest");
    else if (inside_is(inside, n, "leg") && f->people)
        sm_text_add(out, "%s", w->other_leg ? "one of the two other legs" : "the hot leg");
    else if (inside_is(inside, n, "leg"))
        sm_text_add(out, "%s", w->other_leg ? "hold.other" : "hold");
    else if (inside_is(inside, n, "at"))
        add_at(f->b, out, w, false, f->people ? " " : "");
    else if (inside_is(inside, n, "at_hz"))
        add_at(f->b, out, w, true, f->people ? " " : "");
}

static const char *fill(struct builder *b, const char *text, const struct where *w, bool people)
{
    const struct filling f = { b, w, text, people };
    struct sm_text out;
    sm_text_init(&out);
    for (const char *p = text; *p != '\0'; p++) {
        const char *close = *p == '{' ? strchr(p, '}') : NULL;
        if (!close) {
            sm_text_add_bytes(&out, p, 1);
            continue;
        }
        add_inside(&f, &out, p + 1, (size_t)(close - p - 1));
        p = close;
    }
    return keep(b, &out);
}

const char *path_fill(struct builder *b, const char *text, const struct where *w)
{
    return fill(b, text, w, false);
}

const char *words_fill(struct builder *b, const char *text, const struct where *w)
{
    return fill(b, text, w, true);
}

const char *keep_bytes(struct builder *b, const char *bytes, size_t n)
{
    char *kept = arena_bytes(b->arena, n + 1);
    return kept ? memcpy(kept, bytes, n) : "";
}
