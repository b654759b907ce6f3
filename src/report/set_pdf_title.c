/* The title: what document this is, of which volume, by whom and of when. */
#include "set_pdf_setting.h"

/* White over the title, in steps of the grid. */
#define SINK 1.5

/* "Studio, 20 May 2026" on two lines in the margin column; NULL when neither is told. */
static PwText *
who_and_when(PwSetting *s)
{
  g_autofree char *date =
      s->doc->date != NULL ? pw_words_dup_date(s->words, s->doc->date) : g_strdup("");
  const char *author = s->doc->author != NULL ? s->doc->author : "";
  const char *between = *author != '\0' && *date != '\0' ? "\n" : "";
  g_autofree char *both = g_strconcat(author, between, date, NULL);
  return *both != '\0' ? pw_set_link(s, PW_ROLE_DOC_WHO, both, NULL, s->grid.side_width) : NULL;
}

static void
tie_from(PwSetting *s, guint first)
{
  for (guint i = first; i < s->strips->len; i++)
    pw_setting_peek_strip(s, i)->is_tied = TRUE;
  pw_set_keep(s);
}

void
pw_set_title(PwSetting *s)
{
  PwText *title = pw_set_words(s, PW_ROLE_DOC_TITLE, s->doc->title, s->grid.measure);
  const char *subject = s->doc->subject != NULL ? s->doc->subject : "";
  PwText *what = pw_set_words(s, PW_ROLE_DOC_SUBJECT, subject, s->grid.measure);
  PwText *who = who_and_when(s);
  pw_set_begin(s, PW_ELEMENT_H1);
  pw_set_lines(s, PW_ROLE_DOC_TITLE, title, s->grid.text, 0, SINK * s->grid.step);
  pw_set_end(s);
  if (who != NULL && pw_set_may_hang(s, who))
    pw_set_hang(s, PW_ELEMENT_P, who, s->grid.left, pw_set_align(who));
  pw_set_begin(s, PW_ELEMENT_P);
  pw_set_lines(s, PW_ROLE_DOC_SUBJECT, what, s->grid.text, s->grid.step / 2, 0);
  pw_set_end(s);
  pw_set_settle(s);
  tie_from(s, 1);
}
