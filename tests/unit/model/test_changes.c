/* Change and totals are as sure as they say: pairs of photographs of one volume, before and after,
 * of which everything is known, are written as sidecars, and a model opened on them gives what has
 * changed.
 *
 * Every input that docs/measuring.md calls uncertain is drawn from the distribution given there and
 * errs in the scope given there: one print where both photographs show one card, one lens where one
 * camera took them, one habit of outlining for the whole volume; each photograph has its own pose,
 * corners, card level and distance, each mark its own hand. What both share cancels or adds as it
 * must only if (value - truth) / u is about 1 in the root mean square. No picture is painted: what
 * would be seen in one (tags, graduations) is put into the cache of looks, with its errors.
 */
#include <platewright/model.h>

#include "model/model-private.h"

#include "bench.h"
#include "pinhole.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>
#include <vips/vips.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

enum { WIDTH = 4800, HEIGHT = 3600, MOST_KNOTS = 12, MOST_PIECES = 2 };
enum { BEFORE, AFTER, N_SIDES };
static const double FOCAL_MM = 60, PIXEL_MM = 0.0075, PX_PER_MM = 9.5;

/* The table of DESIGN section 5: standard deviations of normal inputs, half-widths of others. */
static const double CORNER_PX = 1, SIDE_MM = 0.1, PITCH = 0.001, OFFSET_MM = 1, DISTANCE = 0.1,
                    TILT_DEG = 1.2;
static const double CHECK_TOLERANCE_MM = 0.2;
/* How well tags are found, and graduations read: nothing that the library is told. */
static const double TAG_PX = 0.15, COUNT = 0.06;
enum { COUNT_DOF = 10 };

/* First the table as it stands, over every way to a scale. Then one of the inputs that two
 * photographs may share is made four times as large and all damages stay all but the same, so that
 * little else is left to err than what must cancel: were it taken for each photograph's own, u
 * would be far too large. */
typedef struct {
  const char *name;
  guint n_pairs;
  double least_rms, most_rms; /* three standard errors of an RMS over so many */
  double outline_px, outlining_px;
  double print_percent, lens_percent;
  gboolean is_alike; /* one card with tags, one camera, nothing on another level */
} Case;
static const Case AS_THE_TABLE = {"as the table has it", 500, 0.9, 1.1, 2, 1, 0.5, 1, FALSE};
static const Case PRINT = {"print", 200, 0.85, 1.15, 0.25, 0.25, 2, 1, TRUE};
static const Case OUTLINING = {"outlining", 200, 0.85, 1.15, 0.25, 4, 0.5, 1, TRUE};
static const Case LENS = {"lens", 200, 0.85, 1.15, 0.25, 0.25, 0.5, 4, TRUE};

static char *folder;
static GBytes *picture[2]; /* by the camera that took it */

/* ---- What is on the volume --------------------------------------------------------- */

typedef struct {
  PwMm at[MOST_KNOTS];
  int n;
} Path;

/* One damage at one stage: one piece, or two that it was parted into, or none. A hole is in the
 * first. */
typedef struct {
  Path pieces[MOST_PIECES], hole;
  int n;
} Damage;

enum { STAIN, ISLAND, TEAR, CRACK, N_DAMAGES };
static gboolean
is_line(int damage)
{
  return damage == TEAR || damage == CRACK;
}

static double
path_length(const Path *path)
{
  double sum = 0;
  for (int i = 1; i < path->n; i++)
    sum += hypot(path->at[i].x - path->at[i - 1].x, path->at[i].y - path->at[i - 1].y);
  return sum;
}

static double
path_area(const Path *path)
{
  double sum = 0;
  for (int i = 0; i < path->n; i++) {
    PwMm a = path->at[i], b = path->at[(i + 1) % path->n];
    sum += (a.x * b.y - b.x * a.y) / 2;
  }
  return sum;
}

static double
true_size(int which, const Damage *damage)
{
  double sum = -path_area(&damage->hole);
  for (int i = 0; i < damage->n; i++)
    sum += is_line(which) ? path_length(&damage->pieces[i]) : path_area(&damage->pieces[i]);
  return sum;
}

/* Edges are longer than the 40 px that make every vertex a knot. */
static Path
blot(PwMm middle, double radius, int n, Dice *dice)
{
  Path path = {.n = n};
  for (int i = 0; i < n; i++) {
    double angle = 2 * G_PI * i / n, r = radius * (1 + dice_between(dice, 0.1));
    path.at[i] = (PwMm){middle.x + 1.2 * r * cos(angle), middle.y + r * sin(angle)};
  }
  return path;
}

static Path
wander(PwMm from, double dx, double dy, Dice *dice)
{
  Path path = {.n = 5};
  for (int i = 0; i < path.n; i++)
    path.at[i] =
        (PwMm){from.x + i * dx + dice_between(dice, 3), from.y + i * dy + dice_between(dice, 3)};
  return path;
}

static Path
shrunk(const Path *path, PwMm to, PwMm from, double by)
{
  Path out = *path;
  for (int i = 0; i < path->n; i++)
    out.at[i] = (PwMm){to.x + by * (path->at[i].x - from.x), to.y + by * (path->at[i].y - from.y)};
  return out;
}

/* Even from 0 to 1, or that all but nothing changes. */
static const double STAYS = 1;

/* What treatment left of an area: all but a rim, two pieces, or nothing. */
static void
fill(const Damage *before, PwMm middle, double fate, Damage *after, Dice *dice)
{
  *after = (Damage){.n = 0};
  if (fate < 0.2)
    return;
  after->n = fate < 0.5 ? 2 : 1;
  for (int i = 0; i < after->n; i++) {
    double by = after->n == 2 ? 0.4 : fate < 1 ? 0.7 + dice_between(dice, 0.2) : 0.95;
    PwMm to = {middle.x + (after->n == 2 ? 32 * i - 16 : dice_between(dice, 2)), middle.y};
    after->pieces[i] = shrunk(&before->pieces[0], to, middle, by);
    if (after->n == 1)
      after->hole = shrunk(&before->hole, to, middle, by);
  }
}

/* What it left of a line: the end beyond some vertex, both ends, or nothing. */
static void
close_line(const Damage *before, double fate, Damage *after, Dice *dice)
{
  const Path *whole = &before->pieces[0];
  int first = 1 + (int)(3 * dice_even(dice));
  if (!(fate < 1)) {
    *after = *before;
    return;
  }
  *after = (Damage){.n = fate < 0.2 ? 0 : fate < 0.5 ? 2 : 1};
  if (after->n == 2) {
    after->pieces[0] = (Path){.n = 2, .at = {whole->at[0], whole->at[1]}};
    after->pieces[1] = (Path){.n = 2, .at = {whole->at[3], whole->at[4]}};
  } else if (after->n == 1) {
    after->pieces[0].n = whole->n - first;
    memcpy(after->pieces[0].at, whole->at + first, sizeof(PwMm) * (gsize)(whole->n - first));
    after->pieces[0].n = MAX(after->pieces[0].n, 2);
    if (whole->n - first < 2)
      memcpy(after->pieces[0].at, whole->at + whole->n - 2, 2 * sizeof(PwMm));
  }
}

static void
damage_volume(const Case *of, Damage damages[N_SIDES][N_DAMAGES], Dice *dice)
{
  double fates[N_DAMAGES];
  for (int i = 0; i < N_DAMAGES; i++)
    fates[i] = of->is_alike ? STAYS : dice_even(dice);
  /* mm from the card's middle, up and to the right of it */
  const PwMm stain = {60, -150}, island = {170, -150};
  for (int i = 0; i < N_DAMAGES; i++)
    damages[BEFORE][i] = (Damage){.n = 1};
  damages[BEFORE][STAIN].pieces[0] = blot(stain, 27, 10, dice);
  damages[BEFORE][ISLAND].pieces[0] = blot(island, 30, 12, dice);
  damages[BEFORE][ISLAND].hole = blot(island, 11, 6, dice);
  damages[BEFORE][TEAR].pieces[0] = wander((PwMm){140, -20}, 20, 8, dice);
  damages[BEFORE][CRACK].pieces[0] = wander((PwMm){-50, -200}, -3, 22, dice);
  fill(&damages[BEFORE][STAIN], stain, fates[STAIN], &damages[AFTER][STAIN], dice);
  fill(&damages[BEFORE][ISLAND], island, fates[ISLAND], &damages[AFTER][ISLAND], dice);
  close_line(&damages[BEFORE][TEAR], fates[TEAR], &damages[AFTER][TEAR], dice);
  close_line(&damages[BEFORE][CRACK], fates[CRACK], &damages[AFTER][CRACK], dice);
}

/* ---- Who took it, and with what beside it ------------------------------------------ */

typedef struct {
  gboolean is_measured;
  double stretch[2], check[2]; /* printed over drawn; as read off the check lines, mm */
} Print;

typedef enum { TAGS, RECTANGLE, SPAN, TICKS } Method;

/* What both photographs may share. */
typedef struct {
  const Case *of;
  double outlining;
  Print cards[N_SIDES];   /* "first" and "second" */
  double lenses[N_SIDES]; /* of two cameras */
} Volume;

typedef struct {
  const Volume *volume;
  int card, camera; /* index into the volume's */
  Method method;
  gboolean by_hand;         /* camera-distance is stated */
  gboolean island_is_apart; /* the island stands on a level of its own */
  Pinhole pinhole;
  double distance_wrong; /* part */
  double offset, true_offset;
} Shot;

static const double ISLAND_OFFSET_MM = 8;

static Print
print_card(const Case *of, Dice *dice)
{
  Print print = {.is_measured = !of->is_alike && dice_even(dice) < 0.5};
  for (int i = 0; i < 2; i++) {
    print.stretch[i] = 1 + dice_between(dice, of->print_percent / 100);
    print.check[i] = 100 * print.stretch[i] + dice_between(dice, CHECK_TOLERANCE_MM);
  }
  return print;
}

static Volume
new_volume(const Case *of, Dice *dice)
{
  Volume volume = {.of = of, .outlining = dice_between(dice, of->outlining_px)};
  for (int i = 0; i < N_SIDES; i++) {
    volume.cards[i] = print_card(of, dice);
    volume.lenses[i] = dice_between(dice, of->lens_percent / 100);
  }
  return volume;
}

/* f (1 + m) with the magnification m where the card lies, as a camera in focus there has it. What
 * is wrong with that puts the camera further off, and the card looks the same. */
static void
stand(Shot *shot, Dice *dice)
{
  static const double seen[2] = {1300 - WIDTH / 2.0, 2700 - HEIGHT / 2.0};
  Pinhole *pinhole = &shot->pinhole;
  double rad = G_PI / 180, f = FOCAL_MM / PIXEL_MM, c = f, away = 1 + shot->distance_wrong;
  double depth = f * (1 + PIXEL_MM * PX_PER_MM) / (PX_PER_MM * (1 + dice_between(dice, 0.04)));
  gboolean level = shot->method == SPAN || shot->method == TICKS;
  double lean_x = level ? dice_normal(dice, TILT_DEG) : dice_between(dice, 12);
  double lean_y = level ? dice_normal(dice, TILT_DEG) : dice_between(dice, 12);
  *pinhole = (Pinhole){.width = WIDTH, .height = HEIGHT};
  pinhole_lean(pinhole, lean_x * rad, lean_y * rad, dice_between(dice, 6) * rad);
  for (int round = 0; round < 12; round++) {
    pinhole->c = c;
    pinhole->middle = (Vec){seen[0] * depth / c, seen[1] * depth / c, depth};
    PwPx o = pinhole_seen(pinhole, 0, 0, 0), x = pinhole_seen(pinhole, .01, 0, 0),
         y = pinhole_seen(pinhole, 0, .01, 0);
    double px2 = ((x.x - o.x) * (y.y - o.y) - (x.y - o.y) * (y.x - o.x)) / 1e-4;
    c = f * (1 + PIXEL_MM * sqrt(px2));
  }
  pinhole->c *= away;
  pinhole->middle.z *= away;
  pinhole->lens = shot->volume->lenses[shot->camera];
}

static Shot
new_shot(const Volume *volume, int card, int camera, Dice *dice)
{
  static const Method methods[] = {TAGS, TAGS, TAGS, RECTANGLE, SPAN, TICKS};
  static const double offsets[] = {0, 0, 6, 25};
  Shot shot = {.volume = volume, .card = card, .camera = camera};
  if (!volume->of->is_alike) {
    shot.method = methods[(int)(dice_even(dice) * (int)G_N_ELEMENTS(methods))];
    shot.by_hand = dice_even(dice) < 0.3;
    shot.offset = offsets[(int)(dice_even(dice) * (int)G_N_ELEMENTS(offsets))];
    shot.island_is_apart = dice_even(dice) < 0.25;
  }
  shot.true_offset = shot.offset + dice_between(dice, OFFSET_MM);
  shot.distance_wrong = dice_between(dice, DISTANCE);
  stand(&shot, dice);
  return shot;
}

/* Perpendicular, from the lens to the card's plane. */
static double
true_distance(const Pinhole *pinhole)
{
  const Vec *o = &pinhole->middle, *n = &pinhole->nearer;
  return fabs(o->x * n->x + o->y * n->y + o->z * n->z);
}

/* ---- Sidecars ---------------------------------------------------------------------- */

static void
put_point(GString *text, const char *before, PwPx at)
{
  g_string_append_printf(text, "%s%.4f,%.4f", before, at.x, at.y);
}

static PwPx
by_hand(PwPx at, double sigma, Dice *dice)
{
  double x = dice_normal(dice, sigma), y = dice_normal(dice, sigma);
  return (PwPx){at.x + x, at.y + y};
}

/* With the habit of keeping outside, holes then being drawn too small, and the hand's errors. */
static void
put_ring(GString *text, const Shot *shot, const Path *ring, double height, double outwards,
         Dice *dice)
{
  PwPx px[MOST_KNOTS], moved[MOST_KNOTS];
  for (int i = 0; i < ring->n; i++)
    px[i] = pinhole_seen(&shot->pinhole, ring->at[i].x, ring->at[i].y, height);
  hand_keeps_outside(px, ring->n, outwards, moved);
  for (int i = 0; i < ring->n; i++)
    put_point(text, i ? " " : "", by_hand(moved[i], shot->volume->of->outline_px, dice));
}

static void
put_line(GString *text, const Shot *shot, const Path *line, double height, Dice *dice)
{
  for (int i = 0; i < line->n; i++) {
    PwPx px = pinhole_seen(&shot->pinhole, line->at[i].x, line->at[i].y, height);
    put_point(text, i ? " " : "", by_hand(px, shot->volume->of->outline_px, dice));
  }
}

static void
put_piece(GString *text, const Shot *shot, int which, const Damage *damage, int piece, Dice *dice)
{
  gboolean apart = which == ISLAND && shot->island_is_apart;
  double height = apart ? ISLAND_OFFSET_MM + dice_between(dice, OFFSET_MM) : shot->true_offset;
  double outlining = shot->volume->outlining;
  if (apart)
    g_string_append_printf(text, ", plane-offset: %g", ISLAND_OFFSET_MM);
  g_string_append(text, is_line(which) ? ", line: \"" : ", outline: \"");
  if (is_line(which))
    put_line(text, shot, &damage->pieces[piece], height, dice);
  else
    put_ring(text, shot, &damage->pieces[piece], height, outlining, dice);
  g_string_append_c(text, '"');
  if (piece == 0 && damage->hole.n > 0) {
    g_string_append(text, ", holes: [\"");
    put_ring(text, shot, &damage->hole, height, -outlining, dice);
    g_string_append(text, "\"]");
  }
}

/* Mark 10 is damage 1's first piece. */
static void
put_marks(GString *text, const Shot *shot, const Damage damages[N_DAMAGES], gboolean is_after,
          Dice *dice)
{
  g_string_append(text, "marks:\n");
  for (int i = 0; i < N_DAMAGES; i++)
    for (int piece = 0; piece < MAX(damages[i].n, 1); piece++) {
      g_string_append_printf(text, "  - {id: %d%d, term: %s, part: leaf", i, piece,
                             is_line(i) ? "tear" : "loss");
      if (is_after)
        g_string_append_printf(text, ", earlier: \"0.jpg#%d0\"", i);
      if (damages[i].n == 0)
        g_string_append(text, ", gone: yes");
      else
        put_piece(text, shot, i, &damages[i], piece, dice);
      g_string_append(text, "}\n");
    }
}

/* 85.60 x 53.98 mm; each side printed longer or shorter than it is said to be. */
static void
put_rectangle(GString *text, const Shot *shot, Dice *dice)
{
  double w = (85.60 + dice_between(dice, SIDE_MM)) / 2;
  double h = (53.98 + dice_between(dice, SIDE_MM)) / 2;
  g_string_append(text, "  rectangle: {corners: \"");
  for (int i = 0; i < 4; i++) {
    PwPx px = pinhole_seen(&shot->pinhole, i == 1 || i == 2 ? w : -w, i >= 2 ? h : -h, 0);
    put_point(text, i ? " " : "", by_hand(px, CORNER_PX, dice));
  }
  g_string_append(text, "\", width: 85.60, height: 53.98}\n");
}

enum { RULE_MM = 120 };

/* So that a sidecar has every digit of it. */
static PwPx
put_to_grid(PwPx at)
{
  return (PwPx){round(64 * at.x) / 64, round(64 * at.y) / 64};
}

/* A rule, or a line along its graduations, whose ends may lie anywhere on them. */
static void
put_rule(GString *text, const Shot *shot, PwScaleText *line, Dice *dice)
{
  gboolean ticks = shot->method == TICKS;
  double half = (RULE_MM + (ticks ? 0 : dice_between(dice, SIDE_MM))) / 2;
  double sigma = ticks ? 0 : CORNER_PX;
  line->from = put_to_grid(by_hand(pinhole_seen(&shot->pinhole, -half, 0, 0), sigma, dice));
  line->to = put_to_grid(by_hand(pinhole_seen(&shot->pinhole, half, 0, 0), sigma, dice));
  g_string_append_printf(text, "  %s: {from: \"%.6f,%.6f\", to: \"%.6f,%.6f\", %s}\n",
                         ticks ? "ticks" : "span", line->from.x, line->from.y, line->to.x,
                         line->to.y, ticks ? "pitch: 1" : "length: 120");
}

/* ---- What would be seen in the picture --------------------------------------------- */

static void
remember(const char *where, const char *kind, const char *key, const char *words)
{
  g_autoptr(GBytes) entry = g_bytes_new(words, strlen(words));
  pw_cache_put(where, kind, key, entry);
}

static void
see_card(const char *where, const Shot *shot, const char *sha256, Dice *dice)
{
  const PwCardDesign *design = pw_card_design(PW_CARD_A6);
  const Print *print = &shot->volume->cards[shot->card];
  g_autoptr(GString) words = g_string_new(NULL);
  g_autofree char *key = pw_look_dup_cards_key(sha256);
  g_string_append_printf(words, "corners %d\n", 4 * design->n_tags);
  for (int i = 0; i < 4 * design->n_tags; i++) {
    PwMm mm = pw_card_corner(PW_CARD_A6, i / 4, i % 4);
    double x = (mm.x - design->width_mm / 2) * print->stretch[0];
    double y = (mm.y - design->height_mm / 2) * print->stretch[1];
    PwPx px = by_hand(pinhole_seen(&shot->pinhole, x, y, 0), TAG_PX, dice);
    g_string_append_printf(words, "%d %d %.6f %.6f\n",
                           design->first_id + shot->card * design->n_tags + i / 4, i % 4, px.x,
                           px.y);
  }
  remember(where, "cards", key, words->str);
}

/* What a reading finds for its own standard error. */
static void
see_ticks(const char *where, const PwScaleText *line, const char *sha256, Dice *dice)
{
  double sum = 0;
  for (int i = 0; i < COUNT_DOF; i++)
    sum += pow(dice_normal(dice, COUNT), 2);
  double true_count = RULE_MM / (1 + dice_between(dice, PITCH));
  g_autofree char *key = pw_look_dup_ticks_key(sha256, line);
  g_autofree char *words =
      g_strdup_printf("0.1 0 %.8f %.8f %d 0.02 0", true_count + dice_normal(dice, COUNT),
                      sqrt(sum / COUNT_DOF), COUNT_DOF);
  remember(where, "ticks", key, words);
}

/* ---- The record -------------------------------------------------------------------- */

static void
write_file(const char *where, const char *name, const char *data, gsize length)
{
  g_autofree char *path = g_build_filename(where, name, NULL);
  g_file_set_contents(path, data, (gssize)length, NULL);
}

static void
write_volume(const Volume *volume, const char *where)
{
  g_autoptr(GString) text = g_string_new("format: platewright-volume 1\nvolume: {id: CHANGES}\n");
  g_string_append(text, "cards:\n");
  for (int i = 0; i < N_SIDES; i++) {
    const Print *print = &volume->cards[i];
    g_string_append_printf(text, "  %s: {design: a6 %c", i ? "second" : "first", 'a' + i);
    if (print->is_measured)
      g_string_append_printf(text, ", check-along: %.5f, check-across: %.5f, tolerance: %g",
                             print->check[0], print->check[1], CHECK_TOLERANCE_MM);
    g_string_append(text, "}\n");
  }
  g_string_append_printf(text, "uncertainty: {outline: %g, outlining: %g, print: %g, lens: %g",
                         volume->of->outline_px, volume->of->outlining_px,
                         volume->of->print_percent, volume->of->lens_percent);
  if (volume->of->is_alike) /* a strong lens bends a card, which a fit takes for bad corners */
    g_string_append_printf(text, ", tag: %g", TAG_PX);
  g_string_append(text, "}\n");
  write_file(where, "volume.yaml", text->str, text->len);
}

/* A file of its own: what follows the picture's end is passed over by whoever decodes it. */
static char *
write_picture(const char *where, const char *name, const Shot *shot)
{
  gsize length;
  const guint8 *data = g_bytes_get_data(picture[shot->camera], &length);
  g_autoptr(GByteArray) file = g_byte_array_new();
  g_byte_array_append(file, data, (guint)length);
  g_byte_array_append(file, (const guint8 *)where, (guint)strlen(where));
  g_byte_array_append(file, (const guint8 *)name, (guint)strlen(name));
  write_file(where, name, (const char *)file->data, file->len);
  return pw_sha256_dup_hex(file->data, file->len);
}

static void
write_photo(const char *where, int side, const Shot *shot, const Damage damages[N_DAMAGES],
            Dice *dice)
{
  PwScaleText line;
  g_autofree char *name = g_strdup_printf("%d.jpg", side);
  g_autofree char *beside = g_strconcat(name, ".yaml", NULL);
  g_autofree char *sha256 = write_picture(where, name, shot);
  g_autoptr(GString) text = g_string_new("format: platewright-photo 1\n");
  g_string_append_printf(text, "photo: {size: %d x %d}\nstage: %s\nview: leaf\nscale:\n", WIDTH,
                         HEIGHT, side == BEFORE ? "before" : "after");
  if (shot->method == TAGS)
    g_string_append_printf(text, "  tags: %s\n", shot->card ? "second" : "first");
  if (shot->method == RECTANGLE)
    put_rectangle(text, shot, dice);
  if (shot->method == SPAN || shot->method == TICKS)
    put_rule(text, shot, &line, dice);
  g_string_append_printf(text, "  plane-offset: %g\n", shot->offset);
  if (shot->by_hand)
    g_string_append_printf(text, "  camera-distance: %.4f\n",
                           true_distance(&shot->pinhole) / (1 + shot->distance_wrong));
  put_marks(text, shot, damages, side == AFTER, dice);
  write_file(where, beside, text->str, text->len);
  if (shot->method == TAGS)
    see_card(where, shot, sha256, dice);
  if (shot->method == TICKS)
    see_ticks(where, &line, sha256, dice);
}

/* ---- Judgement --------------------------------------------------------------------- */

enum {
  CHANGE,                   /* of each damage */
  TOTAL_BEFORE = N_DAMAGES, /* of areas, of lines */
  TOTAL_AFTER = TOTAL_BEFORE + 2,
  TOTAL_CHANGE = TOTAL_AFTER + 2,
  N_FIGURES = TOTAL_CHANGE + 2
};
static const char *const FIGURES[N_FIGURES] = {
    "change of an area",           "change of an area with a hole", "change of a line",
    "change of another line",      "total of areas before",         "total of lines before",
    "total of areas after",        "total of lines after",          "change of the total of areas",
    "change of the total of lines"};

typedef struct {
  const Case *of;
  char *why; /* NULL: measured */
  double z[N_FIGURES], of_U[N_FIGURES];
  gboolean is_certain[N_FIGURES]; /* nothing is left of it, and nothing of that is uncertain */
} Result;

/* A u that was itself estimated makes error over u a t variable, whose variance is
 * dof / (dof - 2) (JCGM 101 6.4.9). */
static void
compare(const PwSize *size, double truth, int figure, Result *result)
{
  PwQuantity q = pw_size_quantity(size);
  double variance = isinf(q.dof) ? 1 : q.dof / (q.dof - 2), error = fabs(q.value - truth);
  result->is_certain[figure] = error < 1e-9 && q.u < 1e-9;
  if (result->is_certain[figure])
    return;
  result->z[figure] = error / q.u / sqrt(variance);
  result->of_U[figure] = error / (pw_coverage_factor(q.dof) * q.u);
}

static void
compare_changes(const PwModel *model, double sizes[N_SIDES][N_DAMAGES], Result *result)
{
  for (gsize i = 0; i < pw_model_n_changes(model); i++) {
    const PwModelChange *change = pw_model_peek_change(model, i);
    int which = change->before->text->id[0] - '0';
    if (!change->sized)
      result->why = g_strdup(change->before->why ? change->before->why : change->after[0]->why);
    else
      compare(&change->delta, sizes[AFTER][which] - sizes[BEFORE][which], CHANGE + which, result);
  }
}

static void
compare_totals(const PwModel *model, double sizes[N_SIDES][N_DAMAGES], Result *result)
{
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(model, PW_FOR_STUDIO);
  for (gsize i = 0; i < pw_model_n_totals(model); i++) {
    const PwModelTotal *total = pw_model_peek_total(model, i);
    int side = total->stage == PW_STAGE_AFTER, line = total->has_length ? 1 : 0;
    const double *of = sizes[side] + 2 * line;
    compare(line ? &total->length_mm : &total->area_mm2, of[0] + of[1],
            (side ? TOTAL_AFTER : TOTAL_BEFORE) + line, result);
  }
  for (gsize i = 0; i < summary->n_parts; i++)
    for (gsize j = 0; j < summary->parts[i].n_terms; j++) {
      const PwModelCondition *condition = &summary->parts[i].terms[j];
      const double *b = sizes[BEFORE] + 2 * condition->is_length;
      const double *a = sizes[AFTER] + 2 * condition->is_length;
      if (condition->has_change)
        compare(&condition->change, a[0] + a[1] - b[0] - b[1], TOTAL_CHANGE + condition->is_length,
                result);
    }
}

/* Of pairs that are not all alike three in four show one card, three in four were taken by one
 * camera. */
static void
run_pair(void *user, guint pair)
{
  Result *result = (Result *)user + pair;
  Dice dice = 1903 + 7919 * (guint64)pair;
  Damage damages[N_SIDES][N_DAMAGES];
  double sizes[N_SIDES][N_DAMAGES];
  Volume volume = new_volume(result->of, &dice);
  guint other = result->of->is_alike ? 0 : pair % 4;
  Shot shots[N_SIDES] = {new_shot(&volume, 0, 0, &dice),
                         new_shot(&volume, other == 1, other == 2, &dice)};
  damage_volume(result->of, damages, &dice);
  g_autofree char *where = g_strdup_printf("%s/%s-%u", folder, result->of->name, pair);
  g_mkdir(where, 0700);
  write_volume(&volume, where);
  for (int side = 0; side < N_SIDES; side++) {
    write_photo(where, side, &shots[side], damages[side], &dice);
    for (int i = 0; i < N_DAMAGES; i++)
      sizes[side][i] = true_size(i, &damages[side][i]);
  }
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwModelOptions options = {.headers = TRUE};
  g_autoptr(PwModel) model = pw_model_open(where, &options, complaints, &error);
  if (model == NULL || pw_model_n_changes(model) != N_DAMAGES || pw_model_n_errors(model) > 0) {
    result->why = pw_complaints_n(complaints)
                      ? pw_complaint_dup_text(pw_complaints_peek(complaints, 0))
                      : g_strdup(error ? error->message : "not all changes are there");
  } else {
    compare_changes(model, sizes, result);
    compare_totals(model, sizes, result);
  }
  bench_clear_folder(where);
}

/* As sure as they say, and no error beyond three times what +- says. */
static gboolean
is_sound(const Result *results, int figure)
{
  double squares = 0, worst = 0;
  int n = 0;
  for (guint i = 0; i < results->of->n_pairs; i++) {
    squares += results[i].z[figure] * results[i].z[figure];
    worst = fmax(worst, results[i].of_U[figure]);
    n += results[i].is_certain[figure] ? 0 : 1;
  }
  double rms = sqrt(squares / n);
  print_message("# %s, %s: RMS of (value - truth) / u over %d pairs is %.3f, worst error "
                "%.2f U\n",
                results->of->name, FIGURES[figure], n, rms, worst);
  return rms >= results->of->least_rms && rms <= results->of->most_rms && worst <= 3;
}

static void
judge(const Case *of)
{
  g_autofree Result *results = g_new0(Result, of->n_pairs);
  int unsound = 0, unmeasured = 0;
  for (guint i = 0; i < of->n_pairs; i++)
    results[i].of = of;
  pw_each(of->n_pairs, 0, run_pair, results);
  for (guint i = 0; i < of->n_pairs; i++) {
    if (results[i].why)
      print_message("# pair %u: %s\n", i, results[i].why);
    unmeasured += results[i].why ? 1 : 0;
    g_free(results[i].why);
  }
  assert_int_equal(unmeasured, 0);
  for (int figure = 0; figure < N_FIGURES; figure++)
    unsound += is_sound(results, figure) ? 0 : 1;
  assert_int_equal(unsound, 0);
}

static void
as_sure_as_they_say(void **state)
{
  (void)state;
  judge(&AS_THE_TABLE);
}

static void
one_print_cancels(void **state)
{
  (void)state;
  judge(&PRINT);
}

static void
one_habit_of_outlining_cancels(void **state)
{
  (void)state;
  judge(&OUTLINING);
}

static void
one_lens_cancels(void **state)
{
  (void)state;
  judge(&LENS);
}

/* ---- Begin and end ----------------------------------------------------------------- */

/* An even grey of that size, with what EXIF says of the camera. */
static GBytes *
new_picture(int camera)
{
  VipsImage *black = NULL;
  void *data;
  size_t length;
  g_autofree char *per_cm = g_strdup_printf("%.0f/3", 30 / PIXEL_MM);
  if (vips_black(&black, WIDTH, HEIGHT, NULL) != 0)
    return NULL;
  vips_image_set_string(black, "exif-ifd0-Make", "Made up");
  vips_image_set_string(black, "exif-ifd0-Model", camera ? "Second" : "First");
  vips_image_set_string(black, "exif-ifd2-FocalLength", "60/1");
  vips_image_set_string(black, "exif-ifd2-FocalPlaneXResolution", per_cm);
  vips_image_set_string(black, "exif-ifd2-FocalPlaneYResolution", per_cm);
  vips_image_set_string(black, "exif-ifd2-FocalPlaneResolutionUnit", "3");
  int failed = vips_jpegsave_buffer(black, &data, &length, "Q", 50, NULL);
  g_object_unref(black);
  return failed ? NULL : g_bytes_new_take(data, length);
}

static int
begin(void **state)
{
  (void)state;
  folder = g_dir_make_tmp("platewright-changes-XXXXXX", NULL);
  if (folder == NULL || !pw_photo_startup(NULL))
    return -1;
  for (int i = 0; i < 2; i++)
    picture[i] = new_picture(i);
  return picture[0] && picture[1] ? 0 : -1;
}

static int
end(void **state)
{
  (void)state;
  bench_clear_folder(folder);
  g_free(folder);
  for (int i = 0; i < 2; i++)
    g_bytes_unref(picture[i]);
  pw_photo_shutdown();
  return 0;
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(as_sure_as_they_say), cmocka_unit_test(one_print_cancels),
      cmocka_unit_test(one_habit_of_outlining_cancels), cmocka_unit_test(one_lens_cancels)};
  return cmocka_run_group_tests(tests, begin, end);
}
