/* Matter that was added to the volume and matter that was taken away for good. */
#include "parts.h"

#include "keys.h"

/* The same materials for the same part are said once. */
static void
tell_added(PwWriter *w)
{
  PwBlock *list = NULL;
  g_autoptr(GHashTable) told = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (gsize i = 0; i < w->volume->n_treatment; i++) {
    const PwTreatment *step = &w->volume->treatment[i];
    const char *texts[] = {step->part, step->materials};
    if (step->materials == NULL || !pw_writer_may_tell_step(w, step, texts, G_N_ELEMENTS(texts)))
      continue;
    if (list == NULL) {
      pw_writer_heading(w, 2, "matter-added");
      list = pw_doc_list(w->doc, FALSE);
    }
    g_autofree char *part = pw_writer_dup_part(w, step->part, "whole-volume");
    g_autofree char *says =
        pw_words_dup_phrase(w->words, "labelled", "label", part, "text", step->materials, NULL);
    if (g_hash_table_add(told, g_strdup(says)))
      pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, says);
  }
}

static void
tell_removed(PwWriter *w)
{
  PwBlock *list = NULL;
  for (gsize i = 0; i < w->ledger->n_pieces; i++) {
    const PwPiece *piece = w->ledger->pieces[i].text;
    if (piece->kind != PW_PIECE_REMOVED)
      continue;
    if (list == NULL) {
      pw_writer_heading(w, 2, "matter-removed");
      list = pw_doc_list(w->doc, FALSE);
    }
    g_autofree char *anchor = g_strdup_printf("piece-%s", piece->id);
    PwProse *item = pw_list_item(list);
    pw_prose_add_link(item, piece->id, anchor);
    pw_prose_add(item, PW_VOICE_PLAIN, " ");
    pw_writer_add_text(w, item, piece->what);
    if (piece->because != NULL) {
      pw_prose_add(item, PW_VOICE_PLAIN, ": ");
      pw_prose_add(item, PW_VOICE_PLAIN, piece->because);
    }
  }
}

void
pw_part_matter(PwWriter *w)
{
  pw_writer_heading(w, 1, "matter");
  pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, "matter-note");
  tell_added(w);
  tell_removed(w);
}
