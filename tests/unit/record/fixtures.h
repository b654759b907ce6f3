/* Where the fixtures of the record lie, and complaints as one text to compare.
 */
#ifndef PW_TEST_RECORD_FIXTURES_H
#define PW_TEST_RECORD_FIXTURES_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <platewright/record.h>

static inline char *
fixture(const char *name)
{
  return g_build_filename(g_getenv("PW_SOURCE"), "tests", "unit", "record", name, NULL);
}

/* Figures that must arrive bit for bit. */
static inline gboolean
same(double a, double b)
{
  return !(a < b) && !(a > b);
}

/* Every complaint in full, one after the other: "" is what a good text gives. */
static inline char *
dup_all_complaints(const PwComplaints *complaints)
{
  GString *all = g_string_new(NULL);
  for (guint i = 0; i < pw_complaints_n(complaints); i++) {
    g_autofree char *text = pw_complaint_dup_text(pw_complaints_peek(complaints, i));
    g_string_append_printf(all, "%s\n", text);
  }
  return g_string_free(all, FALSE);
}

static inline void
assert_no_complaint(const PwComplaints *complaints)
{
  g_autofree char *all = dup_all_complaints(complaints);
  assert_string_equal(all, "");
}

#endif
