/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rows of keys_drive.def and keys_module.def. */
#include "input/key_table.h"

#define KEY(id, section, key, field, kind, ...) KEY_CHECK_TYPE(struct sm_drive, field, kind);
#include "swapmargin/keys_drive.def"
#undef KEY

#define KEY(id, section, key, field, kind, ...) KEY_CHECK_TYPE(struct sm_module, field, kind);
#include "swapmargin/keys_module.def"
#undef KEY

static const struct key_row drive_rows[] = {
#define KEY(id, ...) [SM_DRIVE_##id] = KEY_ROW(struct sm_drive, __VA_ARGS__),
#include "swapmargin/keys_drive.def"
#undef KEY
};

static const struct key_row module_rows[] = {
#define KEY(id, ...) [SM_MODULE_##id] = KEY_ROW(struct sm_module, __VA_ARGS__),
#include "swapmargin/keys_module.def"
#undef KEY
};

const struct key_table drive_keys = { "drive", drive_rows, SM_DRIVE_KEY_COUNT };
const struct key_table module_keys = { "module", module_rows, SM_MODULE_KEY_COUNT };
const struct key_table joint_keys = { "joint", &drive_rows[SM_DRIVE_COMPOUND],
                                      SM_DRIVE_JOINT_SCREW_TORQUE - SM_DRIVE_COMPOUND + 1 };
