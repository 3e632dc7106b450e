/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "assess/check_row.h"

#include "assess/checks.h"
#include "base/maths.h"
#include "load/operating_point.h"

#include <assert.h>
#include <string.h>

static const struct sm_key_name drive_keys[SM_DRIVE_KEY_COUNT] = {
#define KEY(id, section, key, ...) [SM_DRIVE_##id] = { "drive", section, key },
#include "swapmargin/keys_drive.def"
#undef KEY
};

static const struct sm_key_name module_keys[SM_MODULE_KEY_COUNT] = {
#define KEY(id, section, key, ...) [SM_MODULE_##id] = { "module", section, key },
#include "swapmargin/keys_module.def"
#undef KEY
};

static void want(struct wanted *wanted, const struct sm_key_name *name)
{
    assert(wanted->n < SM_NOTE_KEYS);
    wanted->key[wanted->n++] = name;
}

static void want_either(struct wanted *wanted, const struct sm_key_name *one,
                        const struct sm_key_name *other)
{
    want(wanted, one);
    wanted->alternative |= 1u << wanted->n;
    want(wanted, other);
}

void want_drive(struct wanted *wanted, enum sm_drive_key key, bool given)
{
    if (!given)
        want(wanted, &drive_keys[key]);
}

void want_module(struct wanted *wanted, enum sm_module_key key, bool given)
{
    if (!given)
        want(wanted, &module_keys[key]);
}

void want_drive_either(struct wanted *wanted, enum sm_drive_key one, enum sm_drive_key other,
                       bool given)
{
    if (!given)
        want_either(wanted, &drive_keys[one], &drive_keys[other]);
}

void want_module_either(struct wanted *wanted, enum sm_module_key one, enum sm_module_key other,
                        bool given)
{
    if (!given)
        want_either(wanted, &module_keys[one], &module_keys[other]);
}

double highest_bus(const struct fit *fit, struct wanted *wanted)
{
    const struct sm_rating *rating = &fit->drive->rating;
    want_drive_either(wanted, SM_DRIVE_DC_BUS_VOLTAGE, SM_DRIVE_OVERVOLTAGE_TRIP,
                      !drive_regenerates(fit->drive) || rating->dc_bus_voltage.given ||
                          rating->overvoltage_trip.given);
    return drive_highest_bus(fit->drive);
}

void wanted_note(const struct wanted *wanted, struct sm_note *note)
{
    memcpy(note->key, wanted->key, sizeof note->key);
    note->alternative = wanted->alternative;
}

struct sm_check check_missing(enum sm_check_id id, const struct wanted *wanted)
{
    struct sm_check check = { .result = SM_CHECK_NOT_CHECKED,
                              .why = { .id = SM_NOTE_NOT_CHECKED, .text = check_title(id) } };
    wanted_note(wanted, &check.why);
    return check;
}

struct sm_check check_told(enum sm_check_result result, enum sm_note_id why, double value,
                           double limit)
{
    return (struct sm_check){ .result = result,
                              .value = { .given = true, .value = value },
                              .limit = { .given = true, .value = limit },
                              .why = { .id = why } };
}

bool exceeds(double value, double limit)
{
    return value > limit && !same_number(value, limit);
}
