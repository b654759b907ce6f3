/* Lay: where the photograph after treatment lies over the one before, everything of it is carried
 * into the px of that one: what is drawn of the picture, its marks, the crop. */
#include "lay.h"

#include <math.h>

/* Less than this share of the picture before is not worth the white that it saves. */
#define LEAST_CROP 0.8
/* Sizes of the object shown that differ by no more than this are taken for meant as one. */
#define HARDLY_SMALLER 0.97

static PwSheetPicture *
find_stage(PwSheet *sheet, PwStage stage)
{
  for (guint i = 0; i < sheet->n_pictures; i++)
    if (sheet->pictures[i].source->stage == stage)
      return &sheet->pictures[i];
  return NULL;
}

/* ---- Marks --------------------------------------------------------------------------- */

static void
path_free(gpointer data)
{
  PwPxPath *paths = data;
  for (gsize i = 0; paths[i].points != NULL; i++)
    g_free(paths[i].points);
  g_free(paths);
}

const PwPxPath *
pw_lay_carry(PwSheet *sheet, const PwSheetPicture *picture, const PwPxPath *paths, gsize n)
{
  if (!picture->laid || n == 0)
    return paths;
  PwPxPath *carried = g_new0(PwPxPath, n + 1);
  for (gsize i = 0; i < n; i++) {
    carried[i] = (PwPxPath){g_new0(PwPx, paths[i].n + 1), paths[i].n};
    for (gsize k = 0; k < paths[i].n; k++)
      pw_homography_apply(&picture->to_frame, paths[i].points[k].x, paths[i].points[k].y,
                          &carried[i].points[k].x, &carried[i].points[k].y);
  }
  if (sheet->carried == NULL)
    sheet->carried = g_ptr_array_new_with_free_func(path_free);
  g_ptr_array_add(sheet->carried, carried);
  return carried;
}

static guint
count_within(const PwHomography *h, const PwPxPath *path, double width, double height)
{
  guint n = 0;
  for (gsize i = 0; i < path->n; i++) {
    double x, y;
    pw_homography_apply(h, path->points[i].x, path->points[i].y, &x, &y);
    n += x >= 0 && x <= width && y >= 0 && y <= height ? 1 : 0;
  }
  return n;
}

/* A mark that no plate shows would be lost. */
static gboolean
keeps_marks(const PwLay *lay, const PwModel *model, PwAudience audience)
{
  const PwModelPhoto *after = lay->after->source;
  for (gsize i = 0; i < after->n_marks; i++) {
    const PwPxPath *path = &after->marks[i].text->path;
    if (path->n > 0 && pw_model_mark_shown(model, &after->marks[i], audience) &&
        count_within(&lay->pair->alignment.h, path, lay->before->width_px,
                     lay->before->height_px) == 0)
      return FALSE;
  }
  return TRUE;
}

/* ---- The picture --------------------------------------------------------------------- */

/* What one px of before is long, by the scale of after. */
static double
carried_scale(const PwLay *lay)
{
  const PwModelPhoto *after = lay->after->source;
  double j[4];
  pw_homography_jacobian(&lay->after->to_frame, after->facts.width / 2.0, after->facts.height / 2.0,
                         j);
  return lay->after->mm_per_px / sqrt(fabs(j[0] * j[3] - j[1] * j[2]));
}

static void
lay_after(const PwLay *lay)
{
  PwSheetPicture *before = lay->before, *after = lay->after;
  after->laid = TRUE;
  after->to_frame = lay->pair->alignment.h;
  after->width_px = after->crop_width = before->width_px;
  after->height_px = after->crop_height = before->height_px;
  if (!(before->mm_per_px > 0))
    before->mm_per_px = carried_scale(lay);
  after->mm_per_px = before->mm_per_px;
}

void
pw_lay_init(PwLay *lay, PwSheet *sheet, const PwModel *model, PwAudience audience)
{
  *lay = (PwLay){.before = find_stage(sheet, PW_STAGE_BEFORE),
                 .after = find_stage(sheet, PW_STAGE_AFTER)};
  if (lay->before == NULL || lay->after == NULL)
    return;
  lay->pair = pw_pair_new(model, lay->before->source, lay->after->source, NULL);
  lay->laid = lay->pair != NULL && lay->pair->is_laid && keeps_marks(lay, model, audience);
  if (lay->laid)
    lay_after(lay);
}

void
pw_lay_clear(PwLay *lay)
{
  g_clear_pointer(&lay->pair, pw_pair_free);
}

/* ---- The crop ------------------------------------------------------------------------ */

static int
compare(gconstpointer a, gconstpointer b)
{
  double p = *(const double *)a, q = *(const double *)b;
  return p < q ? -1 : p > q;
}

static void
corners_of_after(const PwLay *lay, double x[4], double y[4])
{
  const PwPhotoFacts *facts = &lay->after->source->facts;
  for (int i = 0; i < 4; i++)
    pw_homography_apply(&lay->after->to_frame, (i & 1) * facts->width, (i >> 1) * facts->height,
                        &x[i], &y[i]);
}

/* Of a four-sided figure that is little turned against the upright, or by quarter turns, the part
 * between its two inner corners each way lies all within it. */
static gboolean
find_common(const PwLay *lay, PwPx *from, PwPx *to)
{
  double x[4], y[4];
  corners_of_after(lay, x, y);
  qsort(x, 4, sizeof *x, compare);
  qsort(y, 4, sizeof *y, compare);
  *from = (PwPx){ceil(fmax(0, x[1])), ceil(fmax(0, y[1]))};
  *to = (PwPx){floor(fmin(lay->before->width_px, x[2])), floor(fmin(lay->before->height_px, y[2]))};
  return to->x > from->x && to->y > from->y;
}

static gboolean
holds_marks(const PwSheetPicture *picture, PwPx from, PwPx to)
{
  for (guint i = 0; i < picture->marks->len; i++) {
    const PwPxPath *path = g_array_index(picture->marks, PwSheetMark, i).path;
    for (gsize k = 0; k < path->n; k++)
      if (path->points[k].x < from.x || path->points[k].x > to.x || path->points[k].y < from.y ||
          path->points[k].y > to.y)
        return FALSE;
  }
  return TRUE;
}

static void
set_crop(PwSheetPicture *picture, PwPx from, PwPx to)
{
  picture->crop_x = from.x;
  picture->crop_y = from.y;
  picture->crop_width = to.x - from.x;
  picture->crop_height = to.y - from.y;
}

void
pw_lay_crop(const PwLay *lay)
{
  PwPx from, to;
  if (!lay->laid || !find_common(lay, &from, &to))
    return;
  double share = (to.x - from.x) * (to.y - from.y) / lay->before->width_px / lay->before->height_px;
  if (share < LEAST_CROP || !holds_marks(lay->before, from, to) ||
      !holds_marks(lay->after, from, to))
    return;
  set_crop(lay->before, from, to);
  set_crop(lay->after, from, to);
}

/* The least width and height that any picture shows, in mm of the object. FALSE unless all have a
 * scale and none shows much more. */
static gboolean
find_even(const PwSheet *sheet, PwPx *least)
{
  PwPx most = {0, 0};
  *least = (PwPx){HUGE_VAL, HUGE_VAL};
  for (guint i = 0; i < sheet->n_pictures; i++) {
    const PwSheetPicture *p = &sheet->pictures[i];
    if (!(p->mm_per_px > 0))
      return FALSE;
    PwPx size = {p->crop_width * p->mm_per_px, p->crop_height * p->mm_per_px};
    *least = (PwPx){fmin(least->x, size.x), fmin(least->y, size.y)};
    most = (PwPx){fmax(most.x, size.x), fmax(most.y, size.y)};
  }
  return sheet->n_pictures > 1 && least->x >= HARDLY_SMALLER * most.x &&
         least->y >= HARDLY_SMALLER * most.y;
}

void
pw_lay_even(PwSheet *sheet)
{
  PwPx least, from[PW_MOST_PICTURES], to[PW_MOST_PICTURES];
  if (!find_even(sheet, &least))
    return;
  for (guint i = 0; i < sheet->n_pictures; i++) {
    const PwSheetPicture *p = &sheet->pictures[i];
    PwPx size = {fmin(least.x / p->mm_per_px, p->crop_width),
                 fmin(least.y / p->mm_per_px, p->crop_height)};
    from[i] =
        (PwPx){p->crop_x + (p->crop_width - size.x) / 2, p->crop_y + (p->crop_height - size.y) / 2};
    to[i] = (PwPx){from[i].x + size.x, from[i].y + size.y};
    if (!holds_marks(p, from[i], to[i]))
      return;
  }
  for (guint i = 0; i < sheet->n_pictures; i++)
    set_crop(&sheet->pictures[i], from[i], to[i]);
}

gboolean
pw_lay_leaves_white(const PwLay *lay)
{
  PwHomography back;
  if (!lay->laid || !pw_homography_invert(&lay->after->to_frame, &back))
    return FALSE;
  const PwSheetPicture *p = lay->before;
  PwPx corners[] = {{p->crop_x, p->crop_y},
                    {p->crop_x + p->crop_width, p->crop_y},
                    {p->crop_x, p->crop_y + p->crop_height},
                    {p->crop_x + p->crop_width, p->crop_y + p->crop_height}};
  PwPxPath path = {corners, G_N_ELEMENTS(corners)};
  const PwPhotoFacts *facts = &lay->after->source->facts;
  return count_within(&back, &path, facts->width, facts->height) < G_N_ELEMENTS(corners);
}
