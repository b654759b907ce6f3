/* Where the joint fit begins (Zhang 2000, 3.1): a homography for each view gives f, and f with the
 * homographies gives the poses; no distortion and no stretch yet.
 */
#include "bundle.h"

#include <math.h>

static gboolean
fit_views(const PwSheetView *views, gsize n, PwHomography *mm_to_px, GError **error)
{
  for (gsize v = 0; v < n; v++) {
    g_autofree double(*mm)[2] = g_malloc_n(views[v].n, sizeof *mm);
    g_autofree double(*px)[2] = g_malloc_n(views[v].n, sizeof *px);
    g_autoptr(GError) cause = NULL;
    for (gsize i = 0; i < views[v].n; i++) {
      mm[i][0] = views[v].mm[i].x;
      mm[i][1] = views[v].mm[i].y;
      px[i][0] = views[v].px[i].x;
      px[i][1] = views[v].px[i].y;
    }
    if (!pw_homography_fit((const double(*)[2])mm, (const double(*)[2])px, views[v].n, &mm_to_px[v],
                           NULL, &cause)) {
      g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC, "%s: %s", views[v].name, cause->message);
      return FALSE;
    }
  }
  return TRUE;
}

/* Columns of the homography, with px counted from the centre: px^2 / f^2 + py^2 / f^2 + w^2 is one
 * scalar product for the sheet's two directions, which are square and of one length (Zhang, eq. 3
 * and 4). Two equations a view for 1 / f^2. The centre starts in the middle of the frame:
 * distortion throws a closed form for it further off than lenses are. 0 where the views do not
 * tell. */
static double
first_f(const PwHomography *mm_to_px, gsize n, PwPx centre)
{
  double square = 0, right = 0;
  for (gsize v = 0; v < n; v++) {
    const double *m = mm_to_px[v].m;
    double a[3] = {m[0] - centre.x * m[6], m[3] - centre.y * m[6], m[6]};
    double b[3] = {m[1] - centre.x * m[7], m[4] - centre.y * m[7], m[7]};
    double size = hypot(a[0], a[1]) * hypot(b[0], b[1]);
    double left[2] = {a[0] * b[0] + a[1] * b[1],
                      a[0] * a[0] + a[1] * a[1] - b[0] * b[0] - b[1] * b[1]};
    double known[2] = {a[2] * b[2], a[2] * a[2] - b[2] * b[2]};
    for (int i = 0; i < 2; i++) {
      square += left[i] * left[i] / (size * size);
      right -= left[i] * known[i] / (size * size);
    }
  }
  return right > 0 ? sqrt(square / right) : 0;
}

static void
unit(double v[3])
{
  double length = sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
  for (int i = 0; i < 3; i++)
    v[i] /= length;
}

static void
cross(const double a[3], const double b[3], double out[3])
{
  for (int i = 0; i < 3; i++)
    out[i] = a[(i + 1) % 3] * b[(i + 2) % 3] - a[(i + 2) % 3] * b[(i + 1) % 3];
}

static void
first_pose(const PwHomography *mm_to_px, const PwLens *lens, PwSheetPose *pose)
{
  const double *m = mm_to_px->m;
  double column[3][3], lengths[2];
  for (int c = 0; c < 3; c++) {
    column[c][0] = (m[c] - lens->cx * m[6 + c]) / lens->f_px;
    column[c][1] = (m[3 + c] - lens->cy * m[6 + c]) / lens->f_px;
    column[c][2] = m[6 + c];
  }
  for (int c = 0; c < 2; c++)
    lengths[c] = hypot(hypot(column[c][0], column[c][1]), column[c][2]);
  for (int i = 0; i < 3; i++)
    pose->t[i] = column[2][i] / sqrt(lengths[0] * lengths[1]);
  unit(column[0]);
  cross(column[0], column[1], column[2]);
  unit(column[2]);
  cross(column[2], column[0], column[1]);
  for (int i = 0; i < 9; i++)
    pose->r[i] = column[i % 3][i / 3];
}

gboolean
pw_bundle_begin(PwBundle *bundle, double width, double height, GError **error)
{
  g_autofree PwHomography *mm_to_px = g_new(PwHomography, bundle->n);
  if (!fit_views(bundle->views, bundle->n, mm_to_px, error))
    return FALSE;
  PwPx middle = {width / 2, height / 2};
  bundle->lens =
      (PwLens){.f_px = first_f(mm_to_px, bundle->n, middle), .cx = middle.x, .cy = middle.y};
  bundle->stretch = 1;
  for (gsize v = 0; v < bundle->n; v++)
    first_pose(&mm_to_px[v], &bundle->lens, &bundle->poses[v]);
  return TRUE;
}
