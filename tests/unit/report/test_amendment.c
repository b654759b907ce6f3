/* What has changed between two versions of a document. */
#include "report/amendment.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static char *
told(const char *before, const char *after)
{
  g_autoptr(GArray) parts = pw_amendment_compare(before, after);
  GString *all = g_string_new(NULL);
  for (guint i = 0; i < parts->len; i++) {
    const PwChangedPart *part = &g_array_index(parts, PwChangedPart, i);
    g_string_append_printf(all, "%c%s;", "~+-"[part->change], part -> heading);
  }
  return g_string_free(all, FALSE);
}

static void
parts_are_compared_one_by_one(void **state)
{
  (void)state;
  static const struct {
    const char *before, *after, *told;
  } cases[] = {
      {"T\nS\n# A\none\n# B\ntwo\n", "T\nS\n# A\none\n# B\ntwo\n", ""},
      {"T\nS\n# A\none\n# B\ntwo\n", "T\nS\n# A\none\n# B\nthree\n", "~B;"},
      {"T\nS\n# A\none\n", "T\nS\n# A\none\n# B\ntwo\n", "+B;"},
      {"T\nS\n# A\none\n# B\ntwo\n", "T\nS\n# B\ntwo\n", "-A;"},
      /* a heading below belongs to the part above it */
      {"T\nS\n# A\n## x\none\n", "T\nS\n# A\n## y\none\n", "~A;"},
      /* what stands before the first heading says which version it is, and no more */
      {"T\nS\nlead\n# A\none\n", "U\nS\nother\n# A\none\n", ""},
      {"", "T\nS\n# A\n", "+A;"},
      {"T\nS\n# A\n", "", "-A;"},
      {"\n# A", "\n# A\n", ""},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *got = told(cases[i].before, cases[i].after);
    assert_string_equal(got, cases[i].told);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(parts_are_compared_one_by_one)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
