/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SWAPMARGIN_VERSION_H
#define SWAPMARGIN_VERSION_H

#ifdef __cplusplus
extern "C" {
#endif

/* The version of the library and its program: "0.1.0". */
const char *sm_version(void);

#ifdef __cplusplus
}
#endif

#endif
