/* Which words of volume.yaml the public may read. */
#include "bench.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define LOOKED "privacy-checked: 2026-03-05\n"
#define GIVEN "consents:\n  - {on: 2026-03-09, by: owner, to: show publicly, is: given}\n"
#define VOLUME                                                              \
  "volume: {id: T-1, maker: \"The Pilot House of Skerrow\"}\n"              \
  "owner: {name: \"Ida Bo Lundvall\", contact: \"ida@lundvall.example\"}\n" \
  "treatment:\n  - {by: \"K. Amsel\", did: \"cleaned the boards, the spine lined\"}\n"

static gboolean
shown(const Bench *bench, const char *text)
{
  return pw_model_words_shown(bench->model, text, PW_FOR_PUBLIC);
}

static void
names_the_record_knows_are_kept_back(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, VOLUME GIVEN);
  bench_photo(bench, "IMG_2041.jpg", "stage: before\n");
  bench_write(bench, "IMG_2041.jpg.yaml",
              "format: platewright-photo 1\nphoto: {source: Ferrant, size: 1000 x 1000}\n"
              "stage: before\nview: spine\n" LOOKED);
  bench_open(bench, 0);
  assert_true(shown(bench, "The boards are cleaned."));
  assert_true(shown(bench, NULL));
  assert_false(shown(bench, "as Lundvall wished"));
  assert_false(shown(bench, "Lundvalls Wunsch"));
  assert_false(shown(bench, "LUNDVALL"));
  assert_false(shown(bench, "write to ida@lundvall.example"));
  assert_false(shown(bench, "Amsel cleaned it"));
  assert_false(shown(bench, "sewn at Skerrow"));
  assert_false(shown(bench, "photographed by Ferrant"));
  assert_false(shown(bench, "see IMG_2041"));
  assert_false(shown(bench, "see img_2041.jpg, lower left"));
  assert_true(pw_model_words_shown(bench->model, "as Lundvall wished", PW_FOR_OWNER));
}

static void
a_short_name_counts_as_a_whole_word(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, VOLUME GIVEN);
  bench_open(bench, 0);
  assert_false(shown(bench, "Bo asked for it"));
  assert_true(shown(bench, "Boards cleaned"));
  assert_true(shown(bench, "The spine")); /* written small elsewhere, and short */
}

static void
names_in_what_is_withheld_are_kept_back(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nnotes: [\"ask Quillan again\"]\n" GIVEN);
  bench_photo(
      bench, "a.png",
      "stage: before\nview: opening\n" LOOKED
      "marks:\n  - {id: 1, term: inscription, part: endleaf, private: yes, note: \"The name "
      "of Orsolya, on the leaf\", outline: \"100,100 200,100 200,200 100,200\"}\n"
      "  - {id: 2, term: stain, part: leaf, note: \"the Fiorin stain\", point: \"5,5\"}\n");
  bench_photo(bench, "b.png", "stage: before\nview: head\ncaption: \"Held by Tamsin\"\n");
  bench_open(bench, 0);
  assert_false(shown(bench, "a gift of Orsolya"));
  assert_false(shown(bench, "Tamsin's hand"));
  assert_false(shown(bench, "Quillan knows"));
  assert_true(shown(bench, "like Fiorin")); /* stands beside a mark that is shown */
  assert_true(shown(bench, "The leaf"));    /* "the" is written small elsewhere */
}

static void
an_excepted_word_is_kept_back(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n  - {on: 2026-03-09, by: owner, "
                      "to: show publicly, is: limited, except: [\"leaf 3\"]}\n");
  bench_open(bench, 0);
  assert_false(shown(bench, "A tear in Leaf  3, mended"));
  assert_true(shown(bench, "A tear in leaf 31, mended"));
}

static void
what_shows_the_withheld_is_not_told_of(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\npieces:\n"
                      "  - {id: P1, kind: found inside, what: a letter, photo: a.png}\n"
                      "  - {id: P2, kind: part, what: a board, photo: c.png}\n"
                      "  - {id: P3, kind: part, what: a strap, photo: b.png}\n"
                      "  - {id: P4, kind: part, what: a stamp, photo: \"c.png#1\"}\n"
                      "  - {id: P5, kind: part, what: a note, photo: \"a.png#1\"}\n" GIVEN);
  bench_photo(bench, "a.png",
              "stage: before\nview: opening\n" LOOKED
              "marks:\n  - {id: 1, term: inscription, part: letter, private: yes, outline: "
              "\"100,100 200,100 200,200 100,200\"}\n");
  bench_photo(bench, "b.png", "stage: before\nview: head\n");
  bench_photo(bench, "c.png",
              "stage: before\nview: spine\n" LOOKED
              "marks:\n  - {id: 1, term: stain, part: spine, point: \"5,5\"}\n");
  bench_open(bench, 0);
  const PwVolume *volume = pw_model_peek_volume(bench->model);
  static const struct {
    const char *about;
    gboolean shown;
  } cases[] = {{"P1", FALSE},    {"P2", TRUE},    {"P3", FALSE},      {"P4", TRUE},
               {"P5", FALSE},    {"P9", FALSE},   {"a.png#1", FALSE}, {"a.png", FALSE},
               {"b.png", FALSE}, {"c.png", TRUE}, {"c.png#1", TRUE},  {"c.png#2", FALSE}};
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    assert_int_equal(pw_model_about_shown(bench->model, cases[i].about, PW_FOR_PUBLIC),
                     cases[i].shown);
    assert_true(pw_model_about_shown(bench->model, cases[i].about, PW_FOR_STUDIO));
  }
  for (gsize i = 0; i < volume->n_pieces; i++)
    assert_int_equal(pw_model_piece_shown(bench->model, &volume->pieces[i], PW_FOR_PUBLIC),
                     cases[i].shown);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(names_the_record_knows_are_kept_back, bench_begin, bench_end),
      cmocka_unit_test_setup_teardown(a_short_name_counts_as_a_whole_word, bench_begin, bench_end),
      cmocka_unit_test_setup_teardown(names_in_what_is_withheld_are_kept_back, bench_begin,
                                      bench_end),
      cmocka_unit_test_setup_teardown(an_excepted_word_is_kept_back, bench_begin, bench_end),
      cmocka_unit_test_setup_teardown(what_shows_the_withheld_is_not_told_of, bench_begin,
                                      bench_end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
