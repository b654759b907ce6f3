/* What was considered, what was chosen, and why. */
#include "parts.h"

static const PwPiece *
find_piece(const PwWriter *w, const char *id)
{
  for (gsize i = 0; i < w->ledger->n_pieces; i++)
    if (g_strcmp0(w->ledger->pieces[i].text->id, id) == 0)
      return w->ledger->pieces[i].text;
  return NULL;
}

static void
tell_about(const PwWriter *w, PwProse *prose, const char *about)
{
  const PwModelMark *mark = pw_model_find_mark(w->model, about);
  const PwModelPhoto *photo = pw_model_find_photo(w->model, about);
  const PwPiece *piece = find_piece(w, about);
  if (mark != NULL) {
    pw_writer_add_mark(w, prose, mark);
  } else if (piece != NULL) {
    g_autofree char *says = g_strdup_printf("%s %s", piece->id, piece->what ? piece->what : "");
    pw_writer_add_line(prose, PW_VOICE_PLAIN, says);
  } else if (pw_writer_plate_of(w, photo) != 0) {
    if (!pw_prose_is_empty(prose))
      pw_prose_add(prose, PW_VOICE_PLAIN, "\n");
    pw_writer_add_plates(w, prose, &photo, 1);
  }
}

static void
tell_options(const PwWriter *w, PwBlock *facts, const PwDecision *decision)
{
  if (decision->options == NULL || decision->options[0] == NULL)
    return;
  PwProse *prose = pw_facts_add(facts, pw_writer_word(w, "decisions-options"));
  for (char **option = decision->options; *option != NULL; option++)
    pw_writer_add_line(prose, PW_VOICE_PLAIN, *option);
}

static void
tell_decision(PwWriter *w, const PwDecision *decision)
{
  pw_doc_heading(w->doc, 2, decision->question ? decision->question : pw_writer_word(w, "decision"),
                 NULL);
  PwBlock *facts = pw_doc_facts(w->doc);
  g_autofree char *on = pw_writer_dup_date(w, &decision->on);
  tell_options(w, facts, decision);
  PwProse *chosen = pw_facts_add(facts, pw_writer_word(w, "decisions-chosen"));
  if (decision->chosen != NULL)
    pw_prose_add(chosen, PW_VOICE_STRONG, decision->chosen);
  else
    pw_writer_add_text(w, chosen, NULL);
  PwProse *because = pw_facts_add(facts, pw_writer_word(w, "decisions-because"));
  if (decision->because != NULL)
    pw_writer_add_known(w, because, decision->basis, decision->because);
  else
    pw_writer_add_text(w, because, NULL);
  pw_writer_add_text(w, pw_facts_add(facts, pw_writer_word(w, "decisions-risk")), decision->risk);
  pw_writer_add_text(w, pw_facts_add(facts, pw_writer_word(w, "date")), on);
  if (decision->about == NULL || decision->about[0] == NULL)
    return;
  PwProse *about = pw_facts_add(facts, pw_writer_word(w, "decisions-about"));
  for (char **one = decision->about; *one != NULL; one++)
    tell_about(w, about, *one);
}

static gboolean
may_tell(PwWriter *w, const PwDecision *decision)
{
  g_autoptr(GPtrArray) texts = g_ptr_array_new();
  char *says[] = {decision->question, decision->chosen, decision->because, decision->risk};
  for (gsize i = 0; i < G_N_ELEMENTS(says); i++)
    g_ptr_array_add(texts, says[i]);
  for (char **option = decision->options; option != NULL && *option != NULL; option++)
    g_ptr_array_add(texts, *option);
  return pw_writer_may_tell(w, decision, (const char *const *)(gconstpointer)texts->pdata,
                            texts->len, decision->about);
}

void
pw_part_decisions(PwWriter *w)
{
  gboolean begun = FALSE;
  g_autoptr(GPtrArray) decisions = pw_entries_by_day(w->volume->decisions, w->volume->n_decisions,
                                                     sizeof(PwDecision), offsetof(PwDecision, on));
  for (guint i = 0; i < decisions->len; i++) {
    if (!may_tell(w, decisions->pdata[i]))
      continue;
    if (!begun)
      pw_writer_heading(w, 1, "decisions");
    begun = TRUE;
    tell_decision(w, decisions->pdata[i]);
  }
}
