/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _DEFAULT_SOURCE /* NOLINT(bugprone-reserved-identifier): <sha2.h> wants the BSD types */

#include "base/digest.h"

#include <stdint.h>
#include <sys/types.h>

#include <sha2.h>

static void digest(const void *bytes, size_t n, uint8_t out[SHA256_DIGEST_LENGTH])
{
    SHA2_CTX context;
    SHA256Init(&context);
    SHA256Update(&context, bytes, n);
    SHA256Final(out, &context);
}

void digest_hex(const void *bytes, size_t n, char out[DIGEST_HEX])
{
    static const char digits[] = "0123456789abcdef";
    uint8_t raw[SHA256_DIGEST_LENGTH];
    digest(bytes, n, raw);
    for (size_t i = 0; i < sizeof raw; i++) {
        out[2 * i] = digits[raw[i] >> 4];
        out[2 * i + 1] = digits[raw[i] & 0x0Fu];
    }
    out[DIGEST_HEX - 1] = '\0';
}

/* 32 bytes are ten groups of three and two bytes left: 44 characters with one '=' at the end. */
void digest_base64(const void *bytes, size_t n, char out[DIGEST_BASE64])
{
    static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    uint8_t raw[SHA256_DIGEST_LENGTH + 1] = { 0 };
    digest(bytes, n, raw);
    for (size_t i = 0; i < sizeof raw / 3; i++) {
        const uint8_t *p = &raw[3 * i];
        const uint32_t group = (uint32_t)p[0] << 16 | (uint32_t)p[1] << 8 | p[2];
        for (size_t k = 0; k < 4; k++) {
            out[4 * i + k] = digits[group >> (18 - 6 * k) & 0x3Fu];
        }
    }
    out[DIGEST_BASE64 - 2] = '=';
    out[DIGEST_BASE64 - 1] = '\0';
}
