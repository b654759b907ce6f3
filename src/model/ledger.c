/* The ledger of pieces: everything that came off, was found inside or was taken away, and whether
 * it is accounted for. Open ones come first. */
#include "model-private.h"

#include <stdlib.h>
#include <string.h>

const char *
pw_lacks_name(PwLacks lack)
{
  static const char *const names[] = {"outcome", "reason", "consent", "place", "date"};
  return names[g_bit_nth_lsf(lack, -1)];
}

/* ---- One piece --------------------------------------------------------------------- */

/* A consent to show is none to throw away; any other of that day may have been. */
static const PwConsent *
consent_named(const PwVolume *volume, const PwPiece *piece)
{
  for (gsize i = 0; g_date_valid(&piece->agreed) && i < volume->n_consents; i++) {
    const PwConsent *consent = &volume->consents[i];
    const gboolean answers = consent->is == PW_CONSENT_GIVEN || consent->is == PW_CONSENT_LIMITED;
    if (answers && g_date_valid(&consent->on) &&
        g_date_compare(&consent->on, &piece->agreed) == 0 &&
        g_strcmp0(consent->to, PW_CONSENT_TO_SHOW) != 0)
      return consent;
  }
  return NULL;
}

/* How it stood with that consent on a day; NULL: today. A later word on the same thing, but a
 * question, takes its place. */
static PwStanding
standing_on(const PwVolume *volume, const PwConsent *consent, const GDate *day)
{
  const PwConsent *word = pw_consent_last_answer(volume, consent->to, day);
  const PwStanding standing = pw_consent_standing(word, day);
  return standing == PW_STANDING_NEVER_ASKED ? pw_consent_standing(consent, day) : standing;
}

static gboolean
was_agreed(const PwVolume *volume, const PwPiece *piece, const PwConsent *consent)
{
  if (consent == NULL || pw_consent_excepts(consent, piece->id) ||
      pw_consent_excepts(consent, piece->what))
    return FALSE;
  const GDate *day = g_date_valid(&piece->on) ? &piece->on : NULL;
  return pw_standing_holds(standing_on(volume, consent, day));
}

static guint
lacks_of(const PwVolume *volume, const PwModelPiece *piece)
{
  const PwPiece *text = piece->text;
  if (text->outcome == PW_OUTCOME_NONE)
    return PW_LACKS_OUTCOME;
  const gboolean discarded = text->outcome == PW_OUTCOME_DISCARDED;
  /* of what was thrown away, the day that it was agreed on tells enough */
  const gboolean dated = g_date_valid(&text->on) || (discarded && g_date_valid(&text->agreed));
  guint lacks = dated ? 0 : PW_LACKS_DATE;
  if (text->outcome == PW_OUTCOME_HOUSED && text->kept == NULL)
    lacks |= PW_LACKS_PLACE;
  if (!discarded)
    return lacks;
  if (text->because == NULL)
    lacks |= PW_LACKS_REASON;
  if (!was_agreed(volume, text, piece->agreed))
    lacks |= PW_LACKS_CONSENT;
  return lacks;
}

static void
find_photo(const PwModel *model, PwModelPiece *piece)
{
  g_autofree char *file = NULL, *id = NULL;
  const char *reference = piece->text->photo;
  if (reference == NULL)
    return;
  if (pw_reference_split(reference, &file, &id))
    piece->mark = pw_model_find_mark(model, reference);
  piece->photo = pw_model_find_photo(model, file ? file : reference);
}

static PwModelPiece
resolved(const PwModel *model, const PwPiece *text)
{
  PwModelPiece piece = {.text = text, .agreed = consent_named(model->volume, text)};
  find_photo(model, &piece);
  if (piece.agreed != NULL)
    piece.standing = standing_on(model->volume, piece.agreed, NULL);
  piece.lacks = lacks_of(model->volume, &piece);
  piece.is_open = (piece.lacks & PW_LACKS_WHAT_CLOSES) != 0;
  return piece;
}

gboolean
pw_model_piece_is_kept(const PwPiece *piece)
{
  if (piece->kept != NULL && g_ascii_strcasecmp(piece->kept, "none") == 0)
    return FALSE;
  return piece->outcome == PW_OUTCOME_NONE || piece->outcome == PW_OUTCOME_HOUSED ||
         (piece->outcome == PW_OUTCOME_DISCARDED && piece->kept != NULL);
}

/* ---- All of them ------------------------------------------------------------------- */

/* P2 stands before P10: runs of digits count as numbers. */
int
pw_model_compare_piece_ids(const char *a, const char *b)
{
  a = a != NULL ? a : "";
  b = b != NULL ? b : "";
  while (*a != '\0' && *b != '\0') {
    if (g_ascii_isdigit(*a) && g_ascii_isdigit(*b)) {
      char *after_a, *after_b;
      const guint64 x = g_ascii_strtoull(a, &after_a, 10), y = g_ascii_strtoull(b, &after_b, 10);
      if (x != y)
        return x < y ? -1 : 1;
      a = after_a;
      b = after_b;
    } else if (*a != *b) {
      return (guchar)*a < (guchar)*b ? -1 : 1;
    } else {
      a++;
      b++;
    }
  }
  return (*a != '\0') - (*b != '\0');
}

static gint
compare_pieces(gconstpointer a, gconstpointer b)
{
  const PwModelPiece *x = a, *y = b;
  if (x->is_open != y->is_open)
    return x->is_open ? -1 : 1;
  if (x->text->kind != y->text->kind)
    return x->text->kind < y->text->kind ? -1 : 1;
  return pw_model_compare_piece_ids(x->text->id, y->text->id);
}

static gboolean
is_shown(const PwModel *model, const PwModelPiece *piece, PwAudience audience)
{
  if (audience != PW_FOR_PUBLIC)
    return TRUE;
  return pw_model_piece_shown(model, piece->text, audience) &&
         !pw_model_is_excepted(model, piece->text->id) &&
         !(piece->mark && !pw_model_mark_shown(model, piece->mark, audience));
}

static void
count(PwModelLedger *ledger, const PwModelPiece *piece)
{
  ledger->count += (guint)piece->text->count;
  ledger->by_kind[piece->text->kind]++;
  ledger->by_outcome[piece->text->outcome]++;
  if (!piece->is_open)
    return;
  ledger->n_open++;
  ledger->count_open += (guint)piece->text->count;
}

PwModelLedger *
pw_model_ledger_new(const PwModel *model, PwAudience audience)
{
  PwModelLedger *ledger = g_new0(PwModelLedger, 1);
  const gsize n = model->volume ? model->volume->n_pieces : 0;
  g_autoptr(GArray) pieces = g_array_new(FALSE, FALSE, sizeof(PwModelPiece));
  for (gsize i = 0; i < n; i++) {
    const PwModelPiece piece = resolved(model, &model->volume->pieces[i]);
    if (!is_shown(model, &piece, audience)) {
      ledger->n_withheld++;
      continue;
    }
    count(ledger, &piece);
    g_array_append_val(pieces, piece);
  }
  g_array_sort(pieces, compare_pieces);
  ledger->n_pieces = pieces->len;
  ledger->pieces = (PwModelPiece *)(void *)g_array_free(g_steal_pointer(&pieces), FALSE);
  return ledger;
}

void
pw_model_ledger_free(PwModelLedger *ledger)
{
  if (ledger == NULL)
    return;
  g_free(ledger->pieces);
  g_free(ledger);
}
