/* Scaled: a start from two pictures whose scale is known, each from a card of its own that may have
 * lain anywhere. Both are laid out flat in mm; what is left is a turn and a shift. Turns are tried
 * one after another; the shift of each is the peak of the phase correlation (Kuglin and Hines
 * 1975).
 */
#include <platewright/align.h>

#include <math.h>

#include "fourier.h"
#include "grey.h"

enum { MEAN_REACH = 6 /* cells round one whose mean is taken away from it */ };
/* Turns tried, degrees: the camera is seldom held otherwise; then all the way round; then finely.
 */
#define NEAR_DEG 16.0
#define ROUGH_STEP_DEG 2.0
#define FINE_STEP_DEG 0.5
/* A peak this many deviations above all values is one: of a right turn it is 30 to 80 in the rough
 * layout, over 85 in the fine one; of noise 5, of lines of print that lie on other lines 24. */
#define ROUGH_PEAK 27.0
#define FINE_PEAK 40.0
/* A picture in steep view is laid out no further than this times its half diagonal. */
#define MOST_REACH 1.5

typedef struct {
  PwGreys greys;
  PwHomography to_px; /* mm to px */
  PwMm middle;        /* of the frame */
  double reach_mm;    /* of the frame from there */
} View;

typedef struct {
  double turn_deg, score;
  PwMm shift;
} Found;

/* ---- A picture laid out in mm ---------------------------------------------------------- */

static gboolean
view_init(View *view, const PwAlignScaled *of)
{
  const PwPlane *plane = of->plane;
  double j[4], width = plane->width, height = plane->height;
  pw_greys_init(&view->greys, plane, &of->cards);
  if (!pw_homography_invert(&of->to_mm, &view->to_px))
    return FALSE;
  pw_homography_apply(&of->to_mm, width / 2, height / 2, &view->middle.x, &view->middle.y);
  pw_homography_jacobian(&of->to_mm, width / 2, height / 2, j);
  double most = MOST_REACH * hypot(width, height) / 2 * sqrt(fabs(j[0] * j[3] - j[1] * j[2]));
  for (int i = 0; i < 4; i++) {
    double x, y;
    pw_homography_apply(&of->to_mm, i % 2 ? width : 0, i / 2 ? height : 0, &x, &y);
    view->reach_mm = MAX(view->reach_mm, hypot(x - view->middle.x, y - view->middle.y));
  }
  view->reach_mm = MIN(view->reach_mm, most);
  return isfinite(view->reach_mm) && view->reach_mm > 0;
}

/* The copy whose px are nearest to a cell in size. */
static const PwGrey *
copy_for(const View *view, double cell_mm)
{
  double j[4];
  pw_homography_jacobian(&view->to_px, view->middle.x, view->middle.y, j);
  return pw_greys_nearest(&view->greys, 1 / (cell_mm * sqrt(fabs(j[0] * j[3] - j[1] * j[2]))));
}

/* Cells of `cell_mm`, the frame's middle in theirs, turned by `turn`. */
static void
lay_out(const View *view, int side, double cell_mm, double turn, float *values, guint8 *there)
{
  const PwGrey *grey = copy_for(view, cell_mm);
  double c = cos(turn) * cell_mm, s = sin(turn) * cell_mm;
  for (int y = 0; y < side; y++)
    for (int x = 0; x < side; x++, values++, there++) {
      double dx = x + 0.5 - side / 2.0, dy = y + 0.5 - side / 2.0, px, py;
      pw_homography_apply(&view->to_px, view->middle.x + c * dx + s * dy,
                          view->middle.y - s * dx + c * dy, &px, &py);
      px *= grey->scale;
      py *= grey->scale;
      *there = px >= 0 && py >= 0 && px < grey->width && py < grey->height &&
               !pw_grey_is_left_out(grey, px, py);
      *values = *there ? pw_grey_at(grey, (int)px, (int)py) : 0;
    }
}

typedef struct {
  double n, sum;
} Total;

/* Totals over all cells above and to the left. */
static Total *
totals_new(const float *values, const guint8 *there, int side)
{
  Total *totals = g_new0(Total, (side + 1) * (side + 1));
  for (int y = 0; y < side; y++) {
    Total row = {0};
    for (int x = 0; x < side; x++) {
      row.n += there[y * side + x];
      row.sum += (double)values[y * side + x];
      const Total *above = &totals[y * (side + 1) + x + 1];
      totals[(y + 1) * (side + 1) + x + 1] = (Total){above->n + row.n, above->sum + row.sum};
    }
  }
  return totals;
}

/* What a cell is above its neighbours, into a square twice as wide, for the transform. */
static PwComplex *
layout_new(const View *view, int side, double cell_mm, double turn)
{
  g_autofree float *values = g_new(float, side *side);
  g_autofree guint8 *there = g_new(guint8, side * side);
  lay_out(view, side, cell_mm, turn, values, there);
  g_autofree Total *totals = totals_new(values, there, side);
  PwComplex *layout = g_new0(PwComplex, 4 * side * side);
  for (int y = 0; y < side; y++)
    for (int x = 0; x < side; x++) {
      int x0 = MAX(x - MEAN_REACH, 0), x1 = MIN(x + MEAN_REACH + 1, side);
      int y0 = MAX(y - MEAN_REACH, 0), y1 = MIN(y + MEAN_REACH + 1, side);
      const Total *a = &totals[y0 * (side + 1)], *b = &totals[y1 * (side + 1)];
      double n = b[x1].n - b[x0].n - a[x1].n + a[x0].n;
      double sum = b[x1].sum - b[x0].sum - a[x1].sum + a[x0].sum;
      if (there[y * side + x])
        layout[2 * y * side + x].re = (float)((double)values[y * side + x] - sum / n);
    }
  pw_fourier(layout, 2 * side, FALSE);
  return layout;
}

/* ---- The turn and the shift ------------------------------------------------------------ */

/* `before` and `after` transformed; `after` is used up. */
static void
correlate(const PwComplex *before, PwComplex *after, int side, double cell_mm, double turn_deg,
          Found *best)
{
  const int n = 2 * side;
  double squares = 0;
  int peak = 0;
  for (int i = 0; i < n * n; i++) {
    PwComplex b = before[i], a = after[i];
    PwComplex product = {b.re * a.re + b.im * a.im, b.im * a.re - b.re * a.im};
    float size = hypotf(product.re, product.im);
    after[i] = size > 0 ? (PwComplex){product.re / size, product.im / size} : (PwComplex){0, 0};
  }
  pw_fourier(after, n, TRUE);
  for (int i = 0; i < n * n; i++) {
    squares += (double)(after[i].re * after[i].re);
    if (after[i].re > after[peak].re)
      peak = i;
  }
  double score = squares > 0 ? (double)after[peak].re / sqrt(squares / (n * n)) : 0;
  int x = peak % n, y = peak / n;
  if (score > best->score)
    *best = (Found){
        turn_deg, score, {(x < side ? x : x - n) * cell_mm, (y < side ? y : y - n) * cell_mm}};
}

typedef struct {
  const View *before, *after;
  int side;
  double cell_mm, from_deg, step_deg;
  const PwComplex *laid; /* before, transformed */
  Found *found;          /* one a turn */
} Search;

static void
try_turn(void *user, guint i)
{
  Search *search = user;
  double turn = search->from_deg + i * search->step_deg;
  g_autofree PwComplex *after =
      layout_new(search->after, search->side, search->cell_mm, turn * G_PI / 180);
  correlate(search->laid, after, search->side, search->cell_mm, turn, &search->found[i]);
}

/* From one turn to another, both tried; the better of what is found and of `best`. */
static void
search_turns(const View *before, const View *after, int side, double from_deg, double to_deg,
             double step_deg, Found *best)
{
  double cell_mm = 2 * MAX(before->reach_mm, after->reach_mm) / side;
  g_autofree PwComplex *laid = layout_new(before, side, cell_mm, 0);
  guint n = (guint)lround((to_deg - from_deg) / step_deg) + 1;
  g_autofree Found *found = g_new0(Found, n);
  Search search = {before, after, side, cell_mm, from_deg, step_deg, laid, found};
  pw_each(n, 0, try_turn, &search);
  for (guint i = 0; i < n; i++)
    if (found[i].score > best->score)
      *best = found[i];
}

static PwHomography
start_of(const View *before, const View *after, const PwAlignScaled *of_after, const Found *found)
{
  double c = cos(found->turn_deg * G_PI / 180), s = sin(found->turn_deg * G_PI / 180);
  PwMm from = after->middle,
       to = {before->middle.x + found->shift.x, before->middle.y + found->shift.y};
  /* to + R (mm - from) */
  PwHomography move = {
      {c, -s, to.x - c * from.x + s * from.y, s, c, to.y - s * from.x - c * from.y, 0, 0, 1}};
  PwHomography half, start;
  pw_homography_multiply(&move, &of_after->to_mm, &half);
  pw_homography_multiply(&before->to_px, &half, &start);
  return start;
}

static gboolean
find_start(const View *before, const View *after, const PwAlignScaled *of_after,
           PwHomography *start, GError **error)
{
  Found found = {0};
  search_turns(before, after, PW_ROUGH_SIDE, -NEAR_DEG, NEAR_DEG, ROUGH_STEP_DEG, &found);
  if (found.score < ROUGH_PEAK)
    search_turns(before, after, PW_ROUGH_SIDE, NEAR_DEG + ROUGH_STEP_DEG, 360 - NEAR_DEG,
                 ROUGH_STEP_DEG, &found);
  Found fine = {0};
  search_turns(before, after, PW_FINE_SIDE, found.turn_deg - ROUGH_STEP_DEG / 2,
               found.turn_deg + ROUGH_STEP_DEG / 2, FINE_STEP_DEG, &fine);
  *start = start_of(before, after, of_after, &fine);
  if (fine.score >= FINE_PEAK)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
              "no turn and shift was found by which one picture lies over the other");
  return FALSE;
}

gboolean
pw_align_start_scaled(const PwAlignScaled *before, const PwAlignScaled *after, PwHomography *start,
                      GError **error)
{
  View first = {0}, second = {0};
  if (!pw_grey_check(before->plane, error) || !pw_grey_check(after->plane, error))
    return FALSE;
  gboolean ok = view_init(&first, before) && view_init(&second, after);
  if (ok)
    ok = find_start(&first, &second, after, start, error);
  else
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC, "a scale is none that a picture can have");
  pw_greys_clear(&first.greys);
  pw_greys_clear(&second.greys);
  return ok;
}
