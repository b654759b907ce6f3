/* The joint fit of one lens and the poses of a flat sheet (Zhang 2000, A Flexible New Technique for
 * Camera Calibration, 3.3): px distances squared, over f, cx, cy, k1, k2 and three turns and three
 * shifts a view. A printer's stretch one way is one unknown more: half a per cent of it, taken for
 * none, throws the frame's corners off by pixels. A view's own unknowns meet those of other views
 * only through the lens, so they are eliminated view by view (the Schur complement; Triggs et al.
 * 2000, Bundle Adjustment - A Modern Synthesis, 6.1) and six equations are left, however many views
 * there are.
 */
#include "bundle.h"

#include <math.h>
#include <string.h>

enum { L = PW_LENS_UNKNOWNS, P = PW_POSE_UNKNOWNS };

static const int MAX_STEPS = 200;
static const double FIRST_DAMPING = 1e-3, LEAST_DAMPING = 1e-12, MOST_DAMPING = 1e12;
/* A step that takes less than this part of the sum away is the last. */
static const double SETTLED = 1e-12;
static const double TINY_PIVOT = 1e-15;

/* A view's part of the normal equations: its own block, what couples it to the lens, and, solved
 * for, how its unknowns follow: shift = follow[6 .. of the right side] - follow x lens step. */
typedef struct {
  double own[P * P], coupled[L * P], right[P];
  double pull[L];
  double follow[P * (L + 1)]; /* column by column; the last is the right side's */
} ViewEquations;

typedef struct {
  double lens[L * L], right[L];
  ViewEquations *views;
} Equations;

/* ---- One point --------------------------------------------------------------------- */

typedef struct {
  double down[3]; /* the part of its place that the sheet's y makes, turned */
  double at[3];   /* the point turned, before the shift */
  double x, y, z; /* undistorted, on the plane at distance 1; the depth */
  double r2, stretch;
} Seen;

static gboolean
see(const PwBundle *bundle, gsize view, gsize point, Seen *seen)
{
  const PwLens *lens = &bundle->lens;
  const PwSheetPose *pose = &bundle->poses[view];
  PwMm mm = bundle->views[view].mm[point];
  for (int i = 0; i < 3; i++) {
    seen->down[i] = pose->r[3 * i + 1] * mm.y;
    seen->at[i] = pose->r[3 * i] * mm.x + bundle->stretch * seen->down[i];
  }
  seen->z = seen->at[2] + pose->t[2];
  seen->x = (seen->at[0] + pose->t[0]) / seen->z;
  seen->y = (seen->at[1] + pose->t[1]) / seen->z;
  seen->r2 = seen->x * seen->x + seen->y * seen->y;
  seen->stretch = 1 + seen->r2 * (lens->k1 + seen->r2 * lens->k2);
  return seen->z > 0;
}

static void
miss(const PwLens *lens, const Seen *seen, PwPx px, double out[2])
{
  out[0] = px.x - lens->cx - lens->f_px * seen->stretch * seen->x;
  out[1] = px.y - lens->cy - lens->f_px * seen->stretch * seen->y;
}

/* Derivatives of the point's two px coordinates, first by lens and print, then by turn and
 * shift. */
static void
derive(const PwLens *lens, const Seen *s, double by_lens[2][L], double by_pose[2][P])
{
  double slope = 2 * (lens->k1 + 2 * s->r2 * lens->k2), f = lens->f_px, xy[2] = {s->x, s->y};
  for (int c = 0; c < 2; c++) {
    double by_x = f * ((c == 0 ? s->stretch : 0) + slope * xy[c] * s->x) / s->z;
    double by_y = f * ((c == 1 ? s->stretch : 0) + slope * xy[c] * s->y) / s->z;
    double by_z = -(by_x * s->x + by_y * s->y);
    double lens_row[L] = {s->stretch * xy[c],
                          c == 0,
                          c == 1,
                          f * xy[c] * s->r2,
                          f * xy[c] * s->r2 * s->r2,
                          by_x * s->down[0] + by_y * s->down[1] + by_z * s->down[2]};
    /* a small turn w moves the point by w x at */
    double pose_row[P] = {by_z * s->at[1] - by_y * s->at[2],
                          by_x * s->at[2] - by_z * s->at[0],
                          by_y * s->at[0] - by_x * s->at[1],
                          by_x,
                          by_y,
                          by_z};
    memcpy(by_lens[c], lens_row, sizeof lens_row);
    memcpy(by_pose[c], pose_row, sizeof pose_row);
  }
}

double
pw_bundle_view_sum(const PwBundle *bundle, gsize view)
{
  const PwSheetView *v = &bundle->views[view];
  double sum = 0, d[2];
  Seen seen;
  for (gsize i = 0; i < v->n; i++) {
    if (!see(bundle, view, i, &seen))
      return HUGE_VAL;
    miss(&bundle->lens, &seen, v->px[i], d);
    sum += d[0] * d[0] + d[1] * d[1];
  }
  return sum;
}

static double
sum_of_all(const PwBundle *bundle)
{
  double sum = 0;
  for (gsize i = 0; i < bundle->n; i++)
    sum += pw_bundle_view_sum(bundle, i);
  return isfinite(sum) ? sum : HUGE_VAL;
}

/* ---- The normal equations ---------------------------------------------------------- */

static void
add_row(Equations *all, ViewEquations *view, const double by_lens[L], const double by_pose[P],
        double distance)
{
  for (int i = 0; i < L; i++) {
    for (int j = 0; j < L; j++)
      all->lens[i * L + j] += by_lens[i] * by_lens[j];
    for (int j = 0; j < P; j++)
      view->coupled[i * P + j] += by_lens[i] * by_pose[j];
    all->right[i] += by_lens[i] * distance;
    view->pull[i] += by_lens[i] * distance;
  }
  for (int i = 0; i < P; i++) {
    for (int j = 0; j < P; j++)
      view->own[i * P + j] += by_pose[i] * by_pose[j];
    view->right[i] += by_pose[i] * distance;
  }
}

static void
set_up(const PwBundle *bundle, Equations *all)
{
  memset(all->lens, 0, sizeof all->lens);
  memset(all->right, 0, sizeof all->right);
  memset(all->views, 0, bundle->n * sizeof *all->views);
  for (gsize v = 0; v < bundle->n; v++)
    for (gsize i = 0; i < bundle->views[v].n; i++) {
      double by_lens[2][L], by_pose[2][P], d[2];
      Seen seen;
      see(bundle, v, i, &seen);
      miss(&bundle->lens, &seen, bundle->views[v].px[i], d);
      derive(&bundle->lens, &seen, by_lens, by_pose);
      for (int c = 0; c < 2; c++)
        add_row(all, &all->views[v], by_lens[c], by_pose[c], d[c]);
    }
}

/* Solves the view's own block for each column that couples it, and for its right side. */
static gboolean
follow(ViewEquations *view, double damping)
{
  for (int column = 0; column <= L; column++) {
    double own[P * P], *x = view->follow + P * column;
    memcpy(own, view->own, sizeof own);
    for (int i = 0; i < P; i++)
      own[i * P + i] *= 1 + damping;
    memcpy(x, column < L ? view->coupled + P * column : view->right, P * sizeof *x);
    if (!pw_solve(own, x, P, TINY_PIVOT))
      return FALSE;
  }
  return TRUE;
}

static double
dot(const double *a, const double *b)
{
  double sum = 0;
  for (int i = 0; i < P; i++)
    sum += a[i] * b[i];
  return sum;
}

/* The six equations that are left for the lens and the print. */
static gboolean
reduce(const PwBundle *bundle, Equations *all, double damping, double matrix[L * L],
       double right[L])
{
  memcpy(matrix, all->lens, L * L * sizeof *matrix);
  memcpy(right, all->right, L * sizeof *right);
  for (int i = 0; i < L; i++)
    matrix[i * L + i] *= 1 + damping;
  for (gsize v = 0; v < bundle->n; v++) {
    ViewEquations *view = &all->views[v];
    if (!follow(view, damping))
      return FALSE;
    for (int i = 0; i < L; i++) {
      for (int j = 0; j < L; j++)
        matrix[i * L + j] -= dot(view->coupled + P * i, view->follow + P * j);
      right[i] -= dot(view->coupled + P * i, view->follow + P * L);
    }
  }
  return TRUE;
}

/* ---- Steps ------------------------------------------------------------------------- */

/* r turned by the small turn w (Rodrigues). */
static void
turn(double r[9], const double w[3])
{
  double angle = sqrt(w[0] * w[0] + w[1] * w[1] + w[2] * w[2]);
  double s = angle > 0 ? sin(angle) / angle : 1;
  double c = angle > 0 ? 2 * pow(sin(angle / 2) / angle, 2) : 0.5;
  double old[9];
  memcpy(old, r, sizeof old);
  for (int j = 0; j < 3; j++) {
    double v[3] = {old[j], old[3 + j], old[6 + j]};
    double along = w[0] * v[0] + w[1] * v[1] + w[2] * v[2];
    for (int i = 0; i < 3; i++) {
      int k = (i + 1) % 3, l = (i + 2) % 3;
      r[3 * i + j] = v[i] * cos(angle) + s * (w[k] * v[l] - w[l] * v[k]) + c * w[i] * along;
    }
  }
}

static void
move(PwBundle *bundle, const Equations *all, const double step[L])
{
  PwLens *lens = &bundle->lens;
  lens->f_px += step[0];
  lens->cx += step[1];
  lens->cy += step[2];
  lens->k1 += step[3];
  lens->k2 += step[4];
  bundle->stretch += step[5];
  for (gsize v = 0; v < bundle->n; v++) {
    const double *follow = all->views[v].follow;
    double shift[P];
    for (int i = 0; i < P; i++) {
      shift[i] = follow[P * L + i];
      for (int j = 0; j < L; j++)
        shift[i] -= follow[P * j + i] * step[j];
    }
    turn(bundle->poses[v].r, shift);
    for (int i = 0; i < 3; i++)
      bundle->poses[v].t[i] += shift[3 + i];
  }
}

/* One step that lowers the sum, however small damping must make it; FALSE when none does. */
static gboolean
step_down(PwBundle *bundle, Equations *all, PwSheetPose *before, double *damping)
{
  const PwLens lens = bundle->lens;
  const double stretch = bundle->stretch;
  const gsize bytes = bundle->n * sizeof *before;
  set_up(bundle, all);
  memcpy(before, bundle->poses, bytes);
  for (; *damping <= MOST_DAMPING; *damping *= 10) {
    double matrix[L * L], step[L], sum = HUGE_VAL;
    if (reduce(bundle, all, *damping, matrix, step) && pw_solve(matrix, step, L, TINY_PIVOT)) {
      move(bundle, all, step);
      sum = bundle->lens.f_px > 0 ? sum_of_all(bundle) : HUGE_VAL;
    }
    if (sum < bundle->sum) {
      bundle->sum = sum;
      *damping = fmax(*damping / 10, LEAST_DAMPING);
      return TRUE;
    }
    bundle->lens = lens;
    bundle->stretch = stretch;
    memcpy(bundle->poses, before, bytes);
  }
  return FALSE;
}

static gboolean
set_covariance(PwBundle *bundle, Equations *all)
{
  double matrix[L * L], right[L];
  set_up(bundle, all);
  if (!reduce(bundle, all, 0, matrix, right))
    return FALSE;
  for (int column = 0; column < L; column++) {
    double a[L * L], x[L] = {0};
    memcpy(a, matrix, sizeof a);
    x[column] = 1;
    if (!pw_solve(a, x, L, TINY_PIVOT))
      return FALSE;
    for (int i = 0; i < L; i++)
      bundle->covariance[i * L + column] = x[i];
  }
  for (int i = 0; i < L; i++)
    if (!(bundle->covariance[i * L + i] > 0))
      return FALSE;
  return TRUE;
}

/* Each view's corners pull at the lens with one force; how these differ from view to view tells
 * what a whole view errs by. */
static void
set_by_view(PwBundle *bundle, const Equations *all)
{
  double n = (double)bundle->n;
  memset(bundle->by_view, 0, sizeof bundle->by_view);
  for (gsize v = 0; v < bundle->n; v++) {
    double push[L] = {0};
    for (int i = 0; i < L; i++)
      for (int j = 0; j < L; j++)
        push[i] += bundle->covariance[i * L + j] * all->views[v].pull[j];
    for (int i = 0; i < L; i++)
      for (int j = 0; j < L; j++)
        bundle->by_view[i * L + j] += push[i] * push[j] * n / (n - 1);
  }
}

gboolean
pw_bundle_fit(PwBundle *bundle)
{
  Equations all = {.views = g_new(ViewEquations, bundle->n)};
  g_autofree PwSheetPose *before = g_new(PwSheetPose, bundle->n);
  double damping = FIRST_DAMPING, last = HUGE_VAL;
  bundle->sum = sum_of_all(bundle);
  for (int step = 0; step < MAX_STEPS && last - bundle->sum > SETTLED * bundle->sum; step++) {
    last = bundle->sum;
    if (!step_down(bundle, &all, before, &damping))
      break;
  }
  gboolean done = isfinite(bundle->sum) && set_covariance(bundle, &all);
  if (done)
    set_by_view(bundle, &all);
  g_free(all.views);
  return done;
}
