/* What is being drawn has the very figures that it has once it is saved, whoever asks at the same
 * time. */
#include "bench.h"

#include <glib/gstdio.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

enum { POINTS = 500, THREADS = 8, ROUNDS = 10 };

#define TEXTS(...) ((const char *const[]){__VA_ARGS__, NULL})

/* ---- Bench ------------------------------------------------------------------------- */

/* The demo volume as the command tests have it painted; NULL where it cannot be. */
static char *
dup_demo(void)
{
  g_autofree char *tests = g_build_filename(g_getenv("PW_SOURCE"), "tests", "command", NULL);
  const char *const command[] = {"python3", "-c", "import bench; bench.demo()", NULL};
  g_auto(GStrv) environment = g_environ_setenv(g_get_environ(), "PYTHONPATH", tests, TRUE);
  int status = 0;
  if (!g_spawn_sync(NULL, (char **)command, environment, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL,
                    NULL, &status, NULL) ||
      status != 0)
    return NULL;
  return g_build_filename(g_getenv("PW_BUILD"), "demo", NULL);
}

static PwModel *
open_model(const char *folder)
{
  const PwModelOptions options = {.headers = TRUE};
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwModel *model = pw_model_open(folder, &options, complaints, &error);
  if (model == NULL)
    fail_msg("%s", error->message);
  return model;
}

static PwModel *
open_demo(void)
{
  g_autofree char *folder = dup_demo();
  if (folder == NULL) {
    print_message("# skipped: the demo volume could not be painted\n");
    skip();
  }
  return open_model(folder);
}

static char *
dup_mark_json(const PwModelMark *mark)
{
  g_autoptr(PwJson) json = pw_json_new();
  pw_model_put_mark_json(json, mark);
  return pw_json_take_text(json);
}

static char *
dup_draft_json(const PwModel *model, const PwModelPhoto *photo, const PwMark *text)
{
  PwModelMark draft;
  pw_model_size_draft(model, photo, text, &draft);
  char *json = dup_mark_json(&draft);
  pw_model_mark_clear(&draft);
  return json;
}

static char *
dup_scale_json(const PwModelPhoto *photo)
{
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_model_put_scale_json(json, photo);
  pw_json_end(json);
  return pw_json_take_text(json);
}

static PwSidecar *
draft_of(const PwModelPhoto *photo, const PwSidecarEdit *edits, gsize n)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwSidecar *draft = pw_sidecar_new_draft(photo->sidecar, edits, n, complaints, &error);
  if (draft == NULL || pw_complaints_n(complaints) > 0)
    fail_msg("%s", error ? error->message : pw_complaints_peek(complaints, 0)->says);
  return draft;
}

/* A wavy round of so many points, as a hand would draw it, with odd hundredths. */
static char *
dup_outline(double x, double y, double radius, int n)
{
  GString *text = g_string_new(NULL);
  for (int i = 0; i < n; i++) {
    const double turn = 2 * G_PI * i / n, r = radius * (1 + 0.1 * sin(7 * turn));
    g_string_append_printf(text, "%s%d.%02d,%d.%02d", i ? " " : "", (int)(x + r * cos(turn)),
                           (i * 37) % 100, (int)(y + r * sin(turn)), (i * 61) % 100);
  }
  return g_string_free(text, FALSE);
}

/* ---- Marks ------------------------------------------------------------------------- */

/* A mark that is gone takes its kind from another: only links, resolved later, tell it. */
static void
every_mark_of_the_demo_is_measured_alike(void **state)
{
  (void)state;
  g_autoptr(PwModel) model = open_demo();
  guint n = 0, sized = 0;
  for (gsize i = 0; i < pw_model_n_photos(model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(model, i);
    for (gsize j = 0; j < photo->n_marks; j++) {
      const PwModelMark *mark = &photo->marks[j];
      if (mark->text->gone)
        continue;
      g_autofree char *saved = dup_mark_json(mark);
      g_autofree char *draft = dup_draft_json(model, photo, mark->text);
      assert_string_equal(draft, saved);
      n++;
      sized += mark->sized ? 1 : 0;
    }
  }
  print_message("# %u marks, %u with sizes\n", n, sized);
  assert_true(sized > 20);
}

static void
copy_into(Bench *bench, const char *folder, const char *file)
{
  g_autofree char *from = g_build_filename(folder, file, NULL);
  g_autofree char *to = g_build_filename(bench->folder, file, NULL);
  g_autofree char *parent = g_path_get_dirname(to);
  g_autofree char *data = NULL;
  gsize length;
  assert_int_equal(g_mkdir_with_parents(parent, 0755), 0);
  assert_true(g_file_get_contents(from, &data, &length, NULL));
  assert_true(g_file_set_contents(to, data, (gssize)length, NULL));
}

static void
save(const PwModelPhoto *photo, const PwSidecarEdit *edits, gsize n)
{
  g_autofree char *path = g_strconcat(photo->path, PW_SIDECAR_ENDING, NULL);
  g_autofree char *tag = pw_sidecar_dup_tag(photo->sidecar), *new_tag = NULL;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  if (!pw_sidecar_edit(path, photo->file, tag, edits, n, &new_tag, complaints, &error))
    fail_msg("%s", error->message);
}

/* As the page does it: measured while it is drawn, saved, measured by opening the folder anew. */
static void
draw_and_save(const char *folder, const char *file, const PwSidecarEdit *edits, gsize n)
{
  g_autoptr(PwModel) before = open_model(folder);
  const PwModelPhoto *photo = pw_model_find_photo(before, file);
  g_autoptr(PwSidecar) draft = draft_of(photo, edits, n);
  assert_int_equal(draft->n_marks, 1);
  g_autofree char *drawn = dup_draft_json(before, photo, &draft->marks[0]);
  save(photo, edits, n);
  g_autoptr(PwModel) after = open_model(folder);
  g_autofree char *reference = g_strdup_printf("%s#%s", file, edits[0].mark);
  g_autofree char *saved = dup_mark_json(pw_model_find_mark(after, reference));
  assert_string_equal(drawn, saved);
  assert_non_null(strstr(saved, "\"budget\""));
}

static void
a_new_mark_has_the_same_figures_saved(void **state)
{
  static const char *const file = "before/LF24_0413.jpg";
  Bench *bench = *state;
  g_autofree char *folder = dup_demo();
  if (folder == NULL)
    skip();
  copy_into(bench, folder, "volume.yaml");
  copy_into(bench, folder, file);
  copy_into(bench, folder, "before/LF24_0413.jpg.yaml");
  g_autofree char *ring = dup_outline(1500, 1400, 400, POINTS);
  g_autofree char *hole = dup_outline(1500, 1400, 90, 40);
  draw_and_save(bench->folder, file,
                (const PwSidecarEdit[]){{"90", "term", TEXTS("loss")},
                                        {"90", "part", TEXTS("board")},
                                        {"90", "outline", TEXTS(ring)},
                                        {"90", "holes", TEXTS(hole)}},
                4);
  draw_and_save(bench->folder, file,
                (const PwSidecarEdit[]){{"91", "term", TEXTS("tear")},
                                        {"91", "line", TEXTS("500,500 800.55,530 900,700.25")},
                                        {"91", "plane-offset", TEXTS("7.5")}},
                3);
}

static void
a_mark_without_a_size_says_why(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png", "stage: before\n" BENCH_SCALE);
  bench_photo(bench, "b.png", "stage: before\n");
  bench_open(bench, 0);
  PwModelMark mark;
  const PwSidecarEdit line[] = {{"1", "term", TEXTS("tear")}, {"1", "line", TEXTS("1,1 90,90")}};
  const PwModelPhoto *photo = pw_model_find_photo(bench->model, "b.png");
  g_autoptr(PwSidecar) draft = draft_of(photo, line, 2);
  pw_model_size_draft(bench->model, photo, &draft->marks[0], &mark);
  assert_string_equal(mark.why, "no scale in the picture");
  g_autoptr(PwComplaints) complaints_of_words = pw_complaints_new();
  g_autoptr(PwWords) words = pw_words_read("en", complaints_of_words, NULL);
  assert_non_null(words);
  assert_null(pw_model_mark_dup_shown(&mark, words));
  pw_model_mark_clear(&mark);
  pw_model_size_draft(bench->model, pw_model_find_photo(bench->model, "a.png"), &draft->marks[0],
                      &mark);
  g_autofree char *shown = pw_model_mark_dup_shown(&mark, words);
  assert_string_equal(shown, "12.59 \u00b1 0.60 mm"); /* 89 px each way at 0.1 mm */
  pw_model_mark_clear(&mark);
}

/* Live drawing: printed, not judged, for a busy machine is no fault of ours. */
static void
a_long_outline_is_measured_while_it_is_drawn(void **state)
{
  (void)state;
  enum { TIMES = 20 };
  g_autoptr(PwModel) model = open_demo();
  const PwModelPhoto *photo = pw_model_find_photo(model, "before/LF24_0413.jpg");
  g_autofree char *ring = dup_outline(1500, 1400, 400, POINTS);
  const PwSidecarEdit edits[] = {{"90", "term", TEXTS("loss")}, {"90", "outline", TEXTS(ring)}};
  gint64 read = 0, measured = 0;
  for (int i = 0; i < TIMES; i++) {
    const gint64 start = g_get_monotonic_time();
    g_autoptr(PwSidecar) draft = draft_of(photo, edits, 2);
    read += g_get_monotonic_time() - start;
    const gint64 middle = g_get_monotonic_time();
    PwModelMark mark;
    pw_model_size_draft(model, photo, &draft->marks[0], &mark);
    measured += g_get_monotonic_time() - middle;
    assert_true(mark.sized);
    pw_model_mark_clear(&mark);
  }
  print_message("# %d points: read in %.2f ms, measured in %.2f ms\n", POINTS,
                (double)read / TIMES / 1000, (double)measured / TIMES / 1000);
}

/* ---- Scales ------------------------------------------------------------------------ */

static PwWords *
read_english(void)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  return pw_words_read("en", complaints, NULL);
}

static void
a_scale_that_is_drawn_is_the_one_that_is_saved(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png", "stage: before\nuncertainty: {corner: 3}\n");
  bench_open(bench, 0);
  const PwSidecarEdit edits[] = {
      {NULL, "scale/rectangle/corners", TEXTS("100,100 900,120 880,700 110,690")},
      {NULL, "scale/rectangle/width", TEXTS("85.6")},
      {NULL, "scale/rectangle/height", TEXTS("60")},
      {NULL, "scale/plane-offset", TEXTS("0")},
      {NULL, "scale/camera-distance", TEXTS("700")}};
  PwModelPhoto *photo = pw_model_peek_photo(bench->model, 0);
  PwModelPhoto *draft =
      pw_model_new_draft_scale(bench->model, photo, draft_of(photo, edits, G_N_ELEMENTS(edits)));
  g_autofree char *drawn = dup_scale_json(draft);
  g_autoptr(PwWords) words = read_english();
  g_autofree char *shown = pw_model_scale_dup_shown(draft, words);
  assert_null(photo->scale);
  pw_model_free_draft_scale(draft);
  save(photo, edits, G_N_ELEMENTS(edits));
  g_autoptr(PwModel) after = open_model(bench->folder);
  g_autofree char *saved = dup_scale_json(pw_model_peek_photo(after, 0));
  assert_string_equal(drawn, saved);
  assert_non_null(strstr(saved, "mm_per_px"));
  assert_string_equal(shown, "9.45 px/mm from the rectangle");
}

static void
every_scale_of_the_demo_is_drawn_alike(void **state)
{
  (void)state;
  g_autoptr(PwModel) model = open_demo();
  guint n = 0;
  for (gsize i = 0; i < pw_model_n_photos(model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(model, i);
    g_autofree char *path = g_strconcat(photo->path, PW_SIDECAR_ENDING, NULL);
    g_autoptr(PwComplaints) complaints = pw_complaints_new();
    PwSidecar *text = pw_sidecar_read(path, photo->file, complaints, NULL);
    PwModelPhoto *draft = pw_model_new_draft_scale(model, photo, text);
    g_autofree char *drawn = dup_scale_json(draft), *saved = dup_scale_json(photo);
    assert_string_equal(drawn, saved);
    n += draft->scale ? 1 : 0;
    pw_model_free_draft_scale(draft);
  }
  print_message("# %u scales\n", n);
  assert_true(n > 5);
  g_autoptr(PwWords) english = read_english();
  /* 0.0819 mm a pixel, tilt 2.0 degrees, as `measure` prints it for a person. */
  g_autofree char *shown =
      pw_model_scale_dup_shown(pw_model_find_photo(model, "before/LF12_0032.jpg"), english);
  assert_string_equal(shown, "12.2 px/mm from the card \u00b7 tilt 2\u00b0");
}

/* ---- Several at once --------------------------------------------------------------- */

typedef struct {
  const PwModel *model;
  GPtrArray *expected; /* of all marks, as they were saved */
  gint wrong;          /* atomic */
} Crowd;

static gpointer
ask_for_all(gpointer data)
{
  Crowd *crowd = data;
  for (int round = 0; round < ROUNDS; round++) {
    guint n = 0;
    for (gsize i = 0; i < pw_model_n_photos(crowd->model); i++) {
      const PwModelPhoto *photo = pw_model_peek_photo(crowd->model, i);
      for (gsize j = 0; j < photo->n_marks; j++, n++) {
        if (photo->marks[j].text->gone)
          continue;
        g_autofree char *json = dup_draft_json(crowd->model, photo, photo->marks[j].text);
        if (strcmp(json, crowd->expected->pdata[n]) != 0)
          g_atomic_int_inc(&crowd->wrong);
      }
    }
  }
  return NULL;
}

static void
eight_at_once_get_the_same_answers(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: a}\nplane-offset: 1\n");
  bench_photo(
      bench, "a.png",
      "stage: before\nsurface: \"0,0 1000,0 1000,1000 0,1000\"\n"
      "scale:\n  rectangle: {corners: \"0,0 1000,0 1000,600 0,600\", width: 100, height: "
      "60}\n  camera-distance: 800\nmarks:\n"
      "  - {id: 1, term: loss, outline: " BENCH_SQUARE(
          1, 1) "}\n"
                "  - {id: 2, term: loss, outline: " BENCH_SQUARE(
                    3, 1) ", plane-offset: 12}\n"
                          "  - {id: 3, term: tear, line: \"1,1 500,800\", plane-offset: 3}\n"
                          "  - {id: 4, term: tear, point: \"1,1\"}\n");
  bench_open(bench, 0);
  g_autoptr(GPtrArray) expected = g_ptr_array_new_with_free_func(g_free);
  const PwModelPhoto *photo = pw_model_peek_photo(bench->model, 0);
  for (gsize i = 0; i < photo->n_marks; i++)
    g_ptr_array_add(expected, dup_mark_json(&photo->marks[i]));
  Crowd crowd = {.model = bench->model, .expected = expected};
  GThread *threads[THREADS];
  for (int i = 0; i < THREADS; i++)
    threads[i] = g_thread_new("ask", ask_for_all, &crowd);
  for (int i = 0; i < THREADS; i++)
    g_thread_join(threads[i]);
  assert_int_equal(crowd.wrong, 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_mark_of_the_demo_is_measured_alike),
      cmocka_unit_test_setup_teardown(a_new_mark_has_the_same_figures_saved, bench_begin,
                                      bench_end),
      cmocka_unit_test_setup_teardown(a_mark_without_a_size_says_why, bench_begin, bench_end),
      cmocka_unit_test(a_long_outline_is_measured_while_it_is_drawn),
      cmocka_unit_test_setup_teardown(a_scale_that_is_drawn_is_the_one_that_is_saved, bench_begin,
                                      bench_end),
      cmocka_unit_test(every_scale_of_the_demo_is_drawn_alike),
      cmocka_unit_test_setup_teardown(eight_at_once_get_the_same_answers, bench_begin, bench_end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
