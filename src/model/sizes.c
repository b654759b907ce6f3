/* The sizes of single marks, and of many taken together: of linked marks the surest one, then
 * united photograph by photograph and plane-offset by plane-offset, then added. */
#include "model-private.h"

#include <math.h>

/* ---- One mark ---------------------------------------------------------------------- */

static PwShape
shape_of(const PwModelMark *mark)
{
  return (PwShape){.kind = mark->kind,
                   .path = mark->text->path,
                   .holes = mark->text->holes,
                   .n_holes = mark->text->n_holes,
                   .mark_owner = mark->owner,
                   .outline_px = mark->text->outline_px};
}

static void
measure_surface(PwModelPhoto *photo)
{
  PwOutlineFault fault;
  if (photo->scale == NULL || photo->sidecar->surface.n < 3 ||
      !pw_outline_check(&photo->sidecar->surface, &fault))
    return;
  PwShape shape = {.kind = PW_KIND_AREA,
                   .path = photo->sidecar->surface,
                   .mark_owner = photo->owner,
                   .is_surface = TRUE};
  PwShapeSizes sizes = {0};
  photo->has_surface = pw_measure_shape(photo->scale, &shape, &sizes, NULL);
  if (photo->has_surface)
    pw_size_copy(&sizes.area_mm2, &photo->surface_mm2);
  pw_shape_sizes_clear(&sizes);
}

/* A figure of eight has an area to the formula, and none that could be shown. */
static gboolean
is_measurable(const PwModelMark *mark, PwWhy *why)
{
  PwOutlineFault fault;
  const PwMark *text = mark->text;
  if (mark->kind != PW_KIND_AREA || text->path.n == 0 ||
      (pw_outline_check(&text->path, &fault) &&
       pw_outline_check_holes(&text->path, text->holes, text->n_holes, &fault)))
    return TRUE;
  *why = (PwWhy){PW_WHY_NOT_OUTLINE, g_strdup("its outline is at fault")};
  return FALSE;
}

static void
measure_alone(const PwModel *model, PwModelMark *mark)
{
  if (mark->kind == PW_KIND_POINT)
    return;
  if (mark->text->gone) {
    mark->sized = TRUE; /* made good: nothing is left, and nothing of it is uncertain */
    return;
  }
  PwShape shape = shape_of(mark);
  if (mark->kind == PW_KIND_AREA)
    mark->area_px = pw_shape_area_px(&shape);
  mark->length_px = pw_shape_length_px(&shape);
  PwWhy why = {PW_WHY_NOT_NONE, NULL};
  const PwScale *scale = is_measurable(mark, &why) ? pw_model_scale_of(model, mark, &why) : NULL;
  mark->why = why.says;
  mark->why_not = why.kind;
  if (scale == NULL)
    return;
  g_autoptr(GError) cause = NULL;
  PwScaleFacts facts;
  pw_scale_facts(scale, &facts);
  mark->plane_offset_mm = facts.plane_offset_mm;
  mark->sized = pw_measure_shape(scale, &shape, &mark->sizes, &cause);
  if (!mark->sized) {
    mark->why = g_strdup(cause->message);
    mark->why_not = PW_WHY_NOT_ANSWER;
  }
}

static void
measure_share(PwModelMark *mark)
{
  if (mark->sized && mark->kind == PW_KIND_AREA && mark->photo->has_surface && !mark->text->gone)
    mark->has_share =
        pw_size_ratio(100, &mark->sizes.area_mm2, &mark->photo->surface_mm2, &mark->share_percent);
}

void
pw_model_measure_mark(const PwModel *model, PwModelMark *mark)
{
  measure_alone(model, mark);
  measure_share(mark);
}

void
pw_model_mark_clear(PwModelMark *mark)
{
  pw_shape_sizes_clear(&mark->sizes);
  pw_size_clear(&mark->share_percent);
  g_clear_pointer(&mark->own_scale, pw_scale_free);
  g_clear_pointer(&mark->reference, g_free);
  g_clear_pointer(&mark->why, g_free);
}

static void
measure_photo(void *user, guint i)
{
  const PwModel *model = user;
  PwModelPhoto *photo = model->photos->pdata[i];
  if (photo->sidecar)
    measure_surface(photo);
  for (gsize j = 0; j < photo->n_marks; j++)
    pw_model_measure_mark(model, &photo->marks[j]);
}

void
pw_model_resolve_sizes(PwModel *model)
{
  pw_each(model->photos->len, 0, measure_photo, model);
}

const PwSize *
pw_model_mark_size(const PwModelMark *mark)
{
  if (!mark->sized)
    return NULL;
  return mark->kind == PW_KIND_AREA ? &mark->sizes.area_mm2 : &mark->sizes.length_mm;
}

/* ---- Many marks -------------------------------------------------------------------- */

static PwModelMark *
end_of_chain(PwModelMark *mark)
{
  while (mark->same_as != NULL)
    mark = mark->same_as;
  return mark;
}

/* Whether `a` is the better witness of one damage: sized beats unsized, a smaller u a larger; of
 * equals the one that the others point at. */
static gboolean
is_surer(const PwModelMark *a, const PwModelMark *b)
{
  const PwSize *x = pw_model_mark_size(a), *y = pw_model_mark_size(b);
  if (x == NULL || y == NULL)
    return x != NULL || (y == NULL && a->same_as == NULL);
  double ua = pw_size_quantity(x).u, ub = pw_size_quantity(y).u;
  return ua < ub || (!(ub < ua) && a->same_as == NULL);
}

/* One mark for each damage, in the order in which the damages first come. */
static GPtrArray *
one_of_each(PwModelMark *const *marks, gsize n)
{
  GPtrArray *kept = g_ptr_array_new();
  g_autoptr(GHashTable) place = g_hash_table_new(NULL, NULL); /* chain's end -> 1 + index */
  for (gsize i = 0; i < n; i++) {
    PwModelMark *end = end_of_chain(marks[i]);
    guint at = GPOINTER_TO_UINT(g_hash_table_lookup(place, end));
    if (at == 0) {
      g_ptr_array_add(kept, marks[i]);
      g_hash_table_insert(place, end, GUINT_TO_POINTER(kept->len));
    } else if (is_surer(marks[i], kept->pdata[at - 1])) {
      kept->pdata[at - 1] = marks[i];
    }
  }
  return kept;
}

static gboolean
lie_in_one_plane(const PwModelMark *a, const PwModelMark *b)
{
  return a->photo == b->photo && a->card == b->card &&
         fabs(a->plane_offset_mm - b->plane_offset_mm) < 1e-9;
}

static void
add_size(PwPooled *pooled, const PwSize *size)
{
  PwSize sum;
  pw_size_combine(1, &pooled->size, 1, size, &sum);
  pw_size_clear(&pooled->size);
  pooled->size = sum;
  pooled->sized = TRUE;
}

/* Unites the marks of `kept` that lie in one plane with number `first`; takes them out. */
static void
pool_plane(const PwModel *model, GPtrArray *kept, guint first, PwPooled *pooled)
{
  g_autoptr(GArray) shapes = g_array_new(FALSE, FALSE, sizeof(PwShape));
  g_autoptr(GPtrArray) pointers = g_ptr_array_new();
  PwModelMark *mark = kept->pdata[first];
  for (guint i = first; i < kept->len; i++) {
    PwModelMark *other = kept->pdata[i];
    if (other == NULL || !other->sized || other->text->gone || !lie_in_one_plane(mark, other))
      continue;
    PwShape shape = shape_of(other);
    g_array_append_val(shapes, shape);
    kept->pdata[i] = NULL;
  }
  for (guint i = 0; i < shapes->len; i++)
    g_ptr_array_add(pointers, &g_array_index(shapes, PwShape, i));
  PwWhy why = {PW_WHY_NOT_NONE, NULL};
  const PwScale *scale = pw_model_scale_of(model, mark, &why);
  g_free(why.says);
  PwSize united = {0};
  if (scale != NULL && pw_measure_union(scale, (const PwShape *const *)pointers->pdata,
                                        pointers->len, &united, NULL))
    add_size(pooled, &united);
  else
    pooled->unsized += shapes->len;
  pw_size_clear(&united);
}

static guint
count_places(const GPtrArray *kept)
{
  guint n = 0;
  for (guint i = 0; i < kept->len; i++) {
    const PwModelMark *mark = kept->pdata[i];
    if (!mark->text->gone)
      n += mark->kind == PW_KIND_POINT ? (guint)mark->text->count : 1;
  }
  return n;
}

guint
pw_model_count_places(PwModelMark *const *marks, gsize n)
{
  g_autoptr(GPtrArray) kept = one_of_each(marks, n);
  return count_places(kept);
}

void
pw_model_pool(const PwModel *model, PwModelMark *const *marks, gsize n, PwPooled *pooled)
{
  g_autoptr(GPtrArray) kept = one_of_each(marks, n);
  *pooled = (PwPooled){.count = count_places(kept)};
  for (guint i = 0; i < kept->len; i++)
    pooled->sized = pooled->sized || ((const PwModelMark *)kept->pdata[i])->text->gone;
  for (guint i = 0; i < kept->len; i++) {
    const PwModelMark *mark = kept->pdata[i];
    if (mark == NULL || mark->text->gone || mark->kind == PW_KIND_POINT)
      continue;
    if (mark->sized)
      pool_plane(model, kept, i, pooled);
    else
      pooled->unsized++;
  }
}
