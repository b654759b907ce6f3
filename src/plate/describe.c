/* A picture in words: view, stage, date, light, and the marks on it by number and head; sizes and
 * notes stand in the callouts, which are read by themselves. */
#include "describe.h"

static void
append_part(GString *list, const char *separator, const char *part)
{
  if (part == NULL || *part == '\0')
    return;
  if (list->len > 0)
    g_string_append(list, separator);
  g_string_append(list, part);
}

/* "1 loss, spine leather; 2 tear, leaf". */
static char *
dup_marks(const PwPage *page, guint picture)
{
  GString *list = g_string_new(NULL);
  for (guint i = 0; i < page->placed->len; i++) {
    const PwPlaced *placed = &g_array_index(page->placed, PwPlaced, i);
    const PwCallout *callout = placed->block->callout;
    if (callout->picture != picture || callout->mark < 0)
      continue;
    const PwSaid *head = callout->words->len > 0 ? callout->words->pdata[0] : NULL;
    g_autofree char *mark = g_strdup_printf(head != NULL ? "%u %s" : "%u", callout->number,
                                            head != NULL ? head->text : "");
    append_part(list, "; ", mark);
  }
  return g_string_free(list, FALSE);
}

char *
pw_describe_dup_picture(const PwSheet *sheet, const PwPage *page, guint picture)
{
  const PwSheetPicture *own = &sheet->pictures[picture];
  g_autoptr(GString) what = g_string_new(NULL);
  append_part(what, ", ", sheet->title);
  append_part(what, ", ", own->label);
  append_part(what, ", ", own->when);
  g_autofree char *marks = dup_marks(page, picture);
  return pw_words_dup_phrase(sheet->words, *marks != '\0' ? "figure-marked" : "figure", "what",
                             what->str, "marks", marks, NULL);
}
