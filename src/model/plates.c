/* Which plates there are: those that volume.yaml names, else one for each view and place with its
 * stages side by side, the earliest photograph of each stage; a further photograph that carries
 * marks gets a plate of its own, since a mark that no plate shows would be lost. */
#include "model-private.h"

#include <string.h>

void
pw_model_plate_free(PwModelPlate *plate)
{
  g_free(plate->title);
  g_free(plate->view);
  g_free(plate->place);
  g_free(plate);
}

static PwModelPhoto *
first_of(const PwModelPlate *plate)
{
  return plate->before   ? plate->before
         : plate->during ? plate->during
         : plate->after  ? plate->after
                         : plate->detail;
}

static PwModelPhoto **
place_for(PwModelPlate *plate, PwStage stage)
{
  switch (stage) {
  case PW_STAGE_BEFORE:
    return &plate->before;
  case PW_STAGE_DURING:
    return &plate->during;
  case PW_STAGE_AFTER:
    return &plate->after;
  default:
    return &plate->detail;
  }
}

static char *
with_capital(const char *text)
{
  if (text == NULL || *text == '\0')
    return g_strdup("");
  g_autofree char *first = g_utf8_strup(text, g_utf8_next_char(text) - text);
  return g_strconcat(first, g_utf8_next_char(text), NULL);
}

/* In the words of a language, or the record's own without. */
static char *
dup_title(const PwModelPhoto *photo, const PwWords *words)
{
  const char *view = photo->sidecar ? photo->sidecar->view : NULL;
  const char *place = photo->sidecar ? photo->sidecar->place : NULL;
  if (words != NULL)
    view = pw_words_peek_view(words, view);
  if (view == NULL && place == NULL)
    return NULL;
  g_autofree char *both = view && place ? g_strdup_printf("%s, %s", view, place) : NULL;
  return with_capital(both ? both : view ? view : place);
}

char *
pw_model_photo_dup_title(const PwModelPhoto *photo, const PwWords *words)
{
  return dup_title(photo, words);
}

/* A photograph of no stage stands there too, whole, and is no detail for that. */
static gboolean
is_detail(const PwModelPlate *plate, const PwModelPhoto *photo)
{
  return photo == plate->detail && (plate->detail_mark != NULL || photo->stage != PW_STAGE_NONE) &&
         (photo->sidecar == NULL || g_strcmp0(photo->sidecar->view, "detail") != 0);
}

char *
pw_model_plate_dup_view(const PwModelPlate *plate, const PwModelPhoto *photo, const PwWords *words)
{
  g_autofree char *title = dup_title(photo, words);
  if (title == NULL || !is_detail(plate, photo))
    return g_steal_pointer(&title);
  return pw_words_dup_phrase(words, "plate-detail", "title", title, NULL);
}

/* "Photograph LF24_0412": without the folder and the ending. */
static char *
dup_name(const PwModelPhoto *photo, const PwWords *words)
{
  g_autofree char *name = g_path_get_basename(photo->file);
  char *ending = strrchr(name, '.');
  if (ending != NULL && ending != name)
    *ending = '\0';
  return pw_words_dup_phrase(words, "plate-photograph", "name", name, NULL);
}

char *
pw_model_plate_dup_title(const PwModelPlate *plate, const PwWords *words)
{
  const PwModelPhoto *first = first_of(plate);
  if (plate->is_named)
    return g_strdup(plate->title);
  char *title = pw_model_plate_dup_view(plate, first, words);
  return title != NULL ? title : dup_name(first, words);
}

/* Fills in what a plate says of itself from its first photograph, where the text does not say
 * it. */
static void
finish_plate(PwModel *model, PwModelPlate *plate, const char *title)
{
  const PwSidecar *sidecar = first_of(plate)->sidecar;
  plate->view = g_strdup(sidecar ? sidecar->view : NULL);
  plate->place = g_strdup(sidecar ? sidecar->place : NULL);
  plate->is_named = title != NULL;
  plate->title = title ? with_capital(title) : dup_title(first_of(plate), NULL);
  if (plate->title == NULL)
    plate->title = g_strdup(first_of(plate)->file);
  g_ptr_array_add(model->plates, plate);
}

/* ---- Plates that volume.yaml names ------------------------------------------------- */

static PwModelPhoto *
named_photo(PwModel *model, const PwPlateText *text, const char *file, PwComplaints *complaints)
{
  if (file == NULL)
    return NULL;
  PwModelPhoto *photo = pw_model_find_photo(model, file);
  if (photo == NULL)
    pw_yaml_complain(model->volume->yaml, text->node, complaints, "dangling link",
                     PW_SEVERITY_ERROR,
                     "there is no photograph %s; write its path in the volume folder", file);
  return photo;
}

static void
name_detail(PwModel *model, const PwPlateText *text, PwModelPlate *plate, PwComplaints *complaints)
{
  g_autofree char *file = NULL, *id = NULL;
  if (text->detail == NULL)
    return;
  if (!pw_reference_split(text->detail, &file, &id)) {
    plate->detail = named_photo(model, text, text->detail, complaints);
    return;
  }
  plate->detail_mark = pw_model_find_mark(model, text->detail);
  if (plate->detail_mark)
    plate->detail = plate->detail_mark->photo;
  else
    pw_yaml_complain(model->volume->yaml, text->node, complaints, "dangling link",
                     PW_SEVERITY_ERROR, "there is no mark %s", text->detail);
}

static void
named_plates(PwModel *model, PwComplaints *complaints)
{
  for (gsize i = 0; i < model->volume->n_plates; i++) {
    const PwPlateText *text = &model->volume->plates[i];
    PwModelPlate *plate = g_new0(PwModelPlate, 1);
    plate->before = named_photo(model, text, text->before, complaints);
    plate->during = named_photo(model, text, text->during, complaints);
    plate->after = named_photo(model, text, text->after, complaints);
    name_detail(model, text, plate, complaints);
    if (first_of(plate) != NULL)
      finish_plate(model, plate, text->title);
    else
      pw_model_plate_free(plate);
  }
}

/* ---- Plates by view and place ------------------------------------------------------ */

static gboolean
shows_the_same(const PwModelPhoto *a, const PwModelPhoto *b)
{
  return a->sidecar->view != NULL && g_strcmp0(a->sidecar->view, b->sidecar->view) == 0 &&
         g_strcmp0(a->sidecar->place, b->sidecar->place) == 0;
}

static void
plate_of(PwModel *model, guint first, GHashTable *shown)
{
  PwModelPhoto *photo = model->photos->pdata[first];
  PwModelPlate *plate = g_new0(PwModelPlate, 1);
  *place_for(plate, photo->stage) = photo;
  g_hash_table_add(shown, photo);
  for (guint i = first + 1; photo->stage != PW_STAGE_NONE && i < model->photos->len; i++) {
    PwModelPhoto *other = model->photos->pdata[i];
    if (other->sidecar == NULL || other->stage == PW_STAGE_NONE || !shows_the_same(photo, other) ||
        *place_for(plate, other->stage) != NULL || g_hash_table_contains(shown, other))
      continue;
    *place_for(plate, other->stage) = other;
    g_hash_table_add(shown, other);
  }
  finish_plate(model, plate, NULL);
}

static gboolean
repeats_a_shown_one(const PwModel *model, GHashTable *shown, const PwModelPhoto *photo)
{
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *other = model->photos->pdata[i];
    if (g_hash_table_contains(shown, other) && other->stage == photo->stage &&
        shows_the_same(photo, other))
      return TRUE;
  }
  return FALSE;
}

static void
plates_where(PwModel *model, GHashTable *shown, const char *view)
{
  for (guint i = 0; i < model->photos->len; i++) {
    PwModelPhoto *photo = model->photos->pdata[i];
    gboolean wanted = photo->sidecar != NULL && !g_hash_table_contains(shown, photo) &&
                      (view == NULL || g_strcmp0(photo->sidecar->view, view) == 0);
    if (wanted && (photo->n_marks > 0 || !repeats_a_shown_one(model, shown, photo)))
      plate_of(model, i, shown);
  }
}

static void
single_plate(PwModel *model)
{
  PwModelPhoto *photo = pw_model_find_photo(model, model->only);
  if (photo == NULL)
    return;
  PwModelPlate *plate = g_new0(PwModelPlate, 1);
  *place_for(plate, photo->stage) = photo;
  finish_plate(model, plate, NULL);
}

void
pw_model_resolve_plates(PwModel *model, PwComplaints *complaints)
{
  g_autoptr(GHashTable) shown = g_hash_table_new(NULL, NULL);
  if (model->only != NULL) {
    single_plate(model);
    return;
  }
  if (model->volume && model->volume->n_plates > 0) {
    named_plates(model, complaints);
    return;
  }
  for (char **view = model->volume ? model->volume->views : NULL; view && *view; view++)
    plates_where(model, shown, *view);
  plates_where(model, shown, NULL);
}
