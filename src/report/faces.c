/* The cover lies open, its outside up: back board, spine, front board, beside it the fore edge,
 * head and tail above and below the front board. On each face a small square for every place that
 * is damaged, hollow before treatment, full after, so that they can be counted, and the figure.
 * Openings, details and other views are not on the map and stand beside it in words. */
#include "faces.h"

#include <math.h>

/* Lengths in mm. */
#define WIDTH 168.0
#define MAP 119.0      /* room for the map; the rest is for what stands beside */
#define MOST_HIGH 74.0 /* of the map */
#define GAP 2.5        /* between faces */
#define EDGE 0.5       /* so that no rim is cut */
#define HAIRLINE 0.12
#define RIM 0.3
#define SQUARE 1.5
#define SQUARE_STEP 2.1
#define LINE 3.9   /* of words below one another */
#define NARROW 9.5 /* above a narrow face, for its words */
#define INSET 1.6
#define WIDE 24.0   /* a face at least so wide has its words inside, */
#define FLAT 8.0    /* unless it is lower than this */
#define BESIDE 14.0 /* from the map to what stands beside it */
#define COLUMN 34.0 /* width of that */
/* A volume whose size is not recorded: height, width, thickness. */
static const double usual_mm[3] = {300, 210, 40};

typedef struct {
  double x, y, width, height;
} Place;

typedef struct {
  const PwReportOptions *options;
  gboolean has_after, is_true;
  double size[3], scale; /* of the volume in mm; mm on paper for one */
  double top;            /* of the head */
  double beside_x;
  PwDrawing *drawing;
  GString *says;
  double beside_y; /* where the next words stand beside the map */
} Map;

static PwInk
ink_of(const Map *map, const char *name)
{
  return pw_style_ink(map->options->style, name);
}

/* ---- Where faces lie ---------------------------------------------------------------------------
 */

static const char *const views[] = {"back board", "spine", "front board",
                                    "fore edge",  "head",  "tail"};

static void
fit(Map *map, const PwVolume *volume)
{
  map->is_true = TRUE;
  for (int i = 0; i < 3; i++)
    map->is_true = map->is_true && volume != NULL && volume->size_mm[i] > 0;
  for (int i = 0; i < 3; i++)
    map->size[i] = map->is_true ? volume->size_mm[i] : usual_mm[i];
  double wide = 2 * map->size[1] + 2 * map->size[2], high = map->size[0] + 2 * map->size[2];
  map->scale = MIN((MAP - 3 * GAP - 2 * EDGE) / wide, (MOST_HIGH - 2 * GAP) / high);
  double thick = map->size[2] * map->scale;
  map->beside_x = EDGE + wide * map->scale + 3 * GAP + BESIDE;
  map->top = MAX(thick < FLAT ? LINE + EDGE : EDGE, NARROW - thick - GAP);
}

/* FALSE: no face of a volume, but an opening, a detail. */
static gboolean
place_of(const Map *map, const char *view, Place *place)
{
  double high = map->size[0] * map->scale, wide = map->size[1] * map->scale;
  double thick = map->size[2] * map->scale;
  double spine_x = EDGE + wide + GAP, front_x = spine_x + thick + GAP;
  double y = map->top + thick + GAP;
  const Place places[] = {
      {EDGE, y, wide, high},
      {spine_x, y, thick, high},
      {front_x, y, wide, high},
      {front_x + wide + GAP, y, thick, high},
      {front_x, map->top, wide, thick},
      {front_x, y + high + GAP, wide, thick},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(views); i++)
    if (g_strcmp0(view, views[i]) == 0) {
      *place = places[i];
      return TRUE;
    }
  return FALSE;
}

static double
map_bottom(const Map *map)
{
  return map->top + (map->size[0] + 2 * map->size[2]) * map->scale + 2 * GAP + LINE;
}

/* ---- Words -------------------------------------------------------------------------------------
 */

/* How many were found at a stage, or that nobody looked. */
static char *
dup_found(const Map *map, const PwModelFace *face, gboolean was_looked_at, guint n)
{
  if (was_looked_at)
    return g_strdup_printf("%u", n);
  return g_strdup(
      face->n_photos > 0 ? "\u2013" : pw_words_peek(map->options->words, "faces-not-photographed"));
}

/* "5", "5 / 3", "5 / \u2013", "not photographed". */
static char *
dup_figures(const Map *map, const PwModelFace *face)
{
  g_autofree char *before = dup_found(map, face, face->has_before, face->n_before);
  g_autofree char *after = dup_found(map, face, face->has_after, face->n_after);
  gboolean is_pair = map->has_after && face->n_photos > 0;
  return is_pair ? g_strdup_printf("%s / %s", before, after) : g_steal_pointer(&before);
}

/* A view that was photographed only during treatment shows no place to be counted. */
static gboolean
is_told(const PwModelFace *face)
{
  return face->has_before || face->has_after || face->n_photos == 0;
}

static const char *
name_of(const Map *map, const PwModelFace *face)
{
  return face->view != NULL ? pw_words_peek_view(map->options->words, face->view)
                            : pw_words_peek(map->options->words, "faces-no-view");
}

static void
say_face(Map *map, const PwModelFace *face)
{
  const PwWords *words = map->options->words;
  g_autofree char *before = dup_found(map, face, face->has_before, face->n_before);
  g_autofree char *after = dup_found(map, face, face->has_after, face->n_after);
  g_autofree char *sentence =
      pw_words_dup_phrase(words, map->has_after ? "faces-says" : "faces-says-before", "face",
                          name_of(map, face), "before", before, "after", after, NULL);
  g_string_append_printf(map->says, "%s%s", map->says->len > 0 ? " " : "", sentence);
}

/* ---- Drawing -----------------------------------------------------------------------------------
 */

static void
draw_square(Map *map, double x, double y, gboolean is_full)
{
  PwInk ink = ink_of(map, "ink"), fill = ink_of(map, is_full ? "soft-ink" : "casing");
  pw_drawing_box(map->drawing, x, y, x + SQUARE, y + SQUARE, fill, 0.2, ink);
}

/* Rows of squares from the top of a face; where the next row begins. More than the face holds are
 * left to the figure. */
static double
draw_squares(Map *map, const Place *place, double y, guint n, gboolean is_full)
{
  double inset = MIN(INSET, (place->width - SQUARE) / 2);
  guint a_row =
      (guint)MAX(1, floor((place->width - 2 * INSET + SQUARE_STEP - SQUARE) / SQUARE_STEP));
  for (guint i = 0; i < n; i++) {
    double row = y + i / a_row * SQUARE_STEP;
    if (row + SQUARE + INSET > place->y + place->height)
      break;
    draw_square(map, place->x + inset + i % a_row * SQUARE_STEP, row, is_full);
  }
  return y + (n + a_row - 1) / a_row * SQUARE_STEP;
}

/* What was not photographed has a dashed rim: nothing is known of it. */
static void
draw_rim(Map *map, const PwModelFace *face, const Place *place)
{
  PwInk ink = ink_of(map, "ink");
  double x2 = place->x + place->width, y2 = place->y + place->height;
  if (face->has_before || (map->has_after && face->has_after)) {
    pw_drawing_box(map->drawing, place->x, place->y, x2, y2, ink_of(map, "casing"), RIM, ink);
    return;
  }
  const double corners[5][2] = {
      {place->x, place->y}, {x2, place->y}, {x2, y2}, {place->x, y2}, {place->x, place->y}};
  for (int i = 0; i < 4; i++) {
    pw_drawing_line(map->drawing, corners[i][0], corners[i][1], corners[i + 1][0],
                    corners[i + 1][1], HAIRLINE, ink);
    PwMadeOf *line = &g_array_index(map->drawing->shapes, PwMadeOf, map->drawing->shapes->len - 1);
    line->dash_mm[0] = line->dash_mm[1] = 1;
  }
}

/* Name and figure: inside a face that has the room, else above it; below the tail. */
static void
draw_words(Map *map, const PwModelFace *face, const Place *place)
{
  PwInk ink = ink_of(map, "ink");
  g_autofree char *figures = dup_figures(map, face);
  const char *name = name_of(map, face);
  if (place->width < WIDE) {
    pw_drawing_words(map->drawing, place->x, place->y - INSET - LINE, 0, ink, name);
    pw_drawing_words(map->drawing, place->x, place->y - INSET, 0, ink, figures)->is_strong = TRUE;
    return;
  }
  gboolean is_below = place->y > map->top + map->size[0] * map->scale;
  double y = place->y + place->height - INSET;
  if (place->height < FLAT)
    y = is_below ? place->y + place->height + LINE : place->y - INSET;
  pw_drawing_words(map->drawing, place->x + INSET, y, 0, ink, name);
  pw_drawing_words(map->drawing, place->x + place->width - INSET, y, 1, ink, figures)->is_strong =
      TRUE;
}

static void
draw_face(Map *map, const PwModelFace *face, const Place *place)
{
  draw_rim(map, face, place);
  double y = place->y + INSET;
  y = draw_squares(map, place, y, face->n_before, FALSE);
  if (map->has_after)
    draw_squares(map, place, y, face->n_after, TRUE);
  draw_words(map, face, place);
}

/* A view that is no face, in the column beside the map. */
static void
draw_beside(Map *map, const PwModelFace *face)
{
  PwInk ink = ink_of(map, "ink");
  g_autofree char *figures = dup_figures(map, face);
  pw_drawing_words(map->drawing, map->beside_x, map->beside_y, 0, ink, name_of(map, face));
  pw_drawing_words(map->drawing, map->beside_x + COLUMN, map->beside_y, 1, ink, figures)
      ->is_strong = TRUE;
  map->beside_y += LINE;
}

static void
draw_key_entry(Map *map, gboolean is_full, const char *key)
{
  draw_square(map, map->beside_x, map->beside_y - SQUARE, is_full);
  pw_drawing_words(map->drawing, map->beside_x + 3, map->beside_y, 0, ink_of(map, "ink"),
                   pw_words_peek(map->options->words, key));
  map->beside_y += LINE;
}

static void
draw_key(Map *map)
{
  map->beside_y = LINE;
  draw_key_entry(map, FALSE, "stage-before");
  if (map->has_after)
    draw_key_entry(map, TRUE, "stage-after");
  if (!map->is_true) {
    pw_drawing_words(map->drawing, map->beside_x, map->beside_y, 0, ink_of(map, "soft-ink"),
                     pw_words_peek(map->options->words, "faces-no-size"))
        ->is_soft = TRUE;
    map->beside_y += LINE;
  }
  map->beside_y += LINE;
}

/* ---- The map -----------------------------------------------------------------------------------
 */

static gboolean
tells_after(const PwModelSummary *summary, PwReportKind kind)
{
  if (kind != PW_REPORT_TREATMENT && kind != PW_REPORT_SUMMARY)
    return FALSE;
  for (gsize i = 0; i < summary->n_faces; i++)
    if (summary->faces[i].has_after)
      return TRUE;
  return FALSE;
}

static guint
count_beside(const Map *map, const PwModelSummary *summary)
{
  guint n = 0;
  Place place;
  for (gsize i = 0; i < summary->n_faces; i++)
    n += place_of(map, summary->faces[i].view, &place) ? 0 : 1;
  return n;
}

static gboolean
has_photographs(const Map *map, const PwModelSummary *summary)
{
  Place place;
  for (gsize i = 0; i < summary->n_faces; i++)
    if (summary->faces[i].n_photos > 0 && place_of(map, summary->faces[i].view, &place))
      return TRUE;
  return FALSE;
}

PwDrawing *
pw_faces_new(const PwModel *model, const PwModelSummary *summary, const PwReportOptions *options)
{
  Map map = {.options = options, .has_after = tells_after(summary, options->kind)};
  fit(&map, pw_model_peek_volume(model));
  if (!has_photographs(&map, summary))
    return NULL;
  double beside = LINE * (5 + count_beside(&map, summary));
  map.drawing = pw_drawing_new(WIDTH, MAX(map_bottom(&map), beside) + 1,
                               pw_words_peek(options->words, "faces-title"));
  map.says = g_string_new(NULL);
  draw_key(&map);
  for (gsize i = 0; i < summary->n_faces; i++) {
    const PwModelFace *face = &summary->faces[i];
    Place place;
    if (place_of(&map, face->view, &place))
      draw_face(&map, face, &place);
    else if (is_told(face))
      draw_beside(&map, face);
    if (is_told(face))
      say_face(&map, face);
  }
  pw_drawing_say(map.drawing, map.says->str);
  g_string_free(map.says, TRUE);
  return map.drawing;
}
