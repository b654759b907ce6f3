/* sRGB to CIELAB, and the CIEDE2000 difference, against published figures. */
#include <platewright/base.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

/* The pairs are printed to four decimals. */
#define PRINTED 0.00005001
/* The quoted derivation's own two decimals, and its rounding of the matrix. */
#define QUOTED 0.02

/* Rows of a table of ../shared/facts, without its first line; NULL where there is none. */
static GPtrArray *
facts(const char *name)
{
  g_autofree char *path = g_build_filename(g_getenv("PW_SHARED"), "facts", name, NULL);
  g_autofree char *text = NULL;
  if (!g_file_get_contents(path, &text, NULL, NULL)) {
    print_message("# no %s here: nothing compared\n", path);
    return NULL;
  }
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  GPtrArray *rows = g_ptr_array_new_with_free_func((GDestroyNotify)g_strfreev);
  for (guint i = 1; i < g_strv_length(lines); i++)
    if (lines[i][0] != '\0')
      g_ptr_array_add(rows, g_strsplit(g_strstrip(lines[i]), ",", -1));
  return rows;
}

static double
field(char **row, int i)
{
  double value = NAN;
  assert_true(pw_parse_double(row[i], &value));
  return value;
}

/* G. Sharma, W. Wu and E. N. Dalal, Color Research and Application 30 (2005), table 1. */
static void
differences_are_the_published_ones(void **state)
{
  (void)state;
  g_autoptr(GPtrArray) rows = facts("ciede2000.csv");
  if (rows == NULL) {
    skip();
    return;
  }
  assert_int_equal(rows->len, 34);
  double largest = 0;
  for (guint i = 0; i < rows->len; i++) {
    char **row = rows->pdata[i];
    PwLab p = {field(row, 0), field(row, 1), field(row, 2)};
    PwLab q = {field(row, 3), field(row, 4), field(row, 5)};
    double there = pw_lab_difference(p, q), back = pw_lab_difference(q, p);
    largest = fmax(largest, fmax(fabs(there - field(row, 6)), fabs(back - field(row, 6))));
  }
  print_message("# largest departure from the 34 pairs: %.6f\n", largest);
  assert_true(largest < PRINTED);
}

static PwLab
lab_of(int r, int g, int b)
{
  double light[3] = {pw_srgb_light((guint8)r), pw_srgb_light((guint8)g), pw_srgb_light((guint8)b)};
  return pw_lab_from_light(light);
}

/* An independent derivation, ../shared/facts/colour-tests.csv. */
static void
lab_is_the_published_one(void **state)
{
  (void)state;
  g_autoptr(GPtrArray) rows = facts("colour-tests.csv");
  if (rows == NULL) {
    skip();
    return;
  }
  double largest = 0;
  int n = 0;
  for (guint i = 0; i < rows->len; i++) {
    char **row = rows->pdata[i];
    if (strcmp(row[0], "sRGB8->Lab D50") != 0)
      continue;
    PwLab lab = lab_of((int)field(row, 1), (int)field(row, 2), (int)field(row, 3));
    largest = fmax(largest, fabs(lab.L - field(row, 5)));
    largest = fmax(largest, fmax(fabs(lab.a - field(row, 6)), fabs(lab.b - field(row, 7))));
    n++;
  }
  print_message("# largest departure of %d colours: %.4f\n", n, largest);
  assert_int_equal(n, 7);
  assert_true(largest < QUOTED);
}

static void
greys_have_no_colour_and_no_difference_from_themselves(void **state)
{
  (void)state;
  for (int v = 0; v < 256; v++) {
    PwLab grey = lab_of(v, v, v);
    assert_true(fabs(grey.a) < 1e-9 && fabs(grey.b) < 1e-9);
    assert_true(pw_lab_difference(grey, grey) < 1e-9);
  }
  assert_true(fabs(lab_of(255, 255, 255).L - 100) < 1e-9);
  assert_true(fabs(lab_of(0, 0, 0).L) < 1e-9);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(differences_are_the_published_ones),
      cmocka_unit_test(lab_is_the_published_one),
      cmocka_unit_test(greys_have_no_colour_and_no_difference_from_themselves),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
