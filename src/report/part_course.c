/* Why the record is made, and when what happened. */
#include "parts.h"

static char *
dup_span(const PwWriter *w, const GDate *from, const GDate *to)
{
  g_autofree char *first = pw_writer_dup_date(w, from), *last = pw_writer_dup_date(w, to);
  if (first != NULL && last != NULL)
    return pw_words_dup_phrase(w->words, "course-from-to", "from", first, "to", last, NULL);
  if (first != NULL)
    return pw_words_dup_phrase(w->words, "course-since", "from", first, NULL);
  return last != NULL ? pw_words_dup_phrase(w->words, "course-until", "to", last, NULL) : NULL;
}

void
pw_part_course(PwWriter *w)
{
  const PwVolume *volume = w->volume;
  gboolean examined = w->kind != PW_REPORT_RECEIPT;
  gboolean treated = w->kind == PW_REPORT_TREATMENT || w->kind == PW_REPORT_SUMMARY;
  g_autofree char *span = dup_span(w, &volume->treated_from, &volume->treated_to);
  pw_writer_heading(w, w->kind == PW_REPORT_SUMMARY ? 2 : 1, "course");
  PwBlock *facts = pw_doc_facts(w->doc);
  pw_writer_fact(w, facts, "course-purpose", "purpose", volume->purpose);
  pw_writer_fact_date(w, facts, "course-received", "received", &volume->received);
  if (examined)
    pw_writer_fact_date(w, facts, "course-examined", "examined", &volume->examined);
  if (treated) {
    pw_writer_fact(w, facts, "course-treated", "treated", span);
    pw_writer_fact_date(w, facts, "course-returned", "returned", &volume->returned);
  }
  if (examined && w->kind != PW_REPORT_SUMMARY)
    pw_writer_fact(w, facts, "course-lamps", "lamps", volume->lamps);
}
