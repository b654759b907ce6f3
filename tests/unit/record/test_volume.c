/* A volume.yaml with every key: each value arrives where the header says.
 */
#include "fixtures.h"

#include <math.h>

static PwVolume *
read_good(PwComplaints *complaints)
{
  g_autofree char *path = fixture("good/every-key-volume.yaml");
  g_autoptr(GError) error = NULL;
  PwVolume *volume = pw_volume_read(path, complaints, &error);
  assert_null(error);
  assert_non_null(volume);
  assert_no_complaint(complaints);
  return volume;
}

static void
test_identity(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwVolume) v = read_good(complaints);
  assert_string_equal(v->id, "EX-1903-07");
  assert_string_equal(v->title, "Ledger of the orchard");
  assert_string_equal(v->maker, "unknown");
  assert_string_equal(v->date, "1903-1911");
  assert_string_equal(v->binding, "quarter leather");
  assert_true(same(v->size_mm[0], 412) && same(v->size_mm[1], 276) && same(v->size_mm[2], 61));
  assert_true(same(v->mass_kg, 5.8));
  assert_string_equal(v->collation, "A-C8 D4");
  assert_string_equal(v->numbering, "pages 1-388 in ink, by the maker");
  assert_string_equal(v->description, "A tall ledger.");
  assert_string_equal(v->owner_name, "An orchard trust");
  assert_string_equal(v->owner_contact, "by letter");
  assert_string_equal(v->studio_name, "The bench");
  assert_string_equal(v->studio_by, "A. N.");
  assert_string_equal(v->studio_contact, "by letter");
  assert_string_equal(v->language, "de");
  assert_string_equal(v->purpose, "condition before treatment; loan");
  assert_int_equal(g_strv_length(v->views), 3);
  assert_true(same(v->plane_offset.mm, -1.5));
  assert_string_equal(v->lamps, "two lamps, 5000 K");
  assert_int_equal(g_date_get_month(&v->received), 3);
  assert_int_equal(g_date_get_day(&v->examined), 4);
  assert_int_equal(g_date_get_month(&v->returned), 5);
  assert_int_equal(g_date_get_day(&v->treated_from), 10);
  assert_int_equal(g_date_get_day(&v->treated_to), 15);
  assert_string_equal(v->uncertainty[0].name, "outlining");
  assert_int_equal(g_strv_length(v->care), 1);
  assert_string_equal(v->notes[1], "a second");
}

static void
test_tools(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwVolume) v = read_good(complaints);
  assert_int_equal(v->n_cards, 2);
  assert_string_equal(v->cards[0].name, "bench");
  assert_string_equal(v->cards[0].design, "a6");
  assert_true(same(v->cards[0].check_along, 99.7) && same(v->cards[0].check_across, 99.9));
  assert_true(same(v->cards[0].tolerance, 0.2) && same(v->cards[0].plane_offset.mm, 0));
  assert_true(g_date_valid(&v->cards[0].measured));
  assert_int_equal(v->cards[0].n_greys, 2);
  assert_true(same(v->cards[0].greys_lab[0][1], -0.4));
  assert_true(isnan(v->cards[1].check_along));
  assert_int_equal(v->n_lenses, 2);
  assert_string_equal(v->lenses[0].make, "Maker");
  assert_string_equal(v->lenses[0].model, "Model 5");
  assert_string_equal(v->lenses[0].lens, "60 mm macro");
  assert_string_equal(v->lenses[0].from, "sheet of 2026-03-01");
  assert_true(same(v->lenses[0].focal, 60) && same(v->lenses[0].f_px, 10012));
  assert_true(same(v->lenses[0].cx, 3004) && same(v->lenses[0].cy, 1996));
  assert_true(same(v->lenses[0].k1, -0.012) && same(v->lenses[0].k2, 0.003));
  assert_true(same(v->lenses[0].residual_px, 0.21));
  assert_int_equal(v->lenses[0].width, 6000);
  assert_true(same(v->lenses[1].k2, 0) && isnan(v->lenses[1].residual_px));
  assert_string_equal(v->cameras[0].name, "Maker Model 5");
  assert_string_equal(v->cameras[0].clock_offset, "-03:30");
  assert_int_equal(v->cameras[0].clock_offset_s, -12600);
}

static void
test_findings(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwVolume) v = read_good(complaints);
  assert_string_equal(v->plates[0].title, "Front board");
  assert_string_equal(v->plates[0].during, "IMG_2101.jpg");
  assert_string_equal(v->plates[1].detail, "IMG_2041.jpg#4");
  assert_null(v->plates[1].before);
  assert_string_equal(v->observations[0].says, "slack");
  assert_int_equal(v->observations[0].basis, PW_BASIS_TESTED);
  assert_true(same(v->measurements[0].value, 71) && same(v->measurements[0].tolerance, 0.5));
  assert_string_equal(v->measurements[0].with, "callipers");
  assert_int_equal(v->measurements[0].stage, PW_STAGE_BEFORE);
  assert_int_equal(v->tests[0].consumed, 0);
  assert_int_equal(v->tests[1].consumed, -1);
  assert_string_equal(v->tests[0].kept, "envelope 3");
  assert_int_equal(v->n_pieces, 5);
  assert_int_equal(v->pieces[1].kind, PW_PIECE_FOUND_INSIDE);
  assert_int_equal(v->pieces[1].count, 3);
  assert_int_equal(v->pieces[0].count, 1);
  assert_int_equal(v->pieces[2].outcome, PW_OUTCOME_DISCARDED);
  assert_string_equal(v->pieces[2].because, "acidic and crumbled");
  assert_true(g_date_valid(&v->pieces[2].agreed) && !g_date_valid(&v->pieces[2].on));
  assert_int_equal(v->pieces[3].outcome, PW_OUTCOME_REPLACED);
}

static void
test_work(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwVolume) v = read_good(complaints);
  assert_string_equal(v->decisions[0].about[1], "IMG_2047.jpg#2");
  assert_string_equal(v->decisions[0].options[0], "leave");
  assert_string_equal(v->decisions[0].chosen, "reline");
  assert_string_equal(v->proposal[0].do_, "reline");
  assert_string_equal(v->treatment[0].photos[0], "IMG_2101.jpg");
  assert_true(same(v->treatment[0].hours, 1.5));
  assert_string_equal(v->currency, "EUR");
  assert_string_equal(v->tax, "21");
  assert_int_equal(v->n_estimate, 3);
  assert_string_equal(v->estimate[0].rate, "68.00");
  assert_null(v->estimate[0].cost);
  assert_string_equal(v->estimate[2].cost, "-4");
  assert_int_equal(v->consents[1].is, PW_CONSENT_LIMITED);
  assert_string_equal(v->consents[1].except[1], "IMG_2041.jpg#4");
  assert_int_equal(g_date_get_year(&v->consents[1].until), 2031);
  assert_string_equal(v->issued[0].document, "proposal");
  assert_int_equal(v->issued[0].version, 1);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_identity),
      cmocka_unit_test(test_tools),
      cmocka_unit_test(test_findings),
      cmocka_unit_test(test_work),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
