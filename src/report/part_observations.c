/* What no photograph shows: first what was observed or tested, then, apart from it, interpretation
 * and what the owner reports. */
#include "parts.h"

static void
tell_observation(PwWriter *w, PwBlock *table, const PwObservation *observation)
{
  PwRow *row = pw_table_row(table);
  PwProse *where = pw_row_cell(row, 0), *says = pw_row_cell(row, 1);
  g_autofree char *part = pw_writer_dup_part(w, observation->part, "whole-volume");
  g_autofree char *on = pw_writer_dup_date(w, &observation->on);
  pw_prose_add(where, PW_VOICE_PLAIN, part);
  pw_writer_explain_part(w, where, observation->part);
  if (observation->place != NULL)
    pw_writer_add_line(where, PW_VOICE_PLAIN, observation->place);
  if (observation->term != NULL) {
    g_autofree char *term = pw_writer_dup_term(w, observation->term);
    pw_prose_add(says, PW_VOICE_STRONG, term);
    pw_writer_explain(w, says, observation->term);
  }
  if (observation->says != NULL)
    pw_writer_add_known(w, says, observation->basis, observation->says);
  pw_writer_add_text(w, pw_row_cell(row, 2), on);
}

static gboolean
may_tell(PwWriter *w, const PwObservation *observation)
{
  const char *texts[] = {observation->part, observation->place, observation->says};
  return pw_writer_may_tell(w, observation, texts, G_N_ELEMENTS(texts), NULL);
}

/* The table comes with its first row, the part of the document with its first table. */
static void
tell_those(PwWriter *w, gboolean asides, const char *key, gboolean *begun)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "observations-where"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "observations-what"), PW_COLUMN_WORDS, 3},
      {pw_writer_word(w, "date"), PW_COLUMN_NARROW, 0},
  };
  PwBlock *table = NULL;
  for (gsize i = 0; i < w->volume->n_observations; i++) {
    const PwObservation *observation = &w->volume->observations[i];
    if (pw_writer_is_aside(observation->basis) != asides ||
        !pw_writer_is_by_then(w, &observation->on) || !may_tell(w, observation))
      continue;
    if (!*begun)
      pw_writer_heading(w, 1, "observations");
    *begun = TRUE;
    if (table == NULL) {
      pw_writer_heading(w, 2, key);
      table = pw_doc_table(w->doc, NULL, columns, G_N_ELEMENTS(columns));
    }
    tell_observation(w, table, observation);
  }
}

void
pw_part_observations(PwWriter *w)
{
  gboolean begun = FALSE;
  tell_those(w, FALSE, "observations-seen", &begun);
  tell_those(w, TRUE, "observations-inferred", &begun);
}
