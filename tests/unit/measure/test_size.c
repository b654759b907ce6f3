/* Sizes that carry their contributions; coverage factors. Figures of facts/worked-examples.csv, the
 * row's name beside each check. */
#include <platewright/measure.h>

#include "measure/size.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

static void
assert_near(double value, double expected, double tolerance)
{
  if (!(fabs(value - expected) <= tolerance))
    fail_msg("%.12g is not %.12g within %g", value, expected, tolerance);
}

typedef struct {
  guint owner;
  double c, dof;
} Part;

/* A size whose parts are inputs of one kind, told apart by their owner. */
static PwSize
size_of(double value, const Part *parts, gsize n)
{
  GArray *contributions = g_array_new(FALSE, FALSE, sizeof(PwContribution));
  for (gsize i = 0; i < n; i++) {
    PwContribution key = {PW_INPUT_CORNER, PW_SCOPE_PHOTO, parts[i].owner, 0,
                          parts[i].c,      parts[i].dof};
    g_array_append_val(contributions, key);
  }
  PwSize size;
  pw_size_take(value, contributions, &size);
  return size;
}

static PwSize
one_part(double value, guint owner, double u, double dof)
{
  return size_of(value, &(Part){owner, u, dof}, 1);
}

/* WS1: suncal test suite. */
static void
welch_and_satterthwaite(void **state)
{
  (void)state;
  PwSize size = size_of(0, (const Part[]){{1, .57, 9}, {2, .25, HUGE_VAL}}, 2);
  PwQuantity q = pw_size_quantity(&size);
  assert_near(q.dof, 12.8, .1);
  assert_near(q.u, hypot(.57, .25), 1e-12);
  pw_size_clear(&size);
}

/* GUM-H1, GUM-H1b: JCGM 100 H.1, GTC and propagate documentation; the row's tolerance. */
static void
the_end_gauge(void **state)
{
  (void)state;
  static const Part budget[] = {{1, 25, 18},  {2, 16.599, 2}, {3, 6.7, 8},
                                {4, 5.8, 24}, {5, 3.9, 5},    {6, 2.88679, 50}};
  PwSize size = size_of(50000838, budget, G_N_ELEMENTS(budget));
  PwQuantity q = pw_size_quantity(&size);
  assert_near(q.u, 31.71, .1);
  assert_near(floor(q.dof), 16, 0);
  double k99 = pw_student_t(.99, floor(q.dof));
  assert_near(k99, 2.92, .005);
  assert_near(k99 * q.u, 92.62, .4);
  pw_size_clear(&size);
}

/* PROD1: X1 / X2 * Yu, suncal test suite. Its inputs are printed with two or three figures, which
 * moves the degrees of freedom by some 1 %. */
static void
a_product_and_quotient(void **state)
{
  (void)state;
  double yu = .6978;
  PwSize x1 = one_part(.1820, 1, .00093, 9), x2 = one_part(.1823, 2, .00058, 19);
  PwSize inverse = one_part(1 / yu, 3, -.0026 / (yu * yu), 19), quotient, product;
  assert_true(pw_size_ratio(1, &x1, &x2, &quotient));
  assert_true(pw_size_ratio(1, &quotient, &inverse, &product));
  PwQuantity q = pw_size_quantity(&product);
  assert_near(q.value, .6967, 5e-5);
  assert_near(q.u, .00494, 1e-5);
  assert_near(q.dof, 27.7, .3);
  assert_near(pw_student_t(.95, q.dof) * q.u, .0101, 5e-5);
  pw_size_clear(&x1);
  pw_size_clear(&x2);
  pw_size_clear(&inverse);
  pw_size_clear(&quotient);
  pw_size_clear(&product);
}

/* Eight inputs of 1 each that rest on one estimate with 8 degrees of freedom, beside one of 4 that
 * is known: by hand, (8 + 16)^2 / (8^2 / 8) = 72; a second card's eight, (16 + 16)^2 / (2 * 8) =
 * 64, on the same photograph or another; a difference that leaves 3 of each of the first eight, (8
 * * 9 + 16)^2 / ((8 * 9)^2 / 8) = 11.95. */
static void
one_estimate_is_one_term(void **state)
{
  (void)state;
  static const PwContribution known = {PW_INPUT_PRINT, PW_SCOPE_CARD, 1, 0, 4, HUGE_VAL};
  static const struct {
    guint blocks, owners;
    double c, dof;
  } rows[] = {{1, 1, 1, 72}, {2, 1, 1, 64}, {1, 2, 1, 64}, {1, 1, 3, 88. * 88 * 8 / (72 * 72)}};
  for (gsize r = 0; r < G_N_ELEMENTS(rows); r++) {
    GArray *contributions = g_array_new(FALSE, FALSE, sizeof(PwContribution));
    g_array_append_val(contributions, known);
    for (guint owner = 0; owner < rows[r].owners; owner++)
      for (guint i = 0; i < 8 * rows[r].blocks; i++) {
        PwContribution one = {PW_INPUT_TAG, PW_SCOPE_PHOTO, owner, 16 + i, rows[r].c, 8};
        g_array_append_val(contributions, one);
      }
    PwSize size;
    pw_size_take(1, contributions, &size);
    assert_near(pw_size_quantity(&size).dof, rows[r].dof, 1e-9);
    pw_size_clear(&size);
  }
  assert_near(pw_coverage_factor(8), 2.37, .005); /* JCGM 100 table G.2, from memory */
  assert_near(pw_coverage_factor(24), 2.11, .005);
}

/* COV-K: JCGM 100 table G.1. COV-T: table G.2, 95 %. */
static void
coverage_factors(void **state)
{
  (void)state;
  static const double levels[][2] = {{.6827, 1}, {.9, 1.645},  {.95, 1.960},
                                     {.9545, 2}, {.99, 2.576}, {.9973, 3}};
  for (gsize i = 0; i < G_N_ELEMENTS(levels); i++)
    assert_near(pw_student_t(levels[i][0], HUGE_VAL), levels[i][1], 1e-3);
  static const double t95[][2] = {{1, 12.71}, {2, 4.30},  {5, 2.57},       {10, 2.23},
                                  {20, 2.09}, {50, 2.01}, {HUGE_VAL, 1.96}};
  for (gsize i = 0; i < G_N_ELEMENTS(t95); i++)
    assert_near(pw_student_t(.95, t95[i][0]), t95[i][1], .005 + 1e-9);
  /* Exact: t of one degree of freedom is a tangent, of two an algebraic function. */
  assert_near(pw_student_t(.9, 1), tan(.9 * G_PI / 2), 1e-9);
  assert_near(pw_student_t(.9, 2), .9 * sqrt(2 / (1 - .81)), 1e-9);
  assert_near(pw_student_t(.95, 999999), pw_student_t(.95, 1000001), 1e-9); /* two ways meet */
  assert_near(pw_student_t(.95, 1e14), pw_student_t(.95, HUGE_VAL), 1e-12);
}

static void
k_is_two_at_least(void **state)
{
  (void)state;
  assert_near(pw_coverage_factor(HUGE_VAL), 2, 0);
  double last = pw_coverage_factor(1);
  for (double dof = 1.5; dof < 1e18; dof *= 1.7) {
    double k = pw_coverage_factor(dof);
    assert_true(k >= 2 && k <= last);
    last = k;
  }
}

static void
equal_inputs_add_with_their_signs(void **state)
{
  (void)state;
  static const Part a_parts[] = {{1, 3, HUGE_VAL}, {2, 4, HUGE_VAL}};
  static const Part b_parts[] = {{2, 4, HUGE_VAL}, {3, 5, HUGE_VAL}};
  PwSize a = size_of(100, a_parts, 2), b = size_of(40, b_parts, 2), sum, difference;
  pw_size_combine(1, &a, 1, &b, &sum);
  pw_size_combine(1, &a, -1, &b, &difference);
  assert_near(sum.value, 140, 0);
  assert_int_equal(sum.n, 3);
  assert_near(pw_size_quantity(&sum).u, sqrt(9 + 64 + 25), 1e-12);
  assert_near(difference.value, 60, 0);
  assert_near(pw_size_quantity(&difference).u, sqrt(9 + 25), 1e-12);
  for (gsize i = 0; i + 1 < sum.n; i++)
    assert_true(sum.contributions[i].owner < sum.contributions[i + 1].owner);
  pw_size_clear(&a);
  pw_size_clear(&b);
  pw_size_clear(&sum);
  pw_size_clear(&difference);
}

static void
a_key_is_all_four_fields(void **state)
{
  (void)state;
  static const PwContribution keys[] = {
      {PW_INPUT_CORNER, PW_SCOPE_PHOTO, 1, 0, 1, 9}, {PW_INPUT_CORNER, PW_SCOPE_PHOTO, 1, 1, 1, 9},
      {PW_INPUT_CORNER, PW_SCOPE_PHOTO, 2, 0, 1, 9}, {PW_INPUT_CORNER, PW_SCOPE_CARD, 1, 0, 1, 9},
      {PW_INPUT_LENS, PW_SCOPE_PHOTO, 1, 0, 1, 9},   {PW_INPUT_CORNER, PW_SCOPE_PHOTO, 1, 0, 1, 9}};
  GArray *contributions = g_array_new(FALSE, FALSE, sizeof(PwContribution));
  g_array_append_vals(contributions, keys, G_N_ELEMENTS(keys));
  PwSize size, copy;
  pw_size_take(1, contributions, &size);
  assert_int_equal(size.n, 5); /* the last is the first again */
  assert_near(pw_size_quantity(&size).u, sqrt(4 + 4), 1e-12);
  assert_near(pw_size_share_of(&size, PW_INPUT_CORNER, PW_SCOPE_PHOTO), sqrt(4 + 1 + 1), 1e-12);
  assert_near(pw_size_share_of(&size, PW_INPUT_LENS, PW_SCOPE_PHOTO), 1, 1e-12);
  assert_near(pw_size_share_of(&size, PW_INPUT_TILT, PW_SCOPE_PHOTO), 0, 0);
  pw_size_copy(&size, &copy);
  pw_size_clear(&size);
  assert_int_equal(copy.n, 5);
  pw_size_clear(&copy);
}

static void
what_is_common_leaves_a_share(void **state)
{
  (void)state;
  /* One input, 1 % of each: the share does not know it. */
  PwSize a = one_part(30, 1, .3, HUGE_VAL), b = one_part(120, 1, 1.2, HUGE_VAL), share;
  PwSize none = {0};
  assert_true(pw_size_ratio(100, &a, &b, &share));
  assert_near(share.value, 25, 1e-12);
  assert_near(pw_size_quantity(&share).u, 0, 1e-12);
  pw_size_clear(&share);
  assert_false(pw_size_ratio(100, &a, &none, &share));
  assert_null(share.contributions);
  pw_size_clear(&a);
  pw_size_clear(&b);
}

static void
a_size_without_contributions_is_exact(void **state)
{
  (void)state;
  PwSize gone = {0}, before = one_part(50, 1, 2, HUGE_VAL), change;
  PwQuantity q = pw_size_quantity(&gone);
  assert_near(q.u, 0, 0);
  assert_true(isinf(q.dof));
  pw_size_combine(1, &gone, -1, &before, &change);
  assert_near(change.value, -50, 0);
  assert_near(pw_size_quantity(&change).u, 2, 0);
  pw_size_clear(&before);
  pw_size_clear(&change);
}

/* docs/measuring.md, the table of inputs. */
static void
names_and_defaults(void **state)
{
  (void)state;
  static const struct {
    PwInput input;
    const char *name;
    double setting;
  } table[] = {{PW_INPUT_CORNER, "corner", 1},
               {PW_INPUT_TAG, "tag", (double)NAN},
               {PW_INPUT_TICKS, "ticks", (double)NAN},
               {PW_INPUT_OUTLINE, "outline", 2},
               {PW_INPUT_OUTLINING, "outlining", 1},
               {PW_INPUT_RECTANGLE, "rectangle", .1},
               {PW_INPUT_SPAN, "span", .1},
               {PW_INPUT_PRINT, "print", .5},
               {PW_INPUT_PLANE_OFFSET, "plane-offset", 1},
               {PW_INPUT_DISTANCE, "distance", 10},
               {PW_INPUT_TILT, "tilt", 1.2},
               {PW_INPUT_LENS, "lens", 1}};
  PwUncertainty uncertainty;
  pw_uncertainty_init_defaults(&uncertainty);
  assert_int_equal(G_N_ELEMENTS(table), PW_N_INPUTS);
  for (gsize i = 0; i < G_N_ELEMENTS(table); i++) {
    assert_string_equal(pw_input_name(table[i].input), table[i].name);
    double setting = uncertainty.by[table[i].input];
    if (isnan(table[i].setting)) /* the fit tells */
      assert_true(isnan(setting));
    else
      assert_near(setting, table[i].setting, 0);
  }
  assert_string_equal(pw_scope_name(PW_SCOPE_MARK), "mark");
  assert_string_equal(pw_scope_name(PW_SCOPE_PHOTO), "photograph");
  assert_string_equal(pw_scope_name(PW_SCOPE_CARD), "card");
  assert_string_equal(pw_scope_name(PW_SCOPE_LENS), "camera and lens");
  assert_string_equal(pw_scope_name(PW_SCOPE_VOLUME), "volume");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(welch_and_satterthwaite),
      cmocka_unit_test(the_end_gauge),
      cmocka_unit_test(a_product_and_quotient),
      cmocka_unit_test(one_estimate_is_one_term),
      cmocka_unit_test(coverage_factors),
      cmocka_unit_test(k_is_two_at_least),
      cmocka_unit_test(equal_inputs_add_with_their_signs),
      cmocka_unit_test(a_key_is_all_four_fields),
      cmocka_unit_test(what_is_common_leaves_a_share),
      cmocka_unit_test(a_size_without_contributions_is_exact),
      cmocka_unit_test(names_and_defaults),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
