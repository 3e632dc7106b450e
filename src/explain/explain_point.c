/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The operating point: what the drive asks of a module at an output frequency. */
#include "explain/builder.h"
#include "load/modulation.h"

/* A value of the list of frequencies. */
static void tell_frequency(const struct ask *ask)
{
    if (ask->w.variant->changes_output) {
        say_value(ask, ask->w.site->op.output_hz, FORMULA_VARIED_AS_IS);
        return;
    }
    const struct sm_drive *drive = ask->b->c->drive;
    struct sm_text key;
    sm_text_init(&key);
    sm_text_add(&key, "%s, value %zu", drive_key_name(ask->b, SM_DRIVE_FREQUENCIES),
                ask->w.site->index + 1);
    say_input(ask, ask->w.site->op.output_hz, &drive->origin[SM_DRIVE_FREQUENCIES],
              keep(ask->b, &key));
}

/* A row of the power factor, or the frequency that it stands at.  The plain key stands at
 * base_frequency. */
static void tell_power_factor(const struct ask *ask, bool frequency)
{
    const struct sm_drive *drive = ask->b->c->drive;
    const struct sm_row *row = &drive->load.power_factor.row[ask->w.k];
    struct sm_origin origin = drive->origin[SM_DRIVE_POWER_FACTOR];
    struct sm_text key;
    sm_text_init(&key);
    sm_text_add(&key, "%s", drive_key_name(ask->b, SM_DRIVE_POWER_FACTOR));
    if (frequency)
        sm_text_add(&key, ", its frequency");
    origin.line = row->line;
    say_input(ask, frequency ? row->at : row->values.v[0], &origin, keep(ask->b, &key));
}

static enum formula current_formula(const struct ask *ask)
{
    if (ask->w.site->kind == SITE_OVERLOAD)
        return FORMULA_CURRENT_OVERLOAD;
    return ask->b->c->drive->load.torque == SM_TORQUE_FAN ? FORMULA_CURRENT_FAN
                                                          : FORMULA_CURRENT_CONSTANT;
}

static void tell_modulation(const struct ask *ask, const struct operating_point *op)
{
    switch ((int)ask->q) {
    case QUANTITY_V_REQUESTED:
        say_value(ask, op->v_requested, FORMULA_V_REQUESTED);
        break;
    case QUANTITY_V_REACHED:
        say_value(ask, op->v_out, FORMULA_V_REACHED);
        break;
    case QUANTITY_M_REQUESTED:
        say_value(ask, op->modulation_requested, FORMULA_M_REQUESTED);
        break;
    case QUANTITY_M_MAX:
        say_value(ask, modulation_limit(op->scheme),
                  op->scheme == SM_MOD_SINE ? FORMULA_M_MAX_SINE : FORMULA_M_MAX_OTHER);
        break;
    case QUANTITY_M:
        say_value(ask, op->m, FORMULA_M);
        break;
    case QUANTITY_POWER_FACTOR:
        say_value(ask, op->power_factor, FORMULA_POWER_FACTOR);
        break;
    case QUANTITY_PHI:
        say_value(ask, op->phi, FORMULA_PHI);
        break;
    default:
        break;
    }
}

void tell_point(const struct ask *ask)
{
    const struct operating_point *op = ask->w.site ? &ask->w.site->op : NULL;
    switch ((int)ask->q) {
    case QUANTITY_PF_ROW:
        tell_power_factor(ask, false);
        return;
    case QUANTITY_PF_HZ:
        tell_power_factor(ask, true);
        return;
    default:
        break;
    }
    if (!op)
        return;
    switch ((int)ask->q) {
    case QUANTITY_HZ:
        tell_frequency(ask);
        break;
    case QUANTITY_DROP_HZ:
        say_value(ask, op->output_hz, FORMULA_AS_FREQUENCY);
        break;
    case QUANTITY_CURRENT:
        say_value(ask, op->i_drive, current_formula(ask));
        break;
    case QUANTITY_CURRENT_MODULE:
        say_value(ask, op->i_module, FORMULA_CURRENT_MODULE);
        break;
    case QUANTITY_CURRENT_PEAK:
        say_value(ask, op->i_peak, FORMULA_CURRENT_PEAK);
        break;
    case QUANTITY_POINT_BUS:
        say_value(ask, op->v_dc, FORMULA_AS_BUS);
        break;
    default:
        tell_modulation(ask, op);
        break;
    }
}
