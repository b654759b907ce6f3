/* The words of callouts and captions, from figures made up here. */
#include "plate/say.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

static PwWords *words;
static PwStyle *style;

static int
set_up(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  words = pw_words_read("en", complaints, NULL);
  style = pw_style_read("plate", complaints, NULL);
  return words != NULL && style != NULL ? 0 : -1;
}

static int
tear_down(void **state)
{
  (void)state;
  pw_words_free(words);
  pw_style_free(style);
  return 0;
}

/* A size of standard uncertainty u, infinite degrees of freedom: U is 2 u. */
static PwSize
size(PwContribution *contribution, double value, double u)
{
  *contribution = (PwContribution){.c = u, .dof = HUGE_VAL};
  return (PwSize){value, contribution, 1};
}

/* The paragraphs of a mark's callout, joined by " / ". */
static char *
callout_of(const PwModelMark *mark, gboolean is_public)
{
  g_autoptr(PwSheet) sheet = pw_sheet_new(words);
  PwCallout *callout = pw_sheet_add_callout(sheet, 0, 1);
  pw_say_callout(callout, words, mark, is_public);
  GString *text = g_string_new(NULL);
  for (guint i = 0; i < callout->words->len; i++)
    g_string_append_printf(text, "%s%s", i > 0 ? " / " : "",
                           ((PwSaid *)callout->words->pdata[i])->text);
  return g_string_free(text, FALSE);
}

static void
assert_callout(const PwModelMark *mark, const char *expected)
{
  g_autofree char *text = callout_of(mark, FALSE);
  assert_string_equal(text, expected);
}

static void
says_an_area(void **state)
{
  (void)state;
  PwContribution c[3];
  PwModelPhoto photo = {0};
  PwMark text = {.term = (char *)"loss",
                 .part = (char *)"spine leather",
                 .severity = 2,
                 .note = (char *)"at the head"};
  PwModelMark mark = {
      .photo = &photo, .text = &text, .group = "missing", .kind = PW_KIND_AREA, .sized = TRUE};
  mark.sizes.area_mm2 = size(&c[0], 52.44, 2.05);
  mark.sizes.longest_mm = size(&c[1], 9, 0.2);
  assert_callout(&mark, "loss, spine leather / 52.4 ± 4.1 mm² · moderate / at the head");
  mark.sizes.longest_mm = size(&c[1], 34.2, 0.5);
  mark.has_share = TRUE;
  mark.share_percent = size(&c[2], 0.36, 0.01);
  assert_callout(&mark, "loss, spine leather / 52.4 ± 4.1 mm² · moderate / longest 34.2 ± 1.0 mm / "
                        "at the head");
  mark.share_percent = size(&c[2], 4.171, 0.065);
  assert_callout(&mark, "loss, spine leather / 52.4 ± 4.1 mm² · moderate / longest 34.2 ± 1.0 mm / "
                        "4.17 ± 0.13 % of the face / at the head");
}

static void
says_how_it_is_known(void **state)
{
  (void)state;
  static const struct {
    PwBasis basis;
    const char *note, *expected;
  } rows[] = {
      {PW_BASIS_INFERRED, "pulled", "tear, leaf / 1 place / interpretation: pulled"},
      {PW_BASIS_REPORTED, "wetted", "tear, leaf / 1 place / according to the owner: wetted"},
      {PW_BASIS_TESTED, "animal glue", "tear, leaf / 1 place / tested: animal glue"},
      {PW_BASIS_INFERRED, NULL, "tear, leaf / 1 place / interpretation"},
      {PW_BASIS_OBSERVED, NULL, "tear, leaf / 1 place"},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    PwModelPhoto photo = {0};
    PwMark text = {.term = (char *)"tear",
                   .part = (char *)"leaf",
                   .count = 1,
                   .basis = rows[i].basis,
                   .note = (char *)(gsize)rows[i].note};
    PwModelMark mark = {.photo = &photo, .text = &text, .group = "parted", .kind = PW_KIND_POINT};
    assert_callout(&mark, rows[i].expected);
  }
}

static void
says_why_there_is_no_size(void **state)
{
  (void)state;
  PwModelPhoto photo = {.why_not = PW_WHY_NOT_GIVEN};
  PwMark text = {.term = (char *)"undecided", .part = (char *)"leaf"};
  PwModelMark mark = {.photo = &photo,
                      .text = &text,
                      .group = "other",
                      .kind = PW_KIND_LINE,
                      .why_not = PW_WHY_NOT_LEVEL};
  assert_callout(&mark, "undecided, leaf / no size: how high the surface lay over the scale is not "
                        "recorded");
  mark.why_not = photo.why_not;
  assert_callout(&mark, "undecided, leaf / no size");
}

/* Decimal commas, and reasons in the same language. */
static void
says_it_in_german(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwWords *english = words;
  words = pw_words_read("de", complaints, NULL);
  assert_non_null(words);
  PwContribution c[2];
  PwModelPhoto photo = {.why_not = PW_WHY_NOT_GIVEN};
  PwMark text = {.term = (char *)"lacuna", .part = (char *)"spine leather", .severity = 2};
  PwTerm term = {.name = (char *)"loss"};
  PwModelMark mark = {.photo = &photo,
                      .text = &text,
                      .term = &term,
                      .group = "missing",
                      .kind = PW_KIND_AREA,
                      .sized = TRUE};
  mark.sizes.area_mm2 = size(&c[0], 52.44, 2.05);
  mark.sizes.longest_mm = size(&c[1], 34.2, 0.5);
  assert_callout(&mark, "Fehlstelle, Rückenleder / 52,4 ± 4,1 mm² · mittel / größte Länge "
                        "34,2 ± 1,0 mm");
  mark.sized = FALSE;
  mark.why_not = PW_WHY_NOT_DISTANCE;
  assert_callout(&mark, "Fehlstelle, Rückenleder / kein Maß: der Abstand der Kamera ist nicht "
                        "dokumentiert · mittel");
  g_autofree char *scale = pw_say_dup_scale(words, &photo, NULL, PW_FOR_STUDIO);
  assert_string_equal(scale, "kein Maßstab: im Bild liegt nichts von bekannter Größe");
  PwSidecar sidecar = {.view = (char *)"fore edge", .place = (char *)"S. 12"};
  photo.sidecar = &sidecar;
  g_autofree char *title = pw_model_photo_dup_title(&photo, words);
  assert_string_equal(title, "Vorderschnitt, S. 12");
  pw_words_free(words);
  words = english;
}

/* A before mark, one after mark, and what was measured between them. */
typedef struct {
  PwContribution c[4];
  PwModelPhoto photo;
  PwMark before_text, after_text;
  PwModelMark before, after, *afters[1];
  PwModelChange change;
} Changed;

static void
change_init(Changed *x, PwKind kind, const char *group, double before, double after, double delta_u)
{
  *x = (Changed){.photo = {0}};
  x->before_text = x->after_text = (PwMark){.term = (char *)"stain", .count = 1};
  x->before = (PwModelMark){
      .photo = &x->photo, .text = &x->before_text, .group = group, .kind = kind, .sized = TRUE};
  x->after = x->before;
  x->after.text = &x->after_text;
  x->after.earlier = &x->before;
  x->before.sizes.area_mm2 = x->before.sizes.length_mm = size(&x->c[0], before, 5);
  x->after.sizes.area_mm2 = x->after.sizes.length_mm = size(&x->c[1], after, 6);
  x->afters[0] = &x->after;
  x->change =
      (PwModelChange){.before = &x->before, .after = x->afters, .n_after = 1, .sized = TRUE};
  x->change.delta = size(&x->c[2], after - before, delta_u);
  x->change.after_size = size(&x->c[3], after, 6);
  x->after.change = &x->change;
}

static void
says_what_has_changed(void **state)
{
  (void)state;
  Changed x;
  change_init(&x, PW_KIND_AREA, "stained", 301, 140, 11);
  assert_callout(&x.after, "stain / 140 ± 12 mm² (\u2212 161 ± 22)");
  change_init(&x, PW_KIND_AREA, "stained", 301, 296, 11);
  assert_callout(&x.after, "stain / 296 ± 12 mm² / no measurable change in size");
  x.after_text.severity = 1;
  assert_callout(&x.after, "stain / 296 ± 12 mm² · slight / no measurable change in size");
  change_init(&x, PW_KIND_AREA, "stained", 301, 140, 11);
  x.after_text.severity = 1;
  assert_callout(&x.after, "stain / 140 ± 12 mm² (\u2212 161 ± 22) · slight");
  change_init(&x, PW_KIND_AREA, "missing", 52.4, 0, 5);
  x.after_text.gone = TRUE;
  x.after_text.severity = 1; /* nothing is left to be so */
  assert_callout(&x.after, "stain / made good: 0 of 52 mm²");
  change_init(&x, PW_KIND_LINE, "parted", 13.6, 0, 5);
  x.after_text.gone = TRUE;
  assert_callout(&x.after, "stain / closed");
}

static void
says_private_to_those_who_may_know(void **state)
{
  (void)state;
  PwModelPhoto photo = {0};
  PwMark text = {.term = (char *)"inscription", .count = 2};
  PwModelMark mark = {
      .photo = &photo, .text = &text, .group = "noted", .kind = PW_KIND_POINT, .withheld = TRUE};
  g_autofree char *inside = callout_of(&mark, FALSE), *outside = callout_of(&mark, TRUE);
  assert_string_equal(inside, "inscription / 2 places / private");
  assert_string_equal(outside, "inscription / 2 places");
}

static void
says_when_and_in_what_light(void **state)
{
  (void)state;
  static const struct {
    const char *light, *expected;
  } rows[] = {
      {"normal", "2 March 2026, 10:14 · normal light"},
      {"raking from fore edge", "2 March 2026, 10:14 · raking light from the fore edge"},
      {"ultraviolet fluorescence", "2 March 2026, 10:14 · ultraviolet fluorescence"},
      {NULL, "2 March 2026, 10:14"},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    PwSidecar sidecar = {.light = (char *)(gsize)rows[i].light};
    PwModelPhoto photo = {.sidecar = &sidecar, .taken = (char *)"2026-03-02T10:14:07+01:00"};
    g_autofree char *when = pw_say_dup_when(words, &photo);
    assert_string_equal(when, rows[i].expected);
  }
}

/* EXIF orientation 6 is turned by a quarter clockwise, 8 the other way, 2 mirrored. */
static void
says_what_was_done_to_the_pixels(void **state)
{
  (void)state;
  PwPlateOptions options = {.style = style, .words = words};
  PwModelPhoto photo = {.readable = TRUE, .facts = {.orientation = 6, .colour = (char *)"sRGB"}};
  g_autofree char *turned = pw_say_dup_pixels(&options, &photo, FALSE, FALSE);
  assert_non_null(strstr(turned, "turned by 90°"));
  assert_null(strstr(turned, "cropped"));
  photo.facts = (PwPhotoFacts){.orientation = 2, .colour = (char *)"Adobe RGB (1998)"};
  g_autofree char *mirrored = pw_say_dup_pixels(&options, &photo, TRUE, TRUE);
  assert_non_null(strstr(mirrored, "mirrored"));
  assert_non_null(strstr(mirrored, "cropped"));
  assert_non_null(strstr(mirrored, "covered; mirrored back"));
  assert_non_null(strstr(mirrored, "converted to sRGB from “Adobe RGB (1998)”"));
}

/* A card of 100 x 60 mm at 10 px/mm, seen straight on, by a lens that is known or not. */
static PwScale *
scale_with(PwLens lens)
{
  PwScaleInput input = {.method = PW_SCALE_RECTANGLE,
                        .corners = {{1000, 1000}, {2000, 1000}, {2000, 1600}, {1000, 1600}},
                        .width_mm = 100,
                        .height_mm = 60,
                        .camera_distance_mm = 800,
                        .focal_px = (double)NAN,
                        .picture_width = 6000,
                        .picture_height = 4000,
                        .lens = lens,
                        .lens_residual_px = .5};
  PwUncertainty uncertainty;
  pw_uncertainty_init_defaults(&uncertainty);
  PwScale *scale = pw_scale_new(&input, &uncertainty, NULL);
  assert_non_null(scale);
  return scale;
}

static char *
scale_words_with(PwLens lens)
{
  g_autoptr(PwScale) scale = scale_with(lens);
  return pw_say_dup_scale(words, &(PwModelPhoto){.scale = scale}, NULL, PW_FOR_STUDIO);
}

/* The studio's name of a card, and the design's, say nothing to an owner. */
static void
names_a_card_to_the_studio_alone(void **state)
{
  (void)state;
  g_autoptr(PwScale) scale = scale_with((PwLens){0});
  PwModelCard card = {
      .name = "bench", .design = (char *)"a6 a", .scale = scale, .doubt_percent = .9};
  PwModelPhoto photo = {.scale = scale, .cards = &card, .n_cards = 1};
  g_autofree char *doubt = pw_say_dup_doubt(words, &photo);
  g_autofree char *studio = pw_say_dup_scale(words, &photo, doubt, PW_FOR_STUDIO);
  g_autofree char *owner = pw_say_dup_scale(words, &photo, doubt, PW_FOR_OWNER);
  g_autofree char *public = pw_say_dup_scale(words, &photo, doubt, PW_FOR_PUBLIC);
  assert_non_null(strstr(studio, "scale from card bench (a6 a) in the picture, ± 0.90 %"));
  assert_non_null(strstr(owner, "scale from a printed reference card in the picture, ± 0.90 %"));
  assert_string_equal(owner, public);
}

/* A rule may lie beside a spine. */
static void
says_that_a_curved_surface_has_no_sizes(void **state)
{
  (void)state;
  PwModelPhoto photo = {.why_not = PW_WHY_NOT_CURVED};
  g_autofree char *curved = pw_say_dup_scale(words, &photo, NULL, PW_FOR_OWNER);
  assert_string_equal(curved, "no sizes: a curved surface is counted, not measured");
  photo.why_not = PW_WHY_NOT_LEVEL; /* so may a card, on a board */
  g_autofree char *level = pw_say_dup_scale(words, &photo, NULL, PW_FOR_OWNER);
  assert_string_equal(level, "no sizes: how high the surface lay over the scale is not recorded");
  photo.why_not = PW_WHY_NOT_CARD;
  g_autofree char *card = pw_say_dup_scale(words, &photo, NULL, PW_FOR_OWNER);
  assert_string_equal(card, "no scale: no card was read in the picture");
}

static void
says_that_the_lens_is_known(void **state)
{
  (void)state;
  g_autofree char *known = scale_words_with((PwLens){8000, 3000, 2000, -.05, 0});
  g_autofree char *unknown = scale_words_with((PwLens){0});
  assert_non_null(strstr(known, "measured free of the lens’s distortion"));
  assert_null(strstr(unknown, "lens"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(says_an_area),
      cmocka_unit_test(says_how_it_is_known),
      cmocka_unit_test(says_why_there_is_no_size),
      cmocka_unit_test(says_it_in_german),
      cmocka_unit_test(says_what_has_changed),
      cmocka_unit_test(says_private_to_those_who_may_know),
      cmocka_unit_test(says_when_and_in_what_light),
      cmocka_unit_test(says_what_was_done_to_the_pixels),
      cmocka_unit_test(says_that_the_lens_is_known),
      cmocka_unit_test(names_a_card_to_the_studio_alone),
      cmocka_unit_test(says_that_a_curved_surface_has_no_sizes),
  };
  return cmocka_run_group_tests(tests, set_up, tear_down);
}
