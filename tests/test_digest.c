/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected digests: FIPS 180-4's examples ("abc", and the 448-bit one) and the one of nothing, as
 * published by NIST; the base64 form was made from the published hexadecimal digits by hand. */
#include "base/digest.h"

#include <criterion/criterion.h>

#include <string.h>

static const struct {
    const char *text, *hex;
} published[] = {
    { "abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" },
    { "", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855" },
    { "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
      "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1" },
};

Test(digest, published_examples_of_sha_256)
{
    for (size_t i = 0; i < sizeof published / sizeof published[0]; i++) {
        char hex[DIGEST_HEX];
        digest_hex(published[i].text, strlen(published[i].text), hex);
        cr_expect_str_eq(hex, published[i].hex);
    }
}

/* RFC 4648 groups three bytes: e3b0c4 = 111000 111011 000011 000100 is "47DE"; the last two bytes
 * b855 = 101110 000101 0101(00) are "uFU=". */
Test(digest, base64_begins_and_ends_as_the_hexadecimal_digits_say)
{
    char base64[DIGEST_BASE64];
    digest_base64("", 0, base64);
    cr_expect_eq(strlen(base64), (size_t)DIGEST_BASE64 - 1);
    cr_expect_str_eq(base64, "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=");
}

Test(digest, bytes_after_a_nul_count)
{
    char a[DIGEST_HEX], b[DIGEST_HEX];
    digest_hex("a\0b", 3, a);
    digest_hex("a\0c", 3, b);
    cr_expect_str_neq(a, b);
}
