/* Plates drawn into a document under way: their pages known before, their numbers and titles those
 * of the document, and all of it read back by poppler and qpdf. */
#include "../model/bench.h"
#include "../pdf/look.h"

#include <platewright/plate.h>

#include <vips/vips.h>

typedef struct {
  Bench *bench;
  PwStyle *style;
  PwWords *words;
} Fixture;

/* Of one grey each: pictures that are the same byte for byte are stored once. */
static void
paint(const Bench *bench, const char *name, double grey)
{
  VipsImage *black = NULL, *even = NULL;
  g_autofree char *path = g_build_filename(bench->folder, name, NULL);
  assert_int_equal(vips_black(&black, 1000, 1000, "bands", 3, NULL), 0);
  assert_int_equal(vips_linear1(black, &even, 1, grey, "uchar", TRUE, NULL), 0);
  assert_int_equal(vips_jpegsave(even, path, NULL), 0);
  g_object_unref(black);
  g_object_unref(even);
}

/* A spine with so many stains that its plate takes pages, and a board with one mark. */
static int
set_up(void **state)
{
  Fixture *f = g_new0(Fixture, 1);
  assert_true(pw_photo_startup(NULL));
  assert_int_equal(bench_begin((void **)&f->bench), 0);
  bench_volume(f->bench, "volume: {id: T-1}\n");
  g_autoptr(GString) text = g_string_new("stage: before\nview: spine\n" BENCH_SCALE "marks:\n");
  for (int i = 0; i < 20; i++)
    g_string_append_printf(text,
                           "  - {id: %d, term: stain, part: leaf, note: \"a dark tide line that "
                           "runs along the lower edge\", outline: \"%d,500 %d,500 %d,640\"}\n",
                           i + 1, 10 * i + 100, 10 * i + 180, 10 * i + 120);
  bench_photo(f->bench, "spine.jpg", text->str);
  bench_photo(f->bench, "front.jpg",
              "stage: before\nview: front board\nmarks:\n"
              "  - {id: 1, term: tear, part: leaf, note: \") EMC \\\\ (\", line: \"1,1 50,50\"}\n");
  paint(f->bench, "spine.jpg", 60);
  paint(f->bench, "front.jpg", 120);
  bench_open_pictures(f->bench, 0);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  f->style = pw_style_read("plate", complaints, NULL);
  f->words = pw_words_read("en", complaints, NULL);
  *state = f;
  return f->style != NULL && f->words != NULL ? 0 : -1;
}

static int
tear_down(void **state)
{
  Fixture *f = *state;
  bench_end((void **)&f->bench);
  pw_style_free(f->style);
  pw_words_free(f->words);
  g_free(f);
  pw_photo_shutdown();
  return 0;
}

static PwPlateOptions
options_of(const Fixture *f)
{
  return (PwPlateOptions){
      .style = f->style, .words = f->words, .audience = PW_FOR_STUDIO, .heading = 2};
}

static const PwModelPlate *
plate_of(const Fixture *f, const char *file)
{
  for (gsize i = 0; i < pw_model_n_plates(f->bench->model); i++) {
    const PwModelPlate *plate = pw_model_peek_plate(f->bench->model, i);
    if (plate->before != NULL && g_str_equal(plate->before->file, file))
      return plate;
  }
  fail_msg("%s is on no plate", file);
  return NULL;
}

static void
plates_stand_among_other_pages(void **state)
{
  const Fixture *f = *state;
  PwPlateOptions options = options_of(f);
  const PwModelPlate *plates[] = {plate_of(f, "spine.jpg"), plate_of(f, "front.jpg")};
  PwPdf *pdf = look_new();
  PwPlateRun *run = pw_plate_run_new(pdf, f->bench->model, &options, plates, 2);
  guint first = pw_plate_run_n_pages(run, 0, NULL), second = pw_plate_run_n_pages(run, 1, NULL);
  assert_true(first > 1);
  assert_int_equal(second, 1);
  assert_int_equal(pw_pdf_n_pages(pdf), 1);
  assert_true(pw_plate_run_draw(run, 0, NULL));
  assert_int_equal(pw_pdf_n_pages(pdf), 1 + first);
  PwFace face = look_face("Gentium Plus");
  pw_pdf_begin_page(pdf, 210, 297);
  look_line(pdf, &face, "between", 20);
  assert_true(pw_plate_run_draw(run, 1, NULL));
  assert_int_equal(pw_pdf_n_pages(pdf), 3 + first);
  pw_plate_run_free(run);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *read = look_with(bytes, NULL, "pdfinfo", "-struct-text", "{}", NULL);
  assert_holds(read, "    H2 (block)\n      \"Spine\"\n    P (block)\n      \"Plate 1\"\n");
  assert_holds(read, "    H2 (block)\n      \"Front board\"\n    P (block)\n      \"Plate 2\"\n");
  assert_holds_not(read, "H1");
  g_autofree char *places = look_with(bytes, NULL, "pdfinfo", "-dests", "{}", NULL);
  g_autofree char *last = g_strdup_printf("%4u [ XYZ", 3 + first);
  assert_holds(places, "   2 [ XYZ");
  assert_holds(places, last);
  g_autofree char *verdict = look_preflight(bytes);
  assert_holds(verdict, ": valid");
}

/* A photograph that two plates show is made once, and each plate shows its own: poppler lists page
 * and object of every picture. */
static void
plates_share_a_photograph(void **state)
{
  const Fixture *f = *state;
  PwPlateOptions options = options_of(f);
  const PwModelPlate *front = plate_of(f, "front.jpg");
  const PwModelPlate *plates[] = {front, front, plate_of(f, "spine.jpg")};
  PwPdf *pdf = look_new();
  PwPlateRun *run = pw_plate_run_new(pdf, f->bench->model, &options, plates, 3);
  for (guint i = 0; i < 3; i++)
    assert_true(pw_plate_run_draw(run, i, NULL));
  pw_plate_run_free(run);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *list = look_with(bytes, NULL, "pdfimages", "-list", "{}", NULL);
  g_auto(GStrv) lines = g_strsplit(list, "\n", -1);
  int object[3];
  for (guint i = 0; i < 3; i++) {
    int page = 0;
    assert_int_equal(
        sscanf(lines[2 + i], "%d %*d image %*d %*d %*s %*d %*d %*s %*s %d", &page, &object[i]), 2);
    assert_int_equal(page, 2 + i);
  }
  assert_int_equal(object[0], object[1]);
  assert_int_not_equal(object[1], object[2]);
}

static void
a_plate_drawn_alone_has_its_number(void **state)
{
  const Fixture *f = *state;
  PwPlateOptions options = options_of(f);
  PwPdf *pdf = look_new();
  const PwModelPlate *plates[] = {plate_of(f, "spine.jpg"), plate_of(f, "front.jpg")};
  PwPlateRun *run = pw_plate_run_new(pdf, f->bench->model, &options, plates, 2);
  assert_true(pw_plate_run_draw(run, 1, NULL));
  assert_int_equal(pw_pdf_n_pages(pdf), 2);
  pw_plate_run_free(run);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *read = look_with(bytes, NULL, "pdfinfo", "-struct-text", "{}", NULL);
  g_autofree char *places = look_with(bytes, NULL, "pdfinfo", "-dests", "{}", NULL);
  g_autofree char *objects = look_with(bytes, NULL, "qpdf", "--json", "{}", NULL);
  assert_holds(read, "\"Plate 2\"");
  assert_holds(places, "\"plate-2\"");
  assert_holds(objects, "u:Photograph: Front board, Before treatment");
  assert_holds(objects, "Marked on it: 1 tear, leaf.");
}

/* Nothing of it is drawn, not even a page. */
static void
what_is_not_shown_is_not_drawn(void **state)
{
  const Fixture *f = *state;
  PwPlateOptions options = options_of(f);
  options.audience = PW_FOR_PUBLIC;
  PwPdf *pdf = look_new();
  const PwModelPlate *plate = plate_of(f, "front.jpg");
  g_autoptr(PwPlateRun) run = pw_plate_run_new(pdf, f->bench->model, &options, &plate, 1);
  g_autoptr(GError) none = NULL;
  assert_int_equal(pw_plate_run_n_pages(run, 0, &none), 0);
  assert_null(none);
  assert_true(pw_plate_run_draw(run, 0, NULL));
  assert_int_equal(pw_pdf_n_pages(pdf), 1);
  g_clear_pointer(&run, pw_plate_run_free);
  pw_pdf_free(pdf);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(plates_stand_among_other_pages),
      cmocka_unit_test(plates_share_a_photograph),
      cmocka_unit_test(a_plate_drawn_alone_has_its_number),
      cmocka_unit_test(what_is_not_shown_is_not_drawn),
  };
  return cmocka_run_group_tests(tests, set_up, tear_down);
}
