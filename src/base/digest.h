/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * SHA-256 (FIPS 180-4), by libmd. */
#ifndef SM_BASE_DIGEST_H
#define SM_BASE_DIGEST_H

#include <stddef.h>

enum { DIGEST_HEX = 65, DIGEST_BASE64 = 45 }; /* bytes, the closing NUL counted */

/* The digest of n bytes in lower-case hexadecimal digits. */
void digest_hex(const void *bytes, size_t n, char out[DIGEST_HEX]);

/* The same in base64 (RFC 4648), as a page's security policy wants it. */
void digest_base64(const void *bytes, size_t n, char out[DIGEST_BASE64]);

#endif
