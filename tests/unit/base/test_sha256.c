/* SHA-256 against the examples that its standard gives. */
#include <platewright/base.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* NIST, Examples with Intermediate Values, SHA-256: one block, two blocks; the million letters are
 * of FIPS 180-2, B.3. The empty message is from memory. */
static void
examples_of_the_standard(void **state)
{
  static const struct {
    const char *message, *digest;
  } examples[] = {
      {"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
      {"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
      {"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
       "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
  };
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(examples); i++) {
    g_autofree char *hex = pw_sha256_dup_hex(examples[i].message, strlen(examples[i].message));
    assert_string_equal(hex, examples[i].digest);
  }
}

static void
a_million_letters_in_pieces(void **state)
{
  g_autoptr(PwSha256) sum = pw_sha256_new();
  (void)state;
  for (int i = 0; i < 100000; i++)
    pw_sha256_add(sum, "aaaaaaaaaa", 10);
  g_autofree char *hex = pw_sha256_take_hex(sum);
  assert_string_equal(hex, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(examples_of_the_standard),
      cmocka_unit_test(a_million_letters_in_pieces),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
