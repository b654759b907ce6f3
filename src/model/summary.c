/* The condition of the volume in figures: part by part and face by face, as far as an audience may
 * see it. Counted are places: a point stands for as many as its count, and what stands on many
 * photographs counts once. */
#include "model-private.h"

#include <string.h>

/* From the outside in: the covering, what holds it, the text block, what lies within. A word that
 * begins or ends with one of these stands with it: "front joint", "spine leather". */
static const char *const parts_in_order[] = {
    "front board", "board", "spine",   "back board", "boards", "covering",   "label", "corner",
    "joint",       "hinge", "headcap", "endband",    "sewing", "text block", "head",  "tail",
    "fore edge",   "edge",  "endleaf", "pastedown",  "gutter", "title page", "leaf",  "leaves"};

/* ---- What may be seen -------------------------------------------------------------- */

static gboolean
is_seen(const PwModel *model, const PwModelMark *mark, PwAudience audience)
{
  return pw_model_mark_shown(model, mark, audience) &&
         pw_model_photo_shown(model, mark->photo, audience);
}

/* All marks of the record before and after treatment that may be seen; PwModelMark *. */
static GPtrArray *
marks_seen(const PwModel *model, PwAudience audience)
{
  GPtrArray *marks = g_ptr_array_new();
  for (guint i = 0; i < model->photos->len; i++) {
    PwModelPhoto *photo = model->photos->pdata[i];
    if (photo->stage != PW_STAGE_BEFORE && photo->stage != PW_STAGE_AFTER)
      continue;
    for (gsize j = 0; j < photo->n_marks; j++)
      if (is_seen(model, &photo->marks[j], audience))
        g_ptr_array_add(marks, &photo->marks[j]);
  }
  return marks;
}

/* ---- Places ------------------------------------------------------------------------ */

/* In places. */
typedef struct {
  guint before, after, followed;
} Counts;

gboolean
pw_model_is_damage(const char *group)
{
  return g_strcmp0(group, "noted") != 0;
}

gboolean
pw_model_after_is_told(guint n_before, guint n_followed, guint n_after)
{
  return n_after > 0 || n_followed == n_before;
}

/* Those that are damage, or those that are only noted. */
static GPtrArray *
marks_of(const GPtrArray *marks, gboolean damage)
{
  GPtrArray *of = g_ptr_array_new();
  for (guint i = 0; i < marks->len; i++)
    if (pw_model_is_damage(((const PwModelMark *)marks->pdata[i])->group) == damage)
      g_ptr_array_add(of, marks->pdata[i]);
  return of;
}

/* Of the marks at one stage, those of the families in `of`; all where that is NULL. */
static guint
count_at(const GPtrArray *marks, PwStage stage, GHashTable *of)
{
  g_autoptr(GPtrArray) at = g_ptr_array_new();
  for (guint i = 0; i < marks->len; i++) {
    PwModelMark *mark = marks->pdata[i];
    if (mark->photo->stage == stage && (of == NULL || g_hash_table_contains(of, mark->family)))
      g_ptr_array_add(at, mark);
  }
  return pw_model_count_places((PwModelMark *const *)at->pdata, at->len);
}

/* The families that any of the marks is of after treatment; yours. */
static GHashTable *
families_after(const GPtrArray *marks)
{
  GHashTable *families = g_hash_table_new(NULL, NULL);
  for (guint i = 0; i < marks->len; i++) {
    const PwModelMark *mark = marks->pdata[i];
    if (mark->photo->stage == PW_STAGE_AFTER)
      g_hash_table_add(families, mark->family);
  }
  return families;
}

/* A damage is followed where any mark after treatment says what became of it. */
static Counts
count_marks(const GPtrArray *marks)
{
  g_autoptr(GHashTable) followed = families_after(marks);
  return (Counts){.before = count_at(marks, PW_STAGE_BEFORE, NULL),
                  .after = count_at(marks, PW_STAGE_AFTER, NULL),
                  .followed = count_at(marks, PW_STAGE_BEFORE, followed)};
}

static Counts
count_of(const GPtrArray *marks, gboolean damage)
{
  g_autoptr(GPtrArray) of = marks_of(marks, damage);
  return count_marks(of);
}

static int
severity_of(const GPtrArray *marks)
{
  int severity = 0;
  for (guint i = 0; i < marks->len; i++) {
    const PwModelMark *mark = marks->pdata[i];
    if (mark->photo->stage == PW_STAGE_BEFORE)
      severity = MAX(severity, mark->text->severity);
  }
  return severity;
}

/* ---- One term on one part ---------------------------------------------------------- */

/* In marks, not owned, of one part or of one part and term. */
typedef struct {
  const char *key; /* the part, the term, the view */
  GPtrArray *marks;
} Bundle;

static void
clear_bundle(gpointer data)
{
  g_ptr_array_unref(((Bundle *)data)->marks);
}

static GArray *
bundles_new(void)
{
  GArray *bundles = g_array_new(FALSE, FALSE, sizeof(Bundle));
  g_array_set_clear_func(bundles, clear_bundle);
  return bundles;
}

static Bundle *
bundle_for(GArray *bundles, const char *key)
{
  for (guint i = 0; i < bundles->len; i++)
    if (g_strcmp0(g_array_index(bundles, Bundle, i).key, key) == 0)
      return &g_array_index(bundles, Bundle, i);
  const Bundle bundle = {key, g_ptr_array_new()};
  g_array_append_val(bundles, bundle);
  return &g_array_index(bundles, Bundle, bundles->len - 1);
}

static gboolean
is_followed(const PwModelCondition *condition)
{
  return condition->before.count > 0 && condition->n_followed == condition->before.count;
}

/* Areas and lengths cannot be taken from each other; a term that is drawn as both has no one
 * change. A kind that is on neither side stays out. */
static void
find_change(PwModelCondition *condition)
{
  const PwModelTotal *before = &condition->before, *after = &condition->after;
  const gboolean areas = before->has_area && after->has_area;
  const gboolean lengths = before->has_length && after->has_length;
  const gboolean mixed =
      (before->has_area || after->has_area) && (before->has_length || after->has_length);
  if (!is_followed(condition) || before->unsized > 0 || after->unsized > 0 || mixed ||
      (!areas && !lengths))
    return;
  condition->has_change = TRUE;
  condition->is_length = lengths;
  if (lengths)
    pw_size_combine(1, &after->length_mm, -1, &before->length_mm, &condition->change);
  else
    pw_size_combine(1, &after->area_mm2, -1, &before->area_mm2, &condition->change);
}

static PwModelCondition
condition_of(const PwModel *model, const char *part, const Bundle *bundle)
{
  const PwModelMark *first = bundle->marks->pdata[0];
  PwModelCondition condition = {.part = part,
                                .term = bundle->key,
                                .group = first->group,
                                .n_followed = count_marks(bundle->marks).followed,
                                .severity = severity_of(bundle->marks)};
  PwModelMark *const *marks = (PwModelMark *const *)bundle->marks->pdata;
  pw_model_total_of(model, PW_STAGE_BEFORE, marks, bundle->marks->len, &condition.before);
  pw_model_total_of(model, PW_STAGE_AFTER, marks, bundle->marks->len, &condition.after);
  condition.before.term = condition.after.term = bundle->key;
  condition.before.part = condition.after.part = part;
  find_change(&condition);
  return condition;
}

static gint
compare_conditions(gconstpointer a, gconstpointer b)
{
  const PwModelCondition *x = a, *y = b;
  if (x->severity != y->severity)
    return x->severity > y->severity ? -1 : 1;
  return strcmp(x->term, y->term);
}

/* ---- Parts ------------------------------------------------------------------------- */

static gboolean
is_word_of(const char *part, const char *word)
{
  const gsize n = strlen(word), all = strlen(part);
  return all >= n && ((strncmp(part, word, n) == 0 && (part[n] == ' ' || part[n] == '\0')) ||
                      (strcmp(part + all - n, word) == 0 && all > n && part[all - n - 1] == ' '));
}

/* An exact word before one that it is a part of; what is unknown last, and what has no part after
 * that. */
static guint
rank_of_part(const char *part)
{
  const guint n = G_N_ELEMENTS(parts_in_order);
  for (guint i = 0; part && i < n; i++)
    if (strcmp(part, parts_in_order[i]) == 0)
      return i;
  for (guint i = 0; part && i < n; i++)
    if (is_word_of(part, parts_in_order[i]))
      return i;
  return part ? n : n + 1;
}

static gint
compare_parts(gconstpointer a, gconstpointer b)
{
  const PwModelPart *x = a, *y = b;
  const guint i = rank_of_part(x->part), j = rank_of_part(y->part);
  return i != j ? (i < j ? -1 : 1) : g_strcmp0(x->part, y->part);
}

static PwModelPart
part_of(const PwModel *model, const Bundle *bundle)
{
  const Counts counts = count_of(bundle->marks, TRUE);
  PwModelPart part = {.part = bundle->key,
                      .n_before = counts.before,
                      .n_after = counts.after,
                      .n_followed = counts.followed,
                      .n_noted = count_of(bundle->marks, FALSE).before,
                      .severity = severity_of(bundle->marks)};
  g_autoptr(GArray) by_term = bundles_new();
  for (guint i = 0; i < bundle->marks->len; i++)
    g_ptr_array_add(bundle_for(by_term, pw_model_mark_word(bundle->marks->pdata[i]))->marks,
                    bundle->marks->pdata[i]);
  GArray *terms = g_array_new(FALSE, FALSE, sizeof(PwModelCondition));
  for (guint i = 0; i < by_term->len; i++) {
    const PwModelCondition condition =
        condition_of(model, part.part, &g_array_index(by_term, Bundle, i));
    g_array_append_val(terms, condition);
  }
  g_array_sort(terms, compare_conditions);
  part.n_terms = terms->len;
  part.terms = (PwModelCondition *)(void *)g_array_free(terms, FALSE);
  return part;
}

static void
take_parts(const PwModel *model, const GPtrArray *marks, PwModelSummary *summary)
{
  g_autoptr(GArray) by_part = bundles_new();
  for (guint i = 0; i < marks->len; i++) {
    const PwModelMark *mark = marks->pdata[i];
    g_ptr_array_add(bundle_for(by_part, mark->text->part)->marks, marks->pdata[i]);
  }
  GArray *parts = g_array_new(FALSE, FALSE, sizeof(PwModelPart));
  for (guint i = 0; i < by_part->len; i++) {
    const PwModelPart part = part_of(model, &g_array_index(by_part, Bundle, i));
    g_array_append_val(parts, part);
  }
  g_array_sort(parts, compare_parts);
  summary->n_parts = parts->len;
  summary->parts = (PwModelPart *)(void *)g_array_free(parts, FALSE);
}

/* ---- Faces ------------------------------------------------------------------------- */

static PwModelFace *
face_for(GArray *faces, const char *view)
{
  for (guint i = 0; i < faces->len; i++)
    if (g_strcmp0(g_array_index(faces, PwModelFace, i).view, view) == 0)
      return &g_array_index(faces, PwModelFace, i);
  const PwModelFace face = {.view = view};
  g_array_append_val(faces, face);
  return &g_array_index(faces, PwModelFace, faces->len - 1);
}

/* What became of a damage may be told on another face than where it was seen. */
static void
count_face(const GPtrArray *marks, GHashTable *followed, PwModelFace *face)
{
  g_autoptr(GPtrArray) here = g_ptr_array_new();
  for (guint i = 0; i < marks->len; i++) {
    const PwModelMark *mark = marks->pdata[i];
    if (g_strcmp0(mark->photo->sidecar->view, face->view) == 0)
      g_ptr_array_add(here, marks->pdata[i]);
  }
  g_autoptr(GPtrArray) damage = marks_of(here, TRUE);
  face->n_before = count_at(damage, PW_STAGE_BEFORE, NULL);
  face->n_after = count_at(damage, PW_STAGE_AFTER, NULL);
  face->n_followed = count_at(damage, PW_STAGE_BEFORE, followed);
  face->severity = severity_of(here);
}

/* Photographs come in the order of the row: wanted views first. */
static void
take_faces(const PwModel *model, const GPtrArray *marks, PwAudience audience,
           PwModelSummary *summary)
{
  GArray *faces = g_array_new(FALSE, FALSE, sizeof(PwModelFace));
  char **wanted = model->volume ? model->volume->views : NULL;
  for (; wanted && *wanted; wanted++)
    face_for(faces, *wanted);
  for (guint i = 0; i < model->row->len; i++) {
    const PwModelPhoto *photo = model->row->pdata[i];
    if (!pw_model_photo_shown(model, photo, audience))
      continue;
    PwModelFace *face = face_for(faces, photo->sidecar->view);
    face->n_photos++;
    face->has_before = face->has_before || photo->stage == PW_STAGE_BEFORE;
    face->has_after = face->has_after || photo->stage == PW_STAGE_AFTER;
  }
  g_autoptr(GHashTable) followed = families_after(marks);
  for (guint i = 0; i < faces->len; i++)
    count_face(marks, followed, &g_array_index(faces, PwModelFace, i));
  summary->n_faces = faces->len;
  summary->faces = (PwModelFace *)(void *)g_array_free(faces, FALSE);
}

/* ---- The whole --------------------------------------------------------------------- */

PwModelSummary *
pw_model_summary_new(const PwModel *model, PwAudience audience)
{
  PwModelSummary *summary = g_new0(PwModelSummary, 1);
  g_autoptr(GPtrArray) marks = marks_seen(model, audience);
  const Counts counts = count_of(marks, TRUE);
  summary->n_noted = count_of(marks, FALSE).before;
  summary->n_before = counts.before;
  summary->n_after = counts.after;
  summary->n_followed = counts.followed;
  take_parts(model, marks, summary);
  take_faces(model, marks, audience, summary);
  return summary;
}

void
pw_model_summary_free(PwModelSummary *summary)
{
  if (summary == NULL)
    return;
  for (gsize i = 0; i < summary->n_parts; i++) {
    for (gsize j = 0; j < summary->parts[i].n_terms; j++) {
      PwModelCondition *condition = &summary->parts[i].terms[j];
      pw_model_total_clear(&condition->before);
      pw_model_total_clear(&condition->after);
      pw_size_clear(&condition->change);
    }
    g_free(summary->parts[i].terms);
  }
  g_free(summary->parts);
  g_free(summary->faces);
  g_free(summary);
}
