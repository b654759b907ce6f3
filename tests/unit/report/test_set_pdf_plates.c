/* A document of text and plates as one file: plates stand behind the page that names them, are
 * counted with the others and reached from the text.
 */
#include "../model/bench.h"
#include "../pdf/look.h"
#include "report/set_pdf.h"

#include <math.h>

typedef struct {
  Bench *bench;
  PwStyle *style;
  PwWords *words;
} Fixture;

static void
add_photo(Bench *bench, const char *name, const char *text)
{
  g_autoptr(GBytes) jpeg = look_jpeg(1000, 1000, 3);
  g_autofree char *path = g_build_filename(bench->folder, name, NULL);
  bench_photo(bench, name, text);
  assert_true(g_file_set_contents(path, g_bytes_get_data(jpeg, NULL),
                                  (gssize)g_bytes_get_size(jpeg), NULL));
}

/* Two plates of one photograph each, the first with marks for two pages. */
static int
set_up(void **state)
{
  Fixture *f = g_new0(Fixture, 1);
  assert_true(pw_photo_startup(NULL));
  assert_int_equal(bench_begin((void **)&f->bench), 0);
  bench_volume(f->bench, "volume: {id: T-1}\n");
  g_autoptr(GString) text = g_string_new("stage: before\nview: spine\n" BENCH_SCALE "marks:\n");
  for (int i = 0; i < 60; i++)
    g_string_append_printf(text,
                           "  - {id: %d, term: stain, part: leaf, note: \"a dark tide line that "
                           "runs along the lower edge\", outline: \"%d,500 %d,500 %d,640\"}\n",
                           i + 1, 10 * i + 100, 10 * i + 180, 10 * i + 120);
  add_photo(f->bench, "a.jpg", text->str);
  add_photo(f->bench, "b.jpg", "stage: before\nview: front board\n" BENCH_SCALE);
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

static GBytes *
set_with_plates(const Fixture *f, gboolean *archival)
{
  const PwModel *model = f->bench->model;
  g_autoptr(PwDoc) doc = pw_doc_new("Condition report", "en", PW_FOR_STUDIO);
  doc->foot = g_strdup("T-1, condition");
  PwProse *prose = pw_doc_paragraph(doc, PW_PARAGRAPH_BODY);
  pw_prose_add(prose, PW_VOICE_PLAIN, "The stain is seen on ");
  pw_prose_add_link(prose, "plate 1", "plate-1");
  pw_doc_heading(doc, 1, "Plates", "plates");
  for (gsize i = 0; i < pw_model_n_plates(model); i++)
    pw_doc_plate(doc, pw_model_peek_plate(model, i));
  pw_doc_heading(doc, 1, "Afterwards", NULL);
  pw_doc_say(doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "On the page before the plates.");
  pw_doc_break(doc);
  pw_doc_say(doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "On the page behind them.");
  PwReportOptions options = {.style = f->style, .words = f->words, .audience = PW_FOR_STUDIO};
  g_autoptr(GError) error = NULL;
  GBytes *bytes = pw_set_pdf(model, doc, &options, archival, NULL, &error);
  if (bytes == NULL)
    fail_msg("%s", error->message);
  return bytes;
}

static void
plates_follow_the_page_that_names_them(void **state)
{
  g_autoptr(GBytes) bytes = set_with_plates(*state, NULL);
  g_autofree char *said = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  g_auto(GStrv) pages = g_strsplit(said, "\f", -1);
  guint n = g_strv_length(pages) - 1;
  assert_true(n >= 5);
  assert_holds(pages[0], "On the page before the plates.");
  assert_holds(pages[n - 1], "On the page behind them.");
  for (guint i = 0; i < n; i++) {
    g_autofree char *foot = g_strdup_printf("page %u of %u", i + 1, n);
    assert_holds(pages[i], foot);
    assert_holds(pages[i], "T-1, condition");
  }
  g_autofree char *sizes = look_with(bytes, NULL, "pdfinfo", "-f", "1", "-l", "99", "{}", NULL);
  assert_holds(sizes, "Page    1 size:  595.276 x 841.89 pts");
  assert_holds(sizes, "Page    2 size:  841.89 x 595.276 pts");
}

static guint
count(const char *text, const char *word)
{
  g_auto(GStrv) pieces = g_strsplit(text, word, -1);
  return g_strv_length(pieces) - 1;
}

/* From the words of the text, and from label and title of each plate in the list of them. */
static void
plates_are_reached_from_the_text(void **state)
{
  g_autoptr(GBytes) bytes = set_with_plates(*state, NULL);
  g_autofree char *objects = look_objects(bytes);
  assert_int_equal(count(objects, "\"/Subtype\": \"/Link\""), 5);
  g_autofree char *outline =
      look_with(bytes, NULL, "qpdf", "--json", "--json-key=outlines", "{}", NULL);
  assert_holds(outline, "\"Plates\"");
  assert_holds(outline, "Spine");
}

static void
the_file_can_be_kept(void **state)
{
  gboolean archival = FALSE;
  int status = -1;
  g_autoptr(GBytes) bytes = set_with_plates(*state, &archival);
  g_autoptr(GBytes) again = set_with_plates(*state, NULL);
  assert_true(archival);
  assert_true(g_bytes_equal(bytes, again));
  g_autofree char *checked = look_with(bytes, &status, "qpdf", "--check", "{}", NULL);
  assert_int_equal(status, 0);
  g_autofree char *verdict = look_preflight(bytes);
  assert_holds(verdict, ": valid");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(plates_follow_the_page_that_names_them),
      cmocka_unit_test(plates_are_reached_from_the_text),
      cmocka_unit_test(the_file_can_be_kept),
  };
  return cmocka_run_group_tests(tests, set_up, tear_down);
}
