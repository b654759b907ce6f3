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

/* From the first to the last dated step that this reader is told of, said to be that; of how many
 * that have a day nothing is told. */
static char *
dup_span_of_steps(PwWriter *w, guint *n_left_out)
{
  const GDate *first = NULL, *last = NULL;
  for (gsize i = 0; i < w->volume->n_treatment; i++) {
    const PwTreatment *step = &w->volume->treatment[i];
    const char *texts[] = {step->part, step->did};
    if (!g_date_valid(&step->on))
      continue;
    if (!pw_writer_may_tell_step(w, step, texts, G_N_ELEMENTS(texts))) {
      ++*n_left_out;
      continue;
    }
    if (first == NULL || g_date_compare(&step->on, first) < 0)
      first = &step->on;
    if (last == NULL || g_date_compare(&step->on, last) > 0)
      last = &step->on;
  }
  if (first == NULL)
    return NULL;
  g_autofree char *span =
      g_date_compare(first, last) == 0 ? pw_writer_dup_date(w, first) : dup_span(w, first, last);
  return pw_words_dup_phrase(w->words, "course-by-steps", "span", span, NULL);
}

static void
tell_treated(PwWriter *w, PwBlock *facts)
{
  const PwVolume *volume = w->volume;
  const gboolean is_told = g_date_valid(&volume->treated_from) || g_date_valid(&volume->treated_to);
  guint n_left_out = 0;
  g_autofree char *span = is_told ? dup_span(w, &volume->treated_from, &volume->treated_to)
                                  : dup_span_of_steps(w, &n_left_out);
  if (span == NULL && n_left_out > 0)
    pw_writer_add_none(w, pw_facts_add(facts, pw_writer_word(w, "course-treated")), n_left_out,
                       "not-recorded");
  else
    pw_writer_fact(w, facts, "course-treated", "treated", span);
}

void
pw_part_course(PwWriter *w)
{
  const PwVolume *volume = w->volume;
  gboolean examined = w->kind != PW_REPORT_RECEIPT;
  gboolean treated = w->kind == PW_REPORT_TREATMENT || w->kind == PW_REPORT_SUMMARY;
  pw_writer_heading(w, w->kind == PW_REPORT_SUMMARY ? 2 : 1, "course");
  PwBlock *facts = pw_doc_facts(w->doc);
  pw_writer_fact(w, facts, "course-purpose", "purpose", volume->purpose);
  pw_writer_fact_date(w, facts, "course-received", "received", &volume->received);
  if (examined)
    pw_writer_fact_date(w, facts, "course-examined", "examined", &volume->examined);
  if (treated) {
    tell_treated(w, facts);
    pw_writer_fact_date(w, facts, "course-returned", "returned", &volume->returned);
  }
  if (examined && w->kind != PW_REPORT_SUMMARY)
    pw_writer_fact(w, facts, "course-lamps", "lamps", volume->lamps);
}
