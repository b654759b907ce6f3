/* The structure of a document, read back by poppler and qpdf, which are not ours. */
#include "look.h"

#include <string.h>

#define FAMILY "Gentium Basic"

static void
say(PwPdf *pdf, PwElement element, const char *words, double y_mm)
{
  PwFace face = look_face(FAMILY);
  pw_pdf_begin(pdf, element);
  look_line(pdf, &face, words, y_mm);
  pw_pdf_end(pdf);
}

/* What poppler reads of the tree, its blanks evened out. */
static char *
dup_read(GBytes *bytes)
{
  g_autofree char *text = look_with(bytes, NULL, "pdfinfo", "-struct-text", "{}", NULL);
  g_auto(GStrv) words = g_strsplit_set(text, " \n", -1);
  GString *read = g_string_new(NULL);
  for (guint i = 0; words[i] != NULL; i++)
    if (*words[i] != '\0')
      g_string_append_printf(read, "%s ", words[i]);
  return g_string_free(read, FALSE);
}

static void
check_file(GBytes *bytes)
{
  int status = 0;
  g_autofree char *checked = look_with(bytes, &status, "qpdf", "--check", "{}", NULL);
  assert_int_equal(status, 0);
  g_autofree char *verdict = look_preflight(bytes);
  assert_holds(verdict, "valid");
  assert_holds_not(verdict, "not valid");
}

static void
elements_are_read_in_their_order(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face(FAMILY);
  say(pdf, PW_ELEMENT_H1, "Condition", 20);
  look_line(pdf, &face, "ornament", 25);
  pw_pdf_begin(pdf, PW_ELEMENT_LIST);
  pw_pdf_begin(pdf, PW_ELEMENT_ITEM);
  say(pdf, PW_ELEMENT_LABEL, "1", 30);
  say(pdf, PW_ELEMENT_BODY, "red rot", 30);
  pw_pdf_end(pdf);
  pw_pdf_end(pdf);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *read = dup_read(bytes);
  assert_string_equal(read, "Document H1 (block) \"Condition\" L (block) LI (block) Lbl (block) "
                            "\"1\" LBody (block) \"red rot\" ");
  check_file(bytes);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(elements_are_read_in_their_order),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
