/* The content of a page with its marks named, numbered, and the rest set apart (ISO 32000-1,
 * 14.6). */
#include "look.h"

#include "pdf/private.h"

static char *
mark(const char *content, guint n, int *numbers)
{
  static const char *const types[] = {"/H1", "/P", "/TD", "/TD"};
  return pw_pdf_dup_marked(content, strlen(content), types, n, numbers);
}

static void
check(const char *content, guint n, const char *expected)
{
  int numbers[4];
  g_autofree char *marked = mark(content, n, numbers);
  assert_non_null(marked);
  assert_string_equal(marked, expected);
}

static void
what_paints_outside_of_marks_is_an_artifact(void **state)
{
  (void)state;
  check("", 0, "");
  check("q 1 w\nQ\n", 0, "q 1 w\nQ\n");
  check("q 0 0 m 5 0 l S\nQ\n", 0, "/Artifact BMC\nq 0 0 m 5 0 l S\nQ\nEMC\n");
  check("f\n/P << /MCID 0 >> BDC\nBT (a)Tj ET\nEMC\nBT [(b)]TJ ET\n", 1,
        "/Artifact BMC\nf\nEMC\n/H1 <</MCID 0>> BDC\n\nBT (a)Tj ET\nEMC\n/Artifact BMC\n\n"
        "BT [(b)]TJ ET\nEMC\n");
}

static void
marks_round_nothing_go_and_the_rest_close_up(void **state)
{
  (void)state;
  int numbers[4] = {7, 7, 7, 7};
  g_autofree char *marked = mark("/P << /MCID 0 >> BDC EMC /P << /MCID 1 >> BDC f EMC "
                                 "/P << /MCID 2 >> BDC q Q EMC /P << /MCID 3 >> BDC f EMC",
                                 4, numbers);
  assert_non_null(marked);
  assert_int_equal(numbers[0], -1);
  assert_int_equal(numbers[1], 0);
  assert_int_equal(numbers[2], -1);
  assert_int_equal(numbers[3], 1);
  assert_holds(marked, "/P <</MCID 0>> BDC\n f EMC");
  assert_holds(marked, "/TD <</MCID 1>> BDC\n f EMC");
  assert_holds_not(marked, "/H1");
}

/* Words that look like operators, in strings of both kinds, in names, in comments. */
static void
words_are_no_operators(void **state)
{
  (void)state;
  const char *quiet[] = {"(f)",     "(\\) f (S) \\\\)", "(a (BDC) EMC)", "<66 53>",     "/f",
                         "/EMC /S", "% f S EMC\n1 w",   "[(BDC) 5 (f)]", "<< /f (S) >>"};
  for (gsize i = 0; i < G_N_ELEMENTS(quiet); i++) {
    g_autofree char *content = g_strdup_printf("q %s w Q", quiet[i]);
    check(content, 0, content);
  }
}

static void
what_cairo_does_not_write_is_refused(void **state)
{
  (void)state;
  const char *bad[] = {
      "/P << /MCID 0 >> BDC f",                                /* never ended */
      "f EMC",                                                 /* never begun */
      "/P << /MCID 0 >> BDC /P << /MCID 1 >> BDC f EMC EMC",   /* one in another */
      "/P << /MCID 0 >> BDC f EMC /P << /MCID 1 >> BDC f EMC", /* one too many */
      "f",                                                     /* one too few */
      "/Span BMC f EMC",                                       /* of another kind */
      "/P << /MCID 0 >> BDC BI /W 1 ID \x01 EI EMC",           /* bytes among operators */
      "/P << /MCID 0 >> BDC (f EMC",                           /* a string without end */
      "/P << /MCID 0 >> BDC <66 EMC",
      "/P << /MCID 0 >> BDC (f\\",
      "<",
      "(",
      "\\",
      "%",
      "/",
      "[",
      ">",
  };
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++) {
    int numbers[4];
    assert_null(mark(bad[i], 1, numbers));
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(what_paints_outside_of_marks_is_an_artifact),
      cmocka_unit_test(marks_round_nothing_go_and_the_rest_close_up),
      cmocka_unit_test(words_are_no_operators),
      cmocka_unit_test(what_cairo_does_not_write_is_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
