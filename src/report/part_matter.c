/* Matter that was added to the volume and matter that was taken away for good. */
#include "parts.h"

#include "keys.h"
#include "pieces.h"

/* What stands over the first of what was used or taken away. */
static PwBlock *
begin_list(PwWriter *w, gboolean *begun, const char *key)
{
  if (!*begun)
    pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, "matter-note");
  *begun = TRUE;
  pw_writer_heading(w, 2, key);
  return pw_doc_list(w->doc, FALSE);
}

/* The same materials for the same part are said once. How many steps are left out. */
static guint
tell_added(PwWriter *w, gboolean *begun)
{
  guint n_left_out = 0;
  PwBlock *list = NULL;
  g_autoptr(GHashTable) told = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  g_autoptr(GPtrArray) steps = pw_writer_steps_by_day(w);
  for (guint i = 0; i < steps->len; i++) {
    const PwTreatment *step = steps->pdata[i];
    const char *texts[] = {step->part, step->materials};
    if (step->materials == NULL)
      continue;
    if (!pw_writer_may_tell_step(w, step, texts, G_N_ELEMENTS(texts))) {
      n_left_out++;
      continue;
    }
    if (list == NULL)
      list = begin_list(w, begun, "matter-added");
    g_autofree char *part = pw_writer_dup_part(w, step->part, "whole-volume");
    g_autofree char *says =
        pw_words_dup_phrase(w->words, "labelled", "label", part, "text", step->materials, NULL);
    if (g_hash_table_add(told, g_strdup(says)))
      pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, says);
  }
  return n_left_out;
}

static gboolean
was_removed(const PwWriter *w, const PwModelPiece *piece)
{
  (void)w;
  return piece->text->kind == PW_PIECE_REMOVED;
}

static void
tell_removed(PwWriter *w, gboolean *begun)
{
  PwBlock *list = NULL;
  for (gsize i = 0; i < w->ledger->n_pieces; i++) {
    const PwPiece *piece = w->ledger->pieces[i].text;
    if (!was_removed(w, &w->ledger->pieces[i]))
      continue;
    if (list == NULL)
      list = begin_list(w, begun, "matter-removed");
    g_autofree char *anchor = g_strdup_printf("piece-%s", piece->id);
    PwProse *item = pw_list_item(list);
    pw_prose_add_link(item, piece->id, anchor);
    pw_prose_add(item, PW_VOICE_PLAIN, " ");
    g_autofree char *what = pw_writer_dup_unstopped(piece->what);
    pw_writer_add_text(w, item, what);
    if (piece->because != NULL) {
      pw_prose_add(item, PW_VOICE_PLAIN, ": ");
      pw_prose_add(item, PW_VOICE_PLAIN, piece->because);
    }
  }
}

void
pw_part_matter(PwWriter *w)
{
  gboolean begun = FALSE;
  pw_writer_heading(w, 1, "matter");
  const guint n_left_out = tell_added(w, &begun) + pw_pieces_count_left_out(w, was_removed);
  tell_removed(w, &begun);
  if (!begun)
    pw_writer_say_none(w, n_left_out, "matter-none");
}
