/* What is still to do, photograph by photograph, in the order of a row: the views that are wanted,
 * then the others, of each what was taken before, during and after treatment; at the end pieces
 * that are open when the volume has gone back. `check` says the same from the same list. */
#include "model-private.h"

#include <string.h>

const char *
pw_owed_name(PwOwedWhat what)
{
  static const char *const names[] = {
      "no photograph", "not taken in", "fault",     "no stage",           "no view",   "not marked",
      "no scale",      "no size",      "undecided", "not looked through", "piece open"};
  return names[what];
}

static void
owe(PwModel *model, PwModelPhoto *photo, PwOwedWhat what, guint n, char *says)
{
  const PwSidecar *sidecar = photo->sidecar;
  const PwOwed owed = {.view = sidecar ? sidecar->view : NULL,
                       .place = sidecar ? sidecar->place : NULL,
                       .stage = photo->stage,
                       .photo = photo,
                       .what = what,
                       .n = n,
                       .says = says};
  g_array_append_val(model->owed, owed);
}

/* ---- Views that are wanted --------------------------------------------------------- */

static gboolean
has_view(const PwModel *model, const char *view, PwStage stage)
{
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *photo = model->photos->pdata[i];
    if (photo->sidecar && photo->stage == stage && g_strcmp0(photo->sidecar->view, view) == 0)
      return TRUE;
  }
  return FALSE;
}

static gboolean
has_stage(const PwModel *model, PwStage stage)
{
  for (guint i = 0; i < model->photos->len; i++)
    if (((PwModelPhoto *)model->photos->pdata[i])->stage == stage)
      return TRUE;
  return FALSE;
}

static void
owe_views(PwModel *model)
{
  const PwVolume *volume = model->volume;
  const gboolean after = has_stage(model, PW_STAGE_AFTER) || g_date_valid(&volume->returned);
  for (char **view = volume->views; view && *view; view++)
    for (int stage = PW_STAGE_BEFORE; stage <= PW_STAGE_AFTER; stage += 2) {
      if ((stage == PW_STAGE_AFTER && !after) || has_view(model, *view, (PwStage)stage))
        continue;
      const PwOwed owed = {.view = *view,
                           .stage = (PwStage)stage,
                           .what = PW_OWED_PHOTOGRAPH,
                           .n = 1,
                           .says = g_strdup_printf("there is no photograph of the %s %s treatment",
                                                   *view, pw_stage_name((PwStage)stage))};
      g_array_append_val(model->owed, owed);
    }
}

/* ---- A photograph ------------------------------------------------------------------ */

/* What has become of a view's marks is asked for afterwards, and what there is before. */
static gboolean
wants_marks(const PwModel *model, const PwModelPhoto *photo)
{
  if (photo->n_marks > 0 || photo->stage == PW_STAGE_DURING)
    return FALSE;
  if (photo->stage != PW_STAGE_AFTER)
    return TRUE;
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *other = model->photos->pdata[i];
    if (other->stage == PW_STAGE_BEFORE && other->n_marks > 0 &&
        g_strcmp0(other->sidecar->view, photo->sidecar->view) == 0 &&
        g_strcmp0(other->sidecar->place, photo->sidecar->place) == 0)
      return TRUE;
  }
  return FALSE;
}

static void
owe_sizes(PwModel *model, PwModelPhoto *photo)
{
  guint n = 0;
  const PwModelMark *first = NULL;
  if (photo->sidecar->curved)
    return;
  for (gsize i = 0; i < photo->n_marks; i++) {
    if (photo->marks[i].why == NULL)
      continue;
    n++;
    first = first ? first : &photo->marks[i];
  }
  if (n == 0)
    return;
  const gboolean scaled = photo->sidecar->scale.given != PW_GIVEN_NONE;
  owe(model, photo, scaled ? PW_OWED_SIZE : PW_OWED_SCALE, n,
      g_strdup_printf("%u %s no size: %s", n, n == 1 ? "mark has" : "marks have", first->why));
  PwOwed *owed = &g_array_index(model->owed, PwOwed, model->owed->len - 1);
  owed->why = first->why;
  owed->why_not = first->why_not;
}

static gboolean
is_undecided(const PwModelMark *mark)
{
  return g_strcmp0(mark->text->term, PW_TERM_UNDECIDED) == 0;
}

static void
owe_terms(PwModel *model, PwModelPhoto *photo)
{
  guint n = 0;
  for (gsize i = 0; i < photo->n_marks; i++)
    n += is_undecided(&photo->marks[i]) ? 1 : 0;
  if (n > 0)
    owe(model, photo, PW_OWED_TERM, n,
        g_strdup_printf("%u %s not decided yet", n, n == 1 ? "term is" : "terms are"));
}

static guint
errors_in(const PwModelPhoto *photo, const PwComplaints *complaints)
{
  guint n = 0;
  g_autofree char *sidecar = g_strconcat(photo->file, PW_SIDECAR_ENDING, NULL);
  for (guint i = 0; i < pw_complaints_n(complaints); i++) {
    const PwComplaint *complaint = pw_complaints_peek(complaints, i);
    n += complaint->severity == PW_SEVERITY_ERROR &&
         (g_strcmp0(complaint->file, sidecar) == 0 || g_strcmp0(complaint->file, photo->file) == 0);
  }
  return n;
}

static void
owe_photo(PwModel *model, PwModelPhoto *photo, const PwComplaints *complaints)
{
  const PwSidecar *sidecar = photo->sidecar;
  const guint errors = errors_in(photo, complaints);
  if (!photo->taken_in)
    owe(model, photo, PW_OWED_TAKING_IN, 1, g_strdup("it has not been taken in yet"));
  if (errors > 0)
    owe(model, photo, PW_OWED_MENDING, errors,
        g_strdup_printf("%u %s in its text", errors, errors == 1 ? "error" : "errors"));
  if (sidecar == NULL)
    return;
  if (photo->stage == PW_STAGE_NONE)
    owe(model, photo, PW_OWED_STAGE, 1,
        g_strdup("its stage is not told: before, during or after treatment"));
  if (sidecar->view == NULL)
    owe(model, photo, PW_OWED_VIEW, 1, g_strdup("its view is not told"));
  if (wants_marks(model, photo))
    owe(model, photo, PW_OWED_MARKS, 1, g_strdup("nothing is marked on it yet"));
  owe_sizes(model, photo);
  owe_terms(model, photo);
  if (!g_date_valid(&sidecar->privacy_checked))
    owe(model, photo, PW_OWED_LOOKING_THROUGH, 1,
        g_strdup("not looked through for names and faces"));
}

/* ---- Pieces ------------------------------------------------------------------------ */

static void
owe_piece(PwModel *model, const PwModelPiece *piece)
{
  const PwPiece *text = piece->text;
  const PwOwed owed = {.what = PW_OWED_PIECE,
                       .piece = text,
                       .lacks = piece->lacks,
                       .n = 1,
                       .says = g_strdup_printf(
                           "the volume has gone back, and %s (%s) is not accounted for%s",
                           text->id ? text->id : "a piece", text->what ? text->what : "not named",
                           piece->lacks & PW_LACKS_OUTCOME ? ": it has no outcome" : "")};
  g_array_append_val(model->owed, owed);
}

/* As long as the volume is here, a piece may well be open. */
static void
owe_pieces(PwModel *model)
{
  if (!g_date_valid(&model->volume->returned))
    return;
  g_autoptr(PwModelLedger) ledger = pw_model_ledger_new(model, PW_FOR_STUDIO);
  for (gsize i = 0; i < ledger->n_pieces; i++)
    if (ledger->pieces[i].is_open)
      owe_piece(model, &ledger->pieces[i]);
}

/* ---- The row ----------------------------------------------------------------------- */

/* Views that are wanted in their order, then those that are not, then none. */
static guint
rank_of_view(const PwModel *model, const char *view)
{
  char **wanted = model->volume ? model->volume->views : NULL;
  guint n = wanted ? g_strv_length(wanted) : 0;
  for (guint i = 0; view && i < n; i++)
    if (strcmp(wanted[i], view) == 0)
      return i;
  return view ? n : n + 1;
}

static int
compare_numbers(guint a, guint b)
{
  return a < b ? -1 : a > b;
}

static gint
compare_owed(gconstpointer a, gconstpointer b, gpointer user)
{
  const PwModel *model = user;
  const PwOwed *x = a, *y = b;
  int order = compare_numbers(rank_of_view(model, x->view), rank_of_view(model, y->view));
  order = order ? order : g_strcmp0(x->view, y->view);
  order = order ? order : g_strcmp0(x->place, y->place);
  order = order ? order : compare_numbers(x->stage, y->stage);
  order = order ? order
                : compare_numbers(x->photo ? x->photo->owner : 0, y->photo ? y->photo->owner : 0);
  return order ? order : compare_numbers(x->what, y->what);
}

/* A photograph stands where something that is owed of it would. */
static PwOwed
place_of(PwModelPhoto *photo)
{
  const PwSidecar *sidecar = photo->sidecar;
  return (PwOwed){.view = sidecar ? sidecar->view : NULL,
                  .place = sidecar ? sidecar->place : NULL,
                  .stage = photo->stage,
                  .photo = photo};
}

static gint
compare_in_row(gconstpointer a, gconstpointer b, gpointer user)
{
  const PwOwed x = place_of(*(PwModelPhoto *const *)a), y = place_of(*(PwModelPhoto *const *)b);
  return compare_owed(&x, &y, user);
}

void
pw_model_resolve_row(PwModel *model)
{
  for (guint i = 0; i < model->photos->len; i++)
    g_ptr_array_add(model->row, model->photos->pdata[i]);
  g_ptr_array_sort_with_data(model->row, compare_in_row, model);
}

PwModelPhoto *
pw_model_peek_row(const PwModel *model, gsize i)
{
  return model->row->pdata[i];
}

void
pw_model_resolve_owed(PwModel *model, const PwComplaints *complaints)
{
  if (model->volume != NULL)
    owe_views(model);
  for (guint i = 0; i < model->photos->len; i++)
    owe_photo(model, model->photos->pdata[i], complaints);
  g_array_sort_with_data(model->owed, compare_owed, model);
  if (model->volume != NULL)
    owe_pieces(model);
}

gsize
pw_model_n_owed(const PwModel *model)
{
  return model->owed->len;
}

const PwOwed *
pw_model_peek_owed(const PwModel *model, gsize i)
{
  return &g_array_index(model->owed, PwOwed, i);
}
