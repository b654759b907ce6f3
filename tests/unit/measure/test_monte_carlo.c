/* The oracle of the uncertainty: a Monte Carlo (JCGM 101) from DESIGN section 5, "Numbers".
 *
 * A pinhole camera of its own photographs a plane with a card and marks of known size; a hand of
 * its own places corners and outlines. In every trial the inputs are drawn from the distributions
 * of the design's table, one source alone or all together, and what the library measures is held
 * against the truth: the RMS of (value - truth) / u must be 1, and U must cover as often as twice
 * the true standard deviation does. Nothing but the calls under test is the library's.
 *
 * Camera axes: x right, y down, z away from the camera, mm. Plane axes: x right, y down as seen,
 * heights towards the camera.
 */
#include <platewright/measure.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

enum { TRIALS = 2000, MOST_POINTS = 500, N_SHAPES = 4, MOST_TAG_CORNERS = 16 };
static const double WIDTH = 6000, HEIGHT = 4000; /* px */

/* ---- Dice: 64-bit linear congruence (Knuth's multiplier), upper bits --------------- */

static guint64 dice;

static double
even(void)
{
  dice = dice * 6364136223846793005u + 1442695040888963407u;
  return ((double)(dice >> 11) + 0.5) / 9007199254740992.0;
}

static double
between(double half_width)
{
  return half_width * (2 * even() - 1);
}

static double
normal(double sigma)
{
  double u = even(), v = even(); /* Box and Muller */
  return sigma * sqrt(-2 * log(u)) * cos(2 * G_PI * v);
}

/* ---- The camera and the plane ------------------------------------------------------ */

typedef struct {
  double x, y, z;
} Vec;

typedef struct {
  const char *name;
  gboolean span;              /* one length along a line */
  gboolean ticks;             /* and that read from graduations */
  int n_tags;                 /* on a card; 0: no card */
  double print_tolerance;     /* mm, of its check lines; 0: not measured */
  double lean_x, lean_y, yaw; /* degrees, of the plane */
  double seen_x, seen_y;      /* px: where the card's middle is seen */
  double depth;               /* mm, of the card's middle along the optical axis */
  double f_mm, pixel_mm;
  gboolean focal_known, distance_known;
  double offset;              /* mm */
  double width, height;       /* mm, or the span's length and nothing */
  double k1, k2, residual_px; /* lens coefficients, in units of f; residual 0: none given */
  double shift_x, shift_y;    /* mm, from the card's middle to where the shapes lie */
  gboolean freehand;
} Scene;

/* What is drawn in a trial, each 0 where its source is not. */
typedef struct {
  double corner[4][2], tag[MOST_TAG_CORNERS][2];
  double reading, reading_u; /* mm, of the graduations; and what the reading thinks of itself */
  double side[2], offset, distance, lean[2], lens, outlining;
  double outline; /* the hand's standard deviation; each knot is drawn when it is placed */
} Errors;

typedef struct {
  Vec origin, right, down, near; /* the card's middle, the plane's axes, towards the camera */
  double c;                      /* principal distance, px */
  double lens;                   /* unknown displacement at the corner */
} View;

static Vec
turned(Vec v, double about_x, double about_y, double about_z)
{
  Vec a = {v.x * cos(about_z) - v.y * sin(about_z), v.x * sin(about_z) + v.y * cos(about_z), v.z};
  Vec b = {a.x, a.y * cos(about_x) - a.z * sin(about_x), a.y * sin(about_x) + a.z * cos(about_x)};
  return (Vec){b.x * cos(about_y) + b.z * sin(about_y), b.y,
               -b.x * sin(about_y) + b.z * cos(about_y)};
}

static Vec
plane_point(const View *view, double x, double y, double height)
{
  return (Vec){view->origin.x + x * view->right.x + y * view->down.x + height * view->near.x,
               view->origin.y + x * view->right.y + y * view->down.y + height * view->near.y,
               view->origin.z + x * view->right.z + y * view->down.z + height * view->near.z};
}

static double
f_px(const Scene *scene)
{
  return scene->f_mm / scene->pixel_mm;
}

/* What the sensor sees of a point of the plane: pinhole, then the known lens, then the unknown. */
static PwPx
seen(const Scene *scene, const View *view, double x, double y, double height)
{
  Vec p = plane_point(view, x, y, height);
  double u = view->c * p.x / p.z, v = view->c * p.y / p.z;
  double r2 = (u * u + v * v) / (f_px(scene) * f_px(scene));
  double stretch = 1 + scene->k1 * r2 + scene->k2 * r2 * r2;
  u *= stretch;
  v *= stretch;
  double corner2 = (WIDTH * WIDTH + HEIGHT * HEIGHT) / 4;
  double further = 1 - view->lens * (u * u + v * v) / corner2;
  return (PwPx){WIDTH / 2 + u * further, HEIGHT / 2 + v * further};
}

/* The scene as it stands, its principal distance f (1 + m) with m at the card's middle, and the
 * errors that are the camera's. */
static View
view_of(const Scene *scene, const Errors *errors)
{
  double rad = G_PI / 180, c = f_px(scene);
  double lean_x = scene->lean_x * rad, lean_y = scene->lean_y * rad, yaw = scene->yaw * rad;
  View view = {.right = turned((Vec){1, 0, 0}, lean_x, lean_y, yaw),
               .down = turned((Vec){0, 1, 0}, lean_x, lean_y, yaw),
               .near = turned((Vec){0, 0, -1}, lean_x, lean_y, yaw)};
  Scene bare = *scene;
  bare.k1 = bare.k2 = 0;
  for (int round = 0; round < 12; round++) {
    view.origin = (Vec){(scene->seen_x - WIDTH / 2) * scene->depth / c,
                        (scene->seen_y - HEIGHT / 2) * scene->depth / c, scene->depth};
    view.c = c;
    PwPx o = seen(&bare, &view, 0, 0, 0), x = seen(&bare, &view, .01, 0, 0);
    PwPx y = seen(&bare, &view, 0, .01, 0);
    double px2 = ((x.x - o.x) * (y.y - o.y) - (x.y - o.y) * (y.x - o.x)) / 1e-4;
    c = f_px(scene) * (1 + scene->pixel_mm * sqrt(px2));
  }
  /* The camera stood further away with a longer principal distance: the card looks the same. */
  double away = 1 + errors->distance;
  view.origin.z *= away;
  view.c = c * away;
  view.right = turned(view.right, errors->lean[0], errors->lean[1], 0);
  view.down = turned(view.down, errors->lean[0], errors->lean[1], 0);
  view.near = turned(view.near, errors->lean[0], errors->lean[1], 0);
  view.lens = errors->lens;
  return view;
}

/* ---- What lies on the plane -------------------------------------------------------- */

typedef struct {
  double points[MOST_POINTS][2]; /* mm */
  gsize n;
} Ring;

typedef struct {
  Ring outer, hole; /* hole.n 0: none */
} Shape;

/* Edges of 8 mm or more, which the scenes show at 9 px/mm or more; each longest extent is at least
 * 5 % above the runner-up. Shapes 0 and 3 are convex and overlap. */
static const Shape SHAPES[N_SHAPES] = {
    {{{{0, 0}, {60, 5}, {52, 40}, {8, 30}}, 4}, {{{0}}, 0}},
    {{{{-70, 40}, {-40, 22}, {-5, 18}, {30, 25}, {55, 45}, {10, 64}, {-35, 60}}, 7}, {{{0}}, 0}},
    {{{{60, -40},
       {52, -25},
       {30, -14},
       {0, -10},
       {-30, -14},
       {-52, -25},
       {-60, -40},
       {-52, -55},
       {-30, -66},
       {0, -70},
       {30, -66},
       {52, -55}},
      12},
     {{{-15, -48}, {15, -46}, {13, -32}, {-14, -30}}, 4}},
    {{{{40, -15}, {95, -10}, {100, 30}, {45, 22}}, 4}, {{{0}}, 0}},
};

/* Drawn without lifting the pen: 500 points round an uneven blot, some 1 mm apart. */
static Shape
freehand_shape(void)
{
  Shape shape = {.outer = {.n = MOST_POINTS}};
  for (int i = 0; i < MOST_POINTS; i++) {
    double angle = 2 * G_PI * i / MOST_POINTS;
    double radius = 45 + 6 * cos(3 * angle + 1) + 2 * sin(7 * angle);
    shape.outer.points[i][0] = 1.7 * radius * cos(angle);
    shape.outer.points[i][1] = radius * sin(angle);
  }
  return shape;
}

static double
ring_area(const Ring *ring)
{
  double sum = 0;
  for (gsize i = 0; i < ring->n; i++) {
    const double *a = ring->points[i], *b = ring->points[(i + 1) % ring->n];
    sum += (a[0] * b[1] - b[0] * a[1]) / 2;
  }
  return fabs(sum);
}

static double
ring_perimeter(const Ring *ring)
{
  double sum = 0;
  for (gsize i = 0; i < ring->n; i++) {
    const double *a = ring->points[i], *b = ring->points[(i + 1) % ring->n];
    sum += hypot(b[0] - a[0], b[1] - a[1]);
  }
  return sum;
}

static double
ring_longest(const Ring *ring)
{
  double longest = 0;
  for (gsize i = 0; i < ring->n; i++)
    for (gsize j = 0; j < i; j++)
      longest = fmax(longest, hypot(ring->points[i][0] - ring->points[j][0],
                                    ring->points[i][1] - ring->points[j][1]));
  return longest;
}

/* What is left of `ring` on the inner side of the line a to b (Sutherland and Hodgman). */
static Ring
clipped(const Ring *ring, const double *a, const double *b)
{
  Ring out = {.n = 0};
  for (gsize i = 0; i < ring->n; i++) {
    const double *p = ring->points[i], *q = ring->points[(i + 1) % ring->n];
    double sp = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
    double sq = (b[0] - a[0]) * (q[1] - a[1]) - (b[1] - a[1]) * (q[0] - a[0]);
    if (sp >= 0)
      memcpy(out.points[out.n++], p, 2 * sizeof *p);
    if ((sp >= 0) != (sq >= 0)) {
      double t = sp / (sp - sq);
      out.points[out.n][0] = p[0] + t * (q[0] - p[0]);
      out.points[out.n++][1] = p[1] + t * (q[1] - p[1]);
    }
  }
  return out;
}

/* Ring b is taken apart into triangles about a point from which all of it is seen, for a clip must
 * be convex, and edges that a lens bends make a ring that is not quite. */
static double
united_area(const Ring *a, const Ring *b)
{
  double common = 0, x = 0, y = 0;
  for (gsize i = 0; i < b->n; i++) {
    x += b->points[i][0] / (double)b->n;
    y += b->points[i][1] / (double)b->n;
  }
  for (gsize i = 0; i < b->n; i++) {
    const double *p = b->points[i], *q = b->points[(i + 1) % b->n];
    const double corners[3][2] = {{x, y}, {p[0], p[1]}, {q[0], q[1]}};
    Ring part = *a;
    for (int k = 0; k < 3; k++)
      part = clipped(&part, corners[k], corners[(k + 1) % 3]);
    common += ring_area(&part);
  }
  return ring_area(a) + ring_area(b) - common;
}

/* ---- The hand ---------------------------------------------------------------------- */

static double
px_area(const PwPx *p, gsize n)
{
  double sum = 0;
  for (gsize i = 0; i < n; i++)
    sum += (p[i].x * p[(i + 1) % n].y - p[(i + 1) % n].x * p[i].y) / 2;
  return sum;
}

/* Every edge moves outwards (of the ring) by so many px; corners are where the moved edges meet. */
static void
keep_outside(PwPx *p, gsize n, double by)
{
  g_autofree PwPx *moved = g_new(PwPx, n);
  double side = px_area(p, n) > 0 ? by : -by;
  for (gsize i = 0; i < n; i++) {
    PwPx a = p[(i + n - 1) % n], b = p[i], c = p[(i + 1) % n];
    double l1 = hypot(b.x - a.x, b.y - a.y), l2 = hypot(c.x - b.x, c.y - b.y);
    double n1x = (b.y - a.y) / l1, n1y = -(b.x - a.x) / l1;
    double n2x = (c.y - b.y) / l2, n2y = -(c.x - b.x) / l2;
    /* n1 . d = n2 . d = side */
    double det = n1x * n2y - n1y * n2x;
    if (fabs(det) < 1e-9)
      moved[i] = (PwPx){b.x + side * n1x, b.y + side * n1y};
    else
      moved[i] = (PwPx){b.x + side * (n2y - n1y) / det, b.y + side * (n1x - n2x) / det};
  }
  memcpy(p, moved, n * sizeof *p);
}

/* Knots 40 px apart or more are placed with an error each; between them the hand goes evenly. */
static void
place_by_hand(PwPx *p, gsize n, double sigma)
{
  g_autofree double *along = g_new0(double, n + 1);
  g_autofree gsize *knots = g_new0(gsize, n + 1);
  gsize n_knots = 1;
  for (gsize i = 1; i <= n; i++)
    along[i] = along[i - 1] + hypot(p[i % n].x - p[i - 1].x, p[i % n].y - p[i - 1].y);
  for (gsize i = 1; i < n; i++)
    if (along[i] - along[knots[n_knots - 1]] >= 40)
      knots[n_knots++] = i;
  g_autofree PwPx *errors = g_new(PwPx, n_knots);
  for (gsize k = 0; k < n_knots; k++)
    errors[k] = (PwPx){normal(sigma), normal(sigma)};
  knots[n_knots] = n;
  for (gsize k = 0; k < n_knots; k++)
    for (gsize i = knots[k]; i < knots[k + 1]; i++) {
      double t = (along[i] - along[knots[k]]) / (along[knots[k + 1]] - along[knots[k]]);
      PwPx from = errors[k], to = errors[(k + 1) % n_knots];
      p[i].x += (1 - t) * from.x + t * to.x;
      p[i].y += (1 - t) * from.y + t * to.y;
    }
}

static PwPxPath
drawn(const Scene *scene, const View *view, const Errors *errors, const Ring *ring, gboolean hole)
{
  PwPxPath path = {g_new(PwPx, ring->n), ring->n};
  for (gsize i = 0; i < ring->n; i++)
    path.points[i] = seen(scene, view, ring->points[i][0] + scene->shift_x,
                          ring->points[i][1] + scene->shift_y, scene->offset + errors->offset);
  keep_outside(path.points, path.n, hole ? -errors->outlining : errors->outlining);
  place_by_hand(path.points, path.n, errors->outline);
  return path;
}

/* ---- What is drawn, and what is told to the library -------------------------------- */

enum {
  PLACING,
  OUTLINE,
  OUTLINING,
  SIZE,
  OFFSET,
  DISTANCE,
  TILT,
  LENS,
  N_SOURCES,
  ALL = N_SOURCES
};
static const char *const SOURCES[] = {"placing",  "outline", "outlining", "size", "plane-offset",
                                      "distance", "tilt",    "lens",      "all"};

/* The table of DESIGN section 5: standard deviations of normal inputs, half-widths of others. */
static const double TABLE[N_SOURCES] = {1, 2, 1, .1, 1, 10, 1.2, 1};
static const double UNKNOWN_DISTANCE = 50;  /* % */
static const double PRINT = .5, PITCH = .1; /* % */
/* How well corners of tags are found, and graduations read with so many degrees of freedom: nothing
 * that the library is told. */
static const double TAG_PX = .3, READING_MM = .08;
enum { READING_DOF = 10 };

/* What a reading of graduations finds for its own standard error. */
static double
estimated(double sigma)
{
  double sum = 0;
  for (int i = 0; i < READING_DOF; i++) {
    double x = normal(sigma);
    sum += x * x;
  }
  return sqrt(sum / READING_DOF);
}

static gboolean
distance_is_known(const Scene *scene)
{
  return scene->focal_known || scene->distance_known;
}

static double
lens_half_width(const Scene *scene)
{
  if (scene->residual_px > 0)
    return scene->residual_px / (hypot(WIDTH, HEIGHT) / 2);
  return TABLE[LENS] / 100;
}

/* By hand, by the finder of tags, or by the reader of graduations. */
static void
draw_placing(const Scene *scene, Errors *errors)
{
  for (int i = 0; i < 4 && !scene->ticks; i++)
    for (int j = 0; j < 2; j++)
      errors->corner[i][j] = normal(TABLE[PLACING]);
  for (int i = 0; i < 4 * scene->n_tags; i++)
    for (int j = 0; j < 2; j++)
      errors->tag[i][j] = normal(TAG_PX);
  if (scene->ticks) {
    errors->reading = normal(READING_MM);
    errors->reading_u = estimated(READING_MM);
  }
}

/* Half-width, of a rectangle's sides, a span, a pitch in mm; of print as a part. */
static double
size_half_width(const Scene *scene)
{
  if (scene->ticks)
    return PITCH / 100 * scene->width;
  if (scene->n_tags > 0)
    return scene->print_tolerance > 0 ? scene->print_tolerance / 100 : PRINT / 100;
  return TABLE[SIZE];
}

static Errors
draw(const Scene *scene, int source)
{
  Errors errors = {.outline = 0};
  gboolean all = source == ALL;
  if (all || source == PLACING)
    draw_placing(scene, &errors);
  if (all || source == OUTLINE)
    errors.outline = TABLE[OUTLINE];
  if (all || source == OUTLINING)
    errors.outlining = between(TABLE[OUTLINING]);
  for (int i = 0; i < 2 && (all || source == SIZE); i++)
    errors.side[i] = between(size_half_width(scene));
  if (all || source == OFFSET)
    errors.offset = between(TABLE[OFFSET]);
  /* A distance that is not known is never known, whatever else is drawn. */
  if (!distance_is_known(scene))
    errors.distance = between(UNKNOWN_DISTANCE / 100);
  else if (all || source == DISTANCE)
    errors.distance = between(TABLE[DISTANCE] / 100);
  for (int i = 0; i < 2 && scene->span && (all || source == TILT); i++)
    errors.lean[i] = normal(TABLE[TILT] * G_PI / 180);
  if (all || source == LENS)
    errors.lens = between(lens_half_width(scene));
  return errors;
}

static PwUncertainty
settings(const Scene *scene, int source)
{
  static const PwInput inputs[N_SOURCES] = {
      PW_INPUT_CORNER,       PW_INPUT_OUTLINE,  PW_INPUT_OUTLINING, PW_INPUT_RECTANGLE,
      PW_INPUT_PLANE_OFFSET, PW_INPUT_DISTANCE, PW_INPUT_TILT,      PW_INPUT_LENS};
  PwUncertainty uncertainty = {{0}};
  for (int i = 0; i < N_SOURCES; i++)
    if (source == ALL || source == i)
      uncertainty.by[i == SIZE && scene->span ? PW_INPUT_SPAN : inputs[i]] = TABLE[i];
  if (source == ALL || source == PLACING)
    uncertainty.by[PW_INPUT_TAG] = uncertainty.by[PW_INPUT_TICKS] = nan("");
  if (source == ALL || source == SIZE)
    uncertainty.by[PW_INPUT_PRINT] = PRINT;
  return uncertainty;
}

static double
true_distance(const View *view)
{
  return fabs(view->origin.x * view->near.x + view->origin.y * view->near.y +
              view->origin.z * view->near.z);
}

static PwPx
with_error(PwPx p, const double error[2])
{
  return (PwPx){p.x + error[0], p.y + error[1]};
}

/* The card's tags, 20 mm wide and 5 mm from its edges, at opposite corners first; as designed, from
 * the card's upper left corner. */
static void
design(const Scene *scene, PwMm mm[MOST_TAG_CORNERS])
{
  double right = scene->width - 25, low = scene->height - 25;
  const PwMm places[4] = {{5, 5}, {right, low}, {right, 5}, {5, low}};
  for (int i = 0; i < 4 * scene->n_tags; i++)
    mm[i] = (PwMm){places[i / 4].x + (i % 4 == 1 || i % 4 == 2 ? 20 : 0),
                   places[i / 4].y + (i % 4 >= 2 ? 20 : 0)};
}

/* What a printer made of them that takes 1.5 % away along the feed, if that was measured. */
static const double PRINTED_ALONG = .985;

static void
tell_tags(const Scene *scene, const View *view, const Errors *errors, int source,
          PwScaleInput *input)
{
  static PwPx px[MOST_TAG_CORNERS];
  static PwMm mm[MOST_TAG_CORNERS];
  double along = scene->print_tolerance > 0 ? PRINTED_ALONG : 1;
  design(scene, mm);
  for (int i = 0; i < 4 * scene->n_tags; i++) {
    double x = (mm[i].x - scene->width / 2) * (along + errors->side[0]);
    double y = (mm[i].y - scene->height / 2) * (1 + errors->side[1]);
    px[i] = with_error(seen(scene, view, x, y, 0), errors->tag[i]);
  }
  input->method = PW_SCALE_TAGS;
  input->tag_px = px;
  input->tag_mm = mm;
  input->n_tag_points = 4 * (gsize)scene->n_tags;
  input->card_width_mm = scene->width;
  input->card_height_mm = scene->height;
  input->print_along = scene->print_tolerance > 0 ? PRINTED_ALONG : nan("");
  input->print_across = scene->print_tolerance > 0 ? 1 : nan("");
  input->print_tolerance = source == ALL || source == SIZE ? scene->print_tolerance / 100 : 0;
}

static void
tell_ticks(const Scene *scene, const Errors *errors, int source, PwScaleInput *input)
{
  input->method = PW_SCALE_TICKS;
  input->length_mm = scene->width + errors->reading;
  input->length_u_mm = errors->reading_u;
  input->length_dof = READING_DOF;
  if (source != ALL && source != SIZE)
    input->tolerance_mm = 0;
}

static PwScaleInput
told(const Scene *scene, const View *view, const Errors *errors, int source)
{
  double w = (scene->width + errors->side[0]) / 2, h = (scene->height + errors->side[1]) / 2;
  double stated_distance = true_distance(view) / (1 + errors->distance);
  gboolean with_residual = scene->residual_px > 0 && (source == LENS || source == ALL);
  PwScaleInput input = {
      .method = scene->span ? PW_SCALE_SPAN : PW_SCALE_RECTANGLE,
      .width_mm = scene->width,
      .height_mm = scene->height,
      .length_mm = scene->width,
      .tolerance_mm = nan(""),
      .plane_offset_mm = scene->offset,
      .camera_distance_mm = scene->distance_known ? stated_distance : nan(""),
      .focal_px = scene->focal_known ? f_px(scene) : nan(""),
      .focal_mm = scene->focal_known ? scene->f_mm : nan(""),
      .picture_width = WIDTH,
      .picture_height = HEIGHT,
      .lens_residual_px = with_residual ? scene->residual_px : 0,
      .photo_owner = 7,
      .lens_owner = 3,
      .from = with_error(seen(scene, view, -w, 0, 0), errors->corner[0]),
      .to = with_error(seen(scene, view, w, 0, 0), errors->corner[1]),
  };
  if (scene->residual_px > 0)
    input.lens = (PwLens){f_px(scene), WIDTH / 2, HEIGHT / 2, scene->k1, scene->k2};
  for (int i = 0; i < 4; i++)
    input.corners[i] = with_error(seen(scene, view, i == 1 || i == 2 ? w : -w, i >= 2 ? h : -h, 0),
                                  errors->corner[i]);
  if (scene->n_tags > 0)
    tell_tags(scene, view, errors, source, &input);
  if (scene->ticks)
    tell_ticks(scene, errors, source, &input);
  return input;
}

/* ---- Trials ------------------------------------------------------------------------ */

/* Area, perimeter and longest of each shape, then what joins two of them. */
enum { DIFFERENCE = 3 * N_SHAPES, SHARE, UNITED, N_QUANTITIES };

typedef struct {
  double errors[TRIALS];
  double sum_z2, sum_e2;
  int covered;
  double truth, last_u;
} Tally;

/* A u that was itself estimated makes error over u a t variable, whose variance is
 * dof / (dof - 2) (JCGM 101 6.4.9). */
static double
variance_of_t(double dof)
{
  return isinf(dof) ? 1 : dof / (dof - 2);
}

static void
count(Tally *tally, int trial, const PwSize *size)
{
  PwQuantity q = pw_size_quantity(size);
  double error = q.value - tally->truth;
  tally->errors[trial] = error;
  tally->sum_e2 += error * error;
  tally->sum_z2 += error * error / (q.u * q.u * variance_of_t(q.dof));
  tally->covered += fabs(error) <= pw_coverage_factor(q.dof) * q.u;
  tally->last_u = q.u;
}

/* The point of the surface that is seen at `at`, by Newton's method on `seen`. */
static void
find_on_surface(const Scene *scene, const View *view, PwPx at, double found[2])
{
  found[0] = found[1] = 0;
  for (int round = 0; round < 20; round++) {
    double x = found[0] + scene->shift_x, y = found[1] + scene->shift_y, step = .01;
    PwPx o = seen(scene, view, x, y, scene->offset);
    PwPx a = seen(scene, view, x + step, y, scene->offset);
    PwPx b = seen(scene, view, x, y + step, scene->offset);
    double ax = (a.x - o.x) / step, ay = (a.y - o.y) / step, bx = (b.x - o.x) / step;
    double by = (b.y - o.y) / step, det = ax * by - ay * bx;
    found[0] += ((at.x - o.x) * by - (at.y - o.y) * bx) / det;
    found[1] += ((at.y - o.y) * ax - (at.x - o.x) * ay) / det;
  }
}

/* An outline is straight from knot to knot in the picture. Where the lens bends that, the figure on
 * the surface has bent edges: 40 pieces each. */
static Ring
as_drawn(const Scene *scene, const Ring *ring)
{
  View view = view_of(scene, &(Errors){.outline = 0});
  Ring fine = {.n = 0};
  if (!(scene->residual_px > 0))
    return *ring;
  for (gsize i = 0; i < ring->n; i++) {
    const double *a = ring->points[i], *b = ring->points[(i + 1) % ring->n];
    PwPx from = seen(scene, &view, a[0] + scene->shift_x, a[1] + scene->shift_y, scene->offset);
    PwPx to = seen(scene, &view, b[0] + scene->shift_x, b[1] + scene->shift_y, scene->offset);
    for (int k = 0; k < 40; k++) {
      PwPx at = {from.x + k * (to.x - from.x) / 40, from.y + k * (to.y - from.y) / 40};
      find_on_surface(scene, &view, at, fine.points[fine.n++]);
    }
  }
  return fine;
}

static void
set_truths(const Scene *scene, const Shape *shapes, Tally *tallies)
{
  for (int i = 0; i < N_SHAPES; i++) {
    Ring outer = as_drawn(scene, &shapes[i].outer), hole = as_drawn(scene, &shapes[i].hole);
    tallies[3 * i].truth = ring_area(&outer) - ring_area(&hole);
    tallies[3 * i + 1].truth = ring_perimeter(&outer) + ring_perimeter(&hole);
    tallies[3 * i + 2].truth = ring_longest(&outer);
  }
  tallies[DIFFERENCE].truth = tallies[0].truth - tallies[3].truth;
  tallies[SHARE].truth = 100 * tallies[0].truth / tallies[6].truth;
  Ring a = as_drawn(scene, &shapes[0].outer), b = as_drawn(scene, &shapes[3].outer);
  tallies[UNITED].truth = united_area(&a, &b);
}

static void
measure_all(const PwScale *scale, PwShape shapes[N_SHAPES], Tally *tallies, int trial)
{
  PwShapeSizes sizes[N_SHAPES];
  PwSize joined;
  const PwShape *overlapping[] = {&shapes[0], &shapes[3]};
  for (int i = 0; i < N_SHAPES; i++) {
    assert_true(pw_measure_shape(scale, &shapes[i], &sizes[i], NULL));
    count(&tallies[3 * i], trial, &sizes[i].area_mm2);
    count(&tallies[3 * i + 1], trial, &sizes[i].perimeter_mm);
    count(&tallies[3 * i + 2], trial, &sizes[i].longest_mm);
  }
  pw_size_combine(1, &sizes[0].area_mm2, -1, &sizes[1].area_mm2, &joined);
  count(&tallies[DIFFERENCE], trial, &joined);
  pw_size_clear(&joined);
  assert_true(pw_size_ratio(100, &sizes[0].area_mm2, &sizes[2].area_mm2, &joined));
  count(&tallies[SHARE], trial, &joined);
  pw_size_clear(&joined);
  assert_true(pw_measure_union(scale, overlapping, 2, &joined, NULL));
  count(&tallies[UNITED], trial, &joined);
  pw_size_clear(&joined);
  for (int i = 0; i < N_SHAPES; i++)
    pw_shape_sizes_clear(&sizes[i]);
}

static void
run_trial(const Scene *scene, const Shape *shapes, int source, Tally *tallies, int trial)
{
  Errors errors = draw(scene, source);
  View view = view_of(scene, &errors);
  PwScaleInput input = told(scene, &view, &errors, source);
  PwUncertainty uncertainty = settings(scene, source);
  g_autoptr(GError) error = NULL;
  g_autoptr(PwScale) scale = pw_scale_new(&input, &uncertainty, &error);
  if (!scale)
    fail_msg("%s", error->message);
  PwShape marks[N_SHAPES];
  PwPxPath holes[N_SHAPES];
  for (int i = 0; i < N_SHAPES; i++) {
    holes[i] = shapes[i].hole.n > 0 ? drawn(scene, &view, &errors, &shapes[i].hole, TRUE)
                                    : (PwPxPath){NULL, 0};
    marks[i] = (PwShape){PW_KIND_AREA, drawn(scene, &view, &errors, &shapes[i].outer, FALSE),
                         &holes[i],    holes[i].n > 0 ? 1 : 0,
                         (guint)i,     0,
                         FALSE};
  }
  measure_all(scale, marks, tallies, trial);
  for (int i = 0; i < N_SHAPES; i++) {
    pw_px_path_clear(&marks[i].path);
    pw_px_path_clear(&holes[i]);
  }
}

/* ---- Judgement --------------------------------------------------------------------- */

/* Twice the true standard deviation covers so many; U must do the same within the 99.9 % band of
 * a binomial count of that probability. */
static gboolean
coverage_agrees(const Tally *tally)
{
  double sd = sqrt(tally->sum_e2 / TRIALS);
  int own = 0;
  for (int i = 0; i < TRIALS; i++)
    own += fabs(tally->errors[i]) <= 2 * sd;
  double p = fmin((double)own / TRIALS, 1 - 1. / TRIALS);
  double band = 3.2905 * sqrt(p * (1 - p) / TRIALS);
  return fabs((double)(tally->covered - own)) / TRIALS <= band;
}

/* What cancels (the card's size in a share, say) leaves nothing to compare but rounding and terms
 * of second order: the library must then tell next to nothing too. */
static const double NOTHING = 2e-5; /* of the value */

/* JCGM 101 8.1: the first-order answer stands when it agrees with the Monte Carlo so well. */
static const double LEAST_RMS = 0.93, MOST_RMS = 1.07;

static gboolean
is_sound(const Tally *tally)
{
  double rms = sqrt(tally->sum_z2 / TRIALS), sd = sqrt(tally->sum_e2 / TRIALS);
  double nothing = NOTHING * fabs(tally->truth);
  if (sd < nothing)
    return tally->last_u < nothing;
  return rms >= LEAST_RMS && rms <= MOST_RMS && coverage_agrees(tally);
}

static const char *
name_of(int quantity)
{
  static const char *const of_shape[] = {"area", "perimeter", "longest"};
  static const char *const joined[] = {"difference", "share", "union"};
  return quantity < DIFFERENCE ? of_shape[quantity % 3] : joined[quantity - DIFFERENCE];
}

static void
judge(const Scene *scene, int source, const Tally *tallies)
{
  double low[4] = {9, 9, 9, 9}, high[4] = {0};
  int unsound = 0;
  for (int q = 0; q < N_QUANTITIES; q++) {
    const Tally *tally = &tallies[q];
    double rms = sqrt(tally->sum_z2 / TRIALS), sd = sqrt(tally->sum_e2 / TRIALS);
    int column = q < DIFFERENCE ? q % 3 : 3;
    if (!is_sound(tally)) {
      print_message("# unsound: %s of shape %d: RMS %.3f, covered %.4f, sd %.3g of %.6g\n",
                    name_of(q), q < DIFFERENCE ? q / 3 : 0, rms, (double)tally->covered / TRIALS,
                    sd, tally->truth);
      unsound++;
    }
    if (sd < NOTHING * fabs(tally->truth))
      continue;
    low[column] = fmin(low[column], rms);
    high[column] = fmax(high[column], rms);
  }
  print_message("# RMS %-12s area %.3f-%.3f, perimeter %.3f-%.3f, longest %.3f-%.3f, joined "
                "%.3f-%.3f\n",
                SOURCES[source], low[0], high[0], low[1], high[1], low[2], high[2], low[3],
                high[3]);
  if (unsound > 0)
    fail_msg("%s, %s: %d sizes are not as sure as they say", scene->name, SOURCES[source], unsound);
}

static void
run_source(const Scene *scene, const Shape *shapes, int source)
{
  g_autofree Tally *tallies = g_new0(Tally, N_QUANTITIES);
  set_truths(scene, shapes, tallies);
  for (int trial = 0; trial < TRIALS; trial++)
    run_trial(scene, shapes, source, tallies, trial);
  judge(scene, source, tallies);
}

static void
run_scene(const Scene *scene)
{
  Shape shapes[N_SHAPES];
  memcpy(shapes, SHAPES, sizeof shapes);
  if (scene->freehand)
    shapes[1] = freehand_shape();
  dice = 1903;
  for (int source = 0; source <= ALL; source++) {
    if (source == TILT && !scene->span)
      continue;
    if (source == DISTANCE && (!distance_is_known(scene) || !(fabs(scene->offset) > 0)))
      continue;
    run_source(scene, shapes, source);
  }
}

/* Cards of bank-card size and spans of 100 mm, 9 to 12 px/mm, the marks up to 200 mm away; for
 * spans at least 50 mm, so that a lean's first order outweighs its second. */
static void
rectangle_with_focal_length(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "rectangle, EXIF",
                     .lean_x = 12,
                     .lean_y = -7,
                     .yaw = 8,
                     .seen_x = 2100,
                     .seen_y = 2700,
                     .depth = 620,
                     .f_mm = 50,
                     .pixel_mm = .006,
                     .focal_known = TRUE,
                     .width = 85.6,
                     .height = 53.98,
                     .shift_x = 60,
                     .shift_y = -70});
}

static void
rectangle_under_the_surface(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "rectangle 30 mm lower, EXIF",
                     .lean_x = -6,
                     .lean_y = 9,
                     .yaw = -20,
                     .seen_x = 4200,
                     .seen_y = 2600,
                     .depth = 700,
                     .f_mm = 60,
                     .pixel_mm = .006,
                     .focal_known = TRUE,
                     .offset = 30,
                     .width = 148,
                     .height = 105,
                     .shift_x = -150,
                     .shift_y = -40});
}

static void
rectangle_with_camera_distance(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "rectangle 15 mm higher, camera-distance",
                     .lean_x = 3,
                     .lean_y = 2,
                     .yaw = 4,
                     .seen_x = 3100,
                     .seen_y = 2900,
                     .depth = 900,
                     .f_mm = 85,
                     .pixel_mm = .0075,
                     .distance_known = TRUE,
                     .offset = -15,
                     .width = 85.6,
                     .height = 53.98,
                     .shift_x = -20,
                     .shift_y = -90});
}

static void
rectangle_with_nothing_else(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "rectangle, no distance",
                     .lean_x = 4,
                     .lean_y = 5,
                     .yaw = 0,
                     .seen_x = 2500,
                     .seen_y = 2300,
                     .depth = 500,
                     .f_mm = 40,
                     .pixel_mm = .007,
                     .width = 120,
                     .height = 80,
                     .shift_x = 90,
                     .shift_y = 20,
                     .freehand = TRUE});
}

static void
rectangle_with_lens_coefficients(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "rectangle, lens known",
                     .lean_x = 5,
                     .lean_y = -9,
                     .yaw = 3,
                     .seen_x = 1800,
                     .seen_y = 1500,
                     .depth = 560,
                     .f_mm = 35,
                     .pixel_mm = .0055,
                     .focal_known = TRUE,
                     .offset = 8,
                     .width = 148,
                     .height = 105,
                     .k1 = -.06,
                     .k2 = .02,
                     .residual_px = 4,
                     .shift_x = 160,
                     .shift_y = 100});
}

static void
span_with_focal_length(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "span, EXIF",
                     .span = TRUE,
                     .yaw = 10,
                     .seen_x = 2400,
                     .seen_y = 3300,
                     .depth = 600,
                     .f_mm = 50,
                     .pixel_mm = .006,
                     .focal_known = TRUE,
                     .offset = 12,
                     .width = 100,
                     .shift_x = 70,
                     .shift_y = -150});
}

static void
span_with_camera_distance(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "span, camera-distance",
                     .span = TRUE,
                     .yaw = 90,
                     .seen_x = 900,
                     .seen_y = 2000,
                     .depth = 800,
                     .f_mm = 70,
                     .pixel_mm = .007,
                     .distance_known = TRUE,
                     .width = 150,
                     .shift_x = 20,
                     .shift_y = -180,
                     .freehand = TRUE});
}

static void
span_with_nothing_else(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "span, no distance",
                     .span = TRUE,
                     .yaw = -5,
                     .seen_x = 3000,
                     .seen_y = 3400,
                     .depth = 500,
                     .f_mm = 40,
                     .pixel_mm = .007,
                     .width = 100,
                     .shift_x = 10,
                     .shift_y = -140});
}

/* Cards with tags: four, of which the check lines were measured; two, of which they were not, and
 * the camera told nothing else; four under a lens of which coefficients are given. */
static void
four_tags(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "four tags, EXIF, 20 mm lower",
                     .n_tags = 4,
                     .print_tolerance = .2,
                     .lean_x = 14,
                     .lean_y = -9,
                     .yaw = 12,
                     .seen_x = 2300,
                     .seen_y = 2500,
                     .depth = 680,
                     .f_mm = 50,
                     .pixel_mm = .006,
                     .focal_known = TRUE,
                     .offset = 20,
                     .width = 148,
                     .height = 105,
                     .shift_x = 40,
                     .shift_y = -90});
}

static void
two_tags(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "two tags, no distance",
                     .n_tags = 2,
                     .lean_x = 4,
                     .lean_y = 5,
                     .yaw = -6,
                     .seen_x = 2500,
                     .seen_y = 2300,
                     .depth = 500,
                     .f_mm = 40,
                     .pixel_mm = .007,
                     .width = 120,
                     .height = 80,
                     .shift_x = 90,
                     .shift_y = 20});
}

static void
tags_with_lens_coefficients(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "four tags, lens known",
                     .n_tags = 4,
                     .print_tolerance = .3,
                     .lean_x = 8,
                     .lean_y = 10,
                     .yaw = 5,
                     .seen_x = 2000,
                     .seen_y = 1600,
                     .depth = 560,
                     .f_mm = 35,
                     .pixel_mm = .0055,
                     .focal_known = TRUE,
                     .offset = -6,
                     .width = 148,
                     .height = 105,
                     .k1 = -.06,
                     .k2 = .02,
                     .residual_px = 4,
                     .shift_x = 130,
                     .shift_y = 90});
}

/* Graduations: the tilts drawn are those of a span, 1.2 degrees, one in twenty above 2.4. */
static void
ticks_with_focal_length(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "ticks, EXIF",
                     .span = TRUE,
                     .ticks = TRUE,
                     .yaw = -8,
                     .seen_x = 2600,
                     .seen_y = 3200,
                     .depth = 620,
                     .f_mm = 50,
                     .pixel_mm = .006,
                     .focal_known = TRUE,
                     .offset = 10,
                     .width = 120,
                     .shift_x = 50,
                     .shift_y = -150});
}

static void
ticks_with_nothing_else(void **state)
{
  (void)state;
  run_scene(&(Scene){.name = "ticks, no distance",
                     .span = TRUE,
                     .ticks = TRUE,
                     .yaw = 85,
                     .seen_x = 1100,
                     .seen_y = 2100,
                     .depth = 500,
                     .f_mm = 40,
                     .pixel_mm = .007,
                     .width = 80,
                     .shift_x = 10,
                     .shift_y = -140});
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(rectangle_with_focal_length),
      cmocka_unit_test(rectangle_under_the_surface),
      cmocka_unit_test(rectangle_with_camera_distance),
      cmocka_unit_test(rectangle_with_nothing_else),
      cmocka_unit_test(rectangle_with_lens_coefficients),
      cmocka_unit_test(span_with_focal_length),
      cmocka_unit_test(span_with_camera_distance),
      cmocka_unit_test(span_with_nothing_else),
      cmocka_unit_test(four_tags),
      cmocka_unit_test(two_tags),
      cmocka_unit_test(tags_with_lens_coefficients),
      cmocka_unit_test(ticks_with_focal_length),
      cmocka_unit_test(ticks_with_nothing_else),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
