/* What is being drawn, measured by the code that measures what is saved. Nothing here changes the
 * model, so that several threads may ask at once. */
#include "model-private.h"

/* ---- A mark ------------------------------------------------------------------------ */

/* The mark of the same id counts as the one that is drawn anew; another is one more. */
static guint
owner_of(const PwModel *model, const PwModelPhoto *photo, const PwMark *text)
{
  guint n = 0;
  for (gsize i = 0; text->id && i < photo->n_marks; i++)
    if (g_strcmp0(photo->marks[i].text->id, text->id) == 0)
      return photo->marks[i].owner;
  for (guint i = 0; i < model->photos->len; i++)
    n += (guint)((const PwModelPhoto *)model->photos->pdata[i])->n_marks;
  return n + 1;
}

void
pw_model_size_draft(const PwModel *model, const PwModelPhoto *photo, const PwMark *text,
                    PwModelMark *mark)
{
  g_autoptr(PwComplaints) unused = pw_complaints_new();
  pw_model_mark_init(model, (PwModelPhoto *)photo, text, owner_of(model, photo, text), mark);
  if (photo->sidecar == NULL) {
    mark->why = g_strdup("no sidecar");
    mark->why_not = PW_WHY_NOT_GIVEN;
    return;
  }
  pw_model_choose_card(mark, unused);
  pw_model_measure_mark(model, mark);
}

/* ---- A scale ----------------------------------------------------------------------- */

typedef struct {
  PwModelPhoto photo; /* first: this is what the caller holds */
  PwSidecar *text;
  PwSidecar sidecar; /* the photograph's own, with the scale of `text` */
  PwLook look;
} DraftScale;

/* Where the saved scale is by tags too, they have been looked for already. */
static void
take_look(const PwModel *model, const PwModelPhoto *photo, DraftScale *draft)
{
  const gboolean by_tags = draft->sidecar.scale.given == PW_GIVEN_TAGS;
  if (by_tags && photo->sidecar->scale.given == PW_GIVEN_TAGS)
    return;
  pw_model_look_at(model, &draft->photo, &draft->look);
  draft->photo.look = &draft->look;
}

PwModelPhoto *
pw_model_new_draft_scale(const PwModel *model, const PwModelPhoto *photo, PwSidecar *text)
{
  DraftScale *draft = g_new0(DraftScale, 1);
  g_autoptr(PwComplaints) unused = pw_complaints_new();
  draft->text = text;
  draft->photo = *photo;
  draft->photo.scale = NULL;
  draft->photo.why = NULL;
  draft->photo.why_not = PW_WHY_NOT_NONE;
  draft->photo.graduations = 0;
  draft->photo.cards = NULL;
  draft->photo.n_cards = 0;
  draft->photo.has_surface = FALSE;
  draft->photo.surface_mm2 = (PwSize){0};
  draft->photo.marks = NULL;
  draft->photo.n_marks = 0;
  if (photo->sidecar != NULL) {
    draft->sidecar = *photo->sidecar;
    draft->sidecar.scale = text->scale;
    draft->sidecar.yaml = text->yaml;
    draft->photo.sidecar = &draft->sidecar;
    take_look(model, photo, draft);
  }
  pw_model_resolve_scale(model, &draft->photo, unused);
  return &draft->photo;
}

void
pw_model_free_draft_scale(PwModelPhoto *photo)
{
  if (photo == NULL)
    return;
  DraftScale *draft = (DraftScale *)photo;
  pw_model_clear_scale(photo);
  g_free(photo->why);
  pw_look_clear(&draft->look);
  pw_sidecar_free(draft->text);
  g_free(draft);
}
