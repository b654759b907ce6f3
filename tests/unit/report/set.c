#include "../pdf/look.h"
#include "set.h"

#include <glib/gstdio.h>

static PwStyle *
read_style(const char *name)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwStyle *style = pw_style_read(name, complaints, NULL);
  assert_non_null(style);
  return style;
}

Set
set_new(PwDoc *doc, const char *style)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwPdfInfo info = {.title = doc->title, .language = "en", .date = "2026-05-20"};
  Set set = {
      .style = read_style(style), .words = pw_words_read("en", complaints, NULL), .doc = doc};
  assert_non_null(set.words);
  set.pdf = pw_pdf_new(&info, NULL);
  assert_non_null(set.pdf);
  set.setting = pw_setting_new(set.pdf, doc, set.style, set.words);
  return set;
}

void
set_anew(Set *set, PwDoc *doc)
{
  pw_setting_free(set->setting);
  pw_doc_free(set->doc);
  set->doc = doc;
  set->setting = pw_setting_new(set->pdf, doc, set->style, set->words);
}

void
set_clear(Set *set)
{
  pw_setting_free(set->setting);
  pw_pdf_free(set->pdf);
  pw_words_free(set->words);
  pw_style_free(set->style);
  pw_doc_free(set->doc);
}

GBytes *
set_draw(Set *set, const char *name, gboolean *archival)
{
  PwSetting *s = set->setting;
  for (guint i = 0; i < s->pages->len; i++) {
    pw_set_draw_page(s, &g_array_index(s->pages, PwSetPage, i));
    pw_set_draw_foot(s, i + 1, s->pages->len, s->grid.left, s->grid.left + s->grid.full,
                     s->grid.height - 12);
  }
  g_autoptr(GError) error = NULL;
  GBytes *bytes = pw_pdf_finish(set->pdf, archival, NULL, &error);
  if (bytes == NULL)
    fail_msg("%s", error->message);
  const char *build = g_getenv("PW_BUILD");
  g_autofree char *folder = g_build_filename(build != NULL ? build : ".", "documents", NULL);
  g_autofree char *path = g_strdup_printf("%s/%s.pdf", folder, name);
  g_mkdir_with_parents(folder, 0755);
  g_file_set_contents(path, g_bytes_get_data(bytes, NULL), (gssize)g_bytes_get_size(bytes), NULL);
  return bytes;
}

GBytes *
set_draw_made(PwDoc *doc, const char *name)
{
  g_auto(Set) set = set_new(doc, "plate");
  return set_draw(&set, name, NULL);
}

const PwBlock *
set_block_of(const PwSetting *s, const PwStrip *strip)
{
  return strip->block > 0 ? s->doc->blocks->pdata[strip->block - 1] : NULL;
}

guint
set_count(const char *text, const char *word)
{
  g_auto(GStrv) pieces = g_strsplit(text, word, -1);
  return g_strv_length(pieces) - 1;
}
