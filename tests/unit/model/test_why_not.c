/* Why there is no size, as documents say it: a table of sidecars, in both languages. */
#include "bench.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define RECTANGLE "rectangle: {corners: \"0,0 1000,0 1000,600 0,600\", width: 100, height: 60}"
#define AREA(more) \
  "marks:\n  - {id: 1, term: loss, part: board, outline: " BENCH_SQUARE(1, 1) more "}\n"

typedef struct {
  const char *sidecar; /* after its size */
  PwWhyNot of_photo, of_mark;
  guint errors;
} Case;

static const Case cases[] = {
    {BENCH_SCALE AREA(""), PW_WHY_NOT_NONE, PW_WHY_NOT_NONE, 0},
    {AREA(""), PW_WHY_NOT_GIVEN, PW_WHY_NOT_GIVEN, 0},
    {"shape: curved\n" BENCH_SCALE AREA(""), PW_WHY_NOT_CURVED, PW_WHY_NOT_CURVED, 0},
    {"scale: {" RECTANGLE "}\n" AREA(""), PW_WHY_NOT_LEVEL, PW_WHY_NOT_LEVEL, 0},
    {"scale: {" RECTANGLE ", plane-offset: thickness}\n" AREA(""), PW_WHY_NOT_LEVEL,
     PW_WHY_NOT_LEVEL, 0},
    {"scale: {" RECTANGLE ", plane-offset: 12}\n" AREA(""), PW_WHY_NOT_DISTANCE,
     PW_WHY_NOT_DISTANCE, 0},
    /* a mark on a level of its own has a reason of its own, or none */
    {"scale: {" RECTANGLE ", plane-offset: 0}\n" AREA(", plane-offset: 12"), PW_WHY_NOT_NONE,
     PW_WHY_NOT_DISTANCE, 0},
    {"scale: {" RECTANGLE "}\n" AREA(", plane-offset: 0"), PW_WHY_NOT_LEVEL, PW_WHY_NOT_NONE, 0},
    {"scale: {span: {from: \"1,1\", to: \"900,1\", length: 100}}\n" AREA(""), PW_WHY_NOT_LEVEL,
     PW_WHY_NOT_LEVEL, 0},
    {"scale: {tags: nowhere}\n" AREA(""), PW_WHY_NOT_CARD, PW_WHY_NOT_CARD, 1},
    {"scale: {ticks: {from: \"1,1\", to: \"900,1\", pitch: 1}}\n" AREA(""), PW_WHY_NOT_GRADUATIONS,
     PW_WHY_NOT_GRADUATIONS, 0},
    {"scale: {rectangle: {corners: \"0,0 0,600 1000,600 1000,0\", width: 100, height: 60}, "
     "plane-offset: 0}\n" AREA(""),
     PW_WHY_NOT_ANSWER, PW_WHY_NOT_ANSWER, 2},
    {BENCH_SCALE "marks:\n  - {id: 1, term: loss, part: board, outline: \"1,1 90,90 90,1 1,90\"}\n",
     PW_WHY_NOT_NONE, PW_WHY_NOT_OUTLINE, 1},
};

static void
assert_case(const Case *c)
{
  void *begun = NULL;
  bench_begin(&begun);
  Bench *bench = begun;
  bench_photo(bench, "1.png", c->sidecar);
  bench_open(bench, c->errors);
  const PwModelPhoto *photo = pw_model_peek_photo(bench->model, 0);
  if (photo->why_not != c->of_photo || photo->marks[0].why_not != c->of_mark)
    fail_msg("%d and %d of\n%s", photo->why_not, photo->marks[0].why_not, c->sidecar);
  assert_int_equal(photo->why == NULL, photo->scale != NULL);
  assert_int_equal(photo->why == NULL, photo->why_not == PW_WHY_NOT_NONE);
  assert_int_equal(photo->marks[0].why == NULL, photo->marks[0].why_not == PW_WHY_NOT_NONE);
  bench_end(&begun);
}

static void
every_record_has_its_reason(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++)
    assert_case(&cases[i]);
}

static void
every_reason_has_its_words(void **state)
{
  (void)state;
  static const char *const german[] = {
      [PW_WHY_NOT_NONE] = "",
      [PW_WHY_NOT_CURVED] = "eine gewölbte Fläche wird gezählt, nicht gemessen",
      [PW_WHY_NOT_GIVEN] = "im Bild liegt nichts von bekannter Größe",
      [PW_WHY_NOT_CARD] = "im Bild wurde keine Karte gelesen",
      [PW_WHY_NOT_GRADUATIONS] = "das Lineal im Bild war nicht zu lesen",
      [PW_WHY_NOT_LEVEL] = "wie hoch die Fläche über dem Maßstab lag, ist nicht dokumentiert",
      [PW_WHY_NOT_DISTANCE] = "der Abstand der Kamera ist nicht dokumentiert",
      [PW_WHY_NOT_OUTLINE] = "der Umriss überschneidet sich",
      [PW_WHY_NOT_ANSWER] = "die Angaben zum Maßstab ergeben keines",
  };
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwWords) words = pw_words_read("de", complaints, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS(german); i++)
    assert_string_equal(pw_why_not_peek((PwWhyNot)i, words), german[i]);
  assert_int_equal(pw_words_n_missing(words), 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_record_has_its_reason),
      cmocka_unit_test(every_reason_has_its_words),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
