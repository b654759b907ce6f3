/* Sets every document of a volume, of every kind, for every reader, in every language of ours, and
 * draws its pages of text alone: what test_breaks.py looks at without waiting for plates.
 *   set-text FOLDER TARGET
 * writes TARGET/KIND-WHOM-LANGUAGE.pdf, none for a reader who may be shown nothing. */
#include <platewright/platewright.h>

#include "report/set_pdf_setting.h"
#include "report/write.h"

/* A foot stands so high above the paper's edge. */
#define FOOT_RISE 12.0

static const char *const languages[] = {"en", "de"};

static GBytes *
draw(const PwDoc *doc, const PwReportOptions *options, GError **error)
{
  const PwPdfInfo info = {.title = doc->title, .language = doc->language, .date = "2026-05-20"};
  g_autoptr(PwPdf) pdf = pw_pdf_new(&info, error);
  if (pdf == NULL)
    return NULL;
  g_autoptr(PwSetting) s = pw_setting_new(pdf, doc, options->style, options->words);
  for (guint i = 0, n = 0; i < s->pages->len; i++) {
    const PwSetPage *page = &g_array_index(s->pages, PwSetPage, i);
    if (page->plate != NULL)
      continue;
    pw_set_draw_page(s, page);
    pw_set_draw_foot(s, ++n, s->pages->len, s->grid.left, s->grid.left + s->grid.full,
                     s->grid.height - FOOT_RISE);
  }
  return pw_pdf_finish(pdf, NULL, NULL, error);
}

static gboolean
write_document(const PwModel *model, const PwReportOptions *options, const char *target,
               GError **error)
{
  g_autoptr(PwDoc) doc = pw_report_write(model, options, error);
  g_autoptr(GBytes) bytes = doc != NULL ? draw(doc, options, error) : NULL;
  if (bytes == NULL)
    return FALSE;
  g_autofree char *path =
      g_strdup_printf("%s/%s-%s-%s.pdf", target, pw_report_name(options->kind),
                      pw_audience_name(options->audience), pw_words_peek_language(options->words));
  return g_file_set_contents(path, g_bytes_get_data(bytes, NULL), (gssize)g_bytes_get_size(bytes),
                             error);
}

/* Every kind to every reader. */
static gboolean
write_in(const PwModel *model, PwReportOptions options, const char *target, GError **error)
{
  for (int whom = 0; whom <= PW_FOR_PUBLIC; whom++) {
    options.audience = (PwAudience)whom;
    if (!pw_model_may_show(model, options.audience, NULL))
      continue;
    for (int kind = 0; kind <= PW_REPORT_SUMMARY; kind++) {
      options.kind = (PwReportKind)kind;
      if (!write_document(model, &options, target, error))
        return FALSE;
    }
  }
  return TRUE;
}

static gboolean
write_all(const char *folder, const char *target, GError **error)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  const PwModelOptions open = {.headers = TRUE};
  g_autoptr(PwModel) model = pw_model_open(folder, &open, complaints, error);
  g_autoptr(PwStyle) style = model != NULL ? pw_style_read("plate", complaints, error) : NULL;
  for (gsize i = 0; style != NULL && i < G_N_ELEMENTS(languages); i++) {
    g_autoptr(PwWords) words = pw_words_read(languages[i], complaints, error);
    const PwReportOptions options = {.style = style, .words = words};
    if (words == NULL || !write_in(model, options, target, error))
      return FALSE;
  }
  return style != NULL;
}

int
main(int argc, char **argv)
{
  g_autoptr(GError) error = NULL;
  if (argc != 3) {
    fprintf(stderr, "set-text FOLDER TARGET\n");
    return 2;
  }
  gboolean done = pw_photo_startup(&error) && write_all(argv[1], argv[2], &error);
  pw_photo_shutdown();
  if (!done)
    fprintf(stderr, "set-text: %s\n", error != NULL ? error->message : "a text has errors");
  return done ? 0 : 1;
}
