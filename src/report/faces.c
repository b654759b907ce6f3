/* The cover lies open, its outside up. On each face small squares for the places that are damaged:
 * hollow before treatment; after it full for what is there still, and hollow with a dot for that of
 * which nothing is recorded, so that what is gone alone is missing. Beside them the figures.
 * Openings, details and other views are not on the map and stand beside it in words. */
#include "faces.h"

#include <math.h>
#include <string.h>

#include "unfolded.h"

/* Lengths in mm. */
#define WIDTH 168.0
#define HEAD 6.2 /* the first line, above the map */
#define NOTE 3.5
#define EDGE 0.5 /* so that no rim is cut */
#define HAIRLINE 0.12
#define RIM 0.3
#define SQUARE 1.5
#define SQUARE_STEP 2.1
#define DOT 0.55
#define LINE 3.9   /* of words below one another */
#define LETTER 2.4 /* how high words reach over their baseline, */
#define TAIL 0.9   /* and how far below it */
#define INSET 1.6
#define BETWEEN 2.0         /* a name and its figures */
#define STRONG 1.06         /* how much wider strong words are */
#define WIDE 24.0           /* a spine so wide has its words inside, */
#define FLAT 8.0            /* head and tail where they are no lower than this */
#define BESIDE 10.0         /* from the map to what stands beside it, */
#define LEAST_BESIDE_X 52.0 /* which is no nearer than where the bars of charts begin */
#define KEY_X 3.0           /* words of the key beside their square */
#define MOST_LINES 12       /* of one thing that stands beside it */
#define FEW 3               /* faces, a map of which may be lower, */
#define LEAST_HIGH 34.0     /* yet the volume not lower than this */
#define GROWTH 1.05

typedef struct {
  const PwReportOptions *options;
  const PwModelSummary *summary;
  gboolean has_after;
  PwUnfolded unfolded;
  double x, y; /* of the unfolded volume's corner in the drawing */
  double beside_x, bottom;
  PwDrawing *drawing;
  GString *says;
  double beside_y; /* where the next words stand beside the map */
} Map;

/* Where the name and the figures of a face stand, and how far they and it reach. */
typedef struct {
  PwFacePlace place;
  double name_x, name_y, name_align, figures_x, figures_y, figures_align;
  gboolean is_one_line;
  double squares_bottom;
  double left, top, right, bottom;
} Laid;

static PwInk
ink_of(const Map *map, const char *name)
{
  return pw_style_ink(map->options->style, name);
}

static double
width_of(const Map *map, const char *text)
{
  return pw_drawing_width_of(map->options->style, text);
}

static gboolean
is_on_map(const PwModelFace *face)
{
  return pw_face_kind(face->view) != PW_FACE_NONE;
}

/* A view that was photographed only during treatment shows no place to be counted. */
static gboolean
is_told(const PwModelFace *face)
{
  return face->has_before || face->has_after || face->n_photos == 0;
}

/* ---- Words -------------------------------------------------------------------------------------
 */

static const char none[] = "\u2013"; /* not photographed at that stage */

/* Of how many places nothing is recorded after treatment. */
static guint
untold_of(const Map *map, const PwModelFace *face)
{
  return map->has_after ? face->n_before - face->n_followed : 0;
}

static gboolean
after_is_told(const PwModelFace *face)
{
  return face->has_after && pw_model_after_is_told(face->n_before, face->n_followed, face->n_after);
}

static char *
dup_before(const Map *map, const PwModelFace *face)
{
  if (face->has_before)
    return g_strdup_printf("%u", face->n_before);
  return g_strdup(
      face->n_photos > 0 ? none : pw_words_peek(map->options->words, "faces-not-photographed"));
}

/* "3", "3 + 2 ?", "2 ?"; where none of it was looked at again, a dash. */
static char *
dup_after(const Map *map, const PwModelFace *face)
{
  guint untold = untold_of(map, face);
  if (untold == 0 || (!face->has_after && untold == face->n_before))
    return face->has_after ? g_strdup_printf("%u", face->n_after) : g_strdup(none);
  return after_is_told(face) ? g_strdup_printf("%u + %u ?", face->n_after, untold)
                             : g_strdup_printf("%u ?", untold);
}

/* "5", "5 / 3", "5 / 1 + 4 ?", "5 / \u2013", "not photographed". */
static char *
dup_figures(const Map *map, const PwModelFace *face)
{
  g_autofree char *before = dup_before(map, face), *after = dup_after(map, face);
  gboolean is_pair = map->has_after && face->n_photos > 0;
  return is_pair ? g_strdup_printf("%s / %s", before, after) : g_steal_pointer(&before);
}

static const char *
name_of(const Map *map, const PwModelFace *face)
{
  return face->view != NULL ? pw_words_peek_view(map->options->words, face->view)
                            : pw_words_peek(map->options->words, "faces-no-view");
}

/* The same for who is read it. */
static char *
dup_said(const Map *map, gboolean was_looked_at, guint n, guint untold)
{
  const PwWords *words = map->options->words;
  g_autofree char *nothing = untold > 0 ? pw_words_dup_count(words, "chart-untold", untold) : NULL;
  if (!was_looked_at)
    return g_strdup(nothing != NULL ? nothing : pw_words_peek(words, "faces-not-photographed"));
  return nothing != NULL ? g_strdup_printf("%u; %s", n, nothing) : g_strdup_printf("%u", n);
}

static void
say(Map *map, const char *sentence)
{
  g_string_append_printf(map->says, "%s%s", map->says->len > 0 ? " " : "", sentence);
}

static void
say_face(Map *map, const PwModelFace *face)
{
  const PwWords *words = map->options->words;
  g_autofree char *before = dup_said(map, face->has_before, face->n_before, 0);
  g_autofree char *after = dup_said(map, after_is_told(face), face->n_after, untold_of(map, face));
  g_autofree char *sentence =
      pw_words_dup_phrase(words, map->has_after ? "faces-says" : "faces-says-before", "face",
                          name_of(map, face), "before", before, "after", after, NULL);
  say(map, sentence);
}

/* ---- Where everything lies ---------------------------------------------------------------------
 */

typedef enum { INSIDE, ABOVE, BELOW } Side;

static Side
side_of(PwFaceKind kind, const PwFacePlace *place, gboolean fits)
{
  switch (kind) {
  case PW_FACE_SPINE:
  case PW_FACE_FORE_EDGE:
    return place->width < WIDE ? ABOVE : INSIDE;
  case PW_FACE_HEAD:
    return place->height < FLAT || !fits ? ABOVE : INSIDE;
  case PW_FACE_TAIL:
    return place->height < FLAT || !fits ? BELOW : INSIDE;
  default:
    return INSIDE;
  }
}

static gboolean
draws_head(const Map *map)
{
  for (gsize i = 0; i < map->summary->n_faces; i++)
    if (pw_face_kind(map->summary->faces[i].view) == PW_FACE_HEAD)
      return TRUE;
  return FALSE;
}

/* Name and figures in one line where they fit, else below one another; what stands over the spine
 * reaches away from the head that lies beside. */
static void
lay_across(const Map *map, PwFaceKind kind, Side side, gboolean fits, Laid *laid)
{
  const PwFacePlace *place = &laid->place;
  gboolean is_narrow = side == ABOVE && kind != PW_FACE_HEAD;
  double inset = is_narrow ? 0 : INSET;
  laid->name_x = place->x + inset;
  laid->figures_x = place->x + (fits ? place->width - inset : inset);
  laid->figures_align = fits ? 1 : 0;
  if (is_narrow && kind == PW_FACE_SPINE && draws_head(map)) {
    laid->name_x = laid->figures_x = place->x + place->width;
    laid->name_align = laid->figures_align = 1;
  }
}

static void
find_extent(double name, double figures, Laid *laid)
{
  const PwFacePlace *place = &laid->place;
  laid->left = MIN(place->x, MIN(laid->name_x - laid->name_align * name,
                                 laid->figures_x - laid->figures_align * figures));
  laid->right =
      MAX(place->x + place->width, MAX(laid->name_x + (1 - laid->name_align) * name,
                                       laid->figures_x + (1 - laid->figures_align) * figures));
  laid->top = MIN(place->y, laid->name_y - LETTER);
  laid->bottom = MAX(place->y + place->height, laid->figures_y + TAIL);
}

static Laid
lay(const Map *map, const PwModelFace *face)
{
  PwFaceKind kind = pw_face_kind(face->view);
  Laid laid = {.place = pw_unfolded_place(&map->unfolded, kind)};
  const PwFacePlace *place = &laid.place;
  g_autofree char *shown = dup_figures(map, face);
  double name = width_of(map, name_of(map, face)), figures = STRONG * width_of(map, shown);
  double bottom = place->y + place->height;
  gboolean fits = name + figures + BETWEEN + 2 * INSET <= place->width;
  Side side = side_of(kind, place, fits);
  fits = fits && (side != ABOVE || kind == PW_FACE_HEAD);
  laid.is_one_line = fits;
  double lines = fits ? 1 : 2;
  laid.figures_y = side == INSIDE  ? bottom - INSET
                   : side == ABOVE ? place->y - INSET
                                   : bottom + lines * LINE;
  laid.name_y = laid.figures_y - (lines - 1) * LINE;
  laid.squares_bottom = (side == INSIDE ? laid.name_y - LETTER : bottom) - INSET / 2;
  lay_across(map, kind, side, fits, &laid);
  find_extent(name, figures, &laid);
  return laid;
}

static guint
squares_in_row(const PwFacePlace *place)
{
  return (guint)MAX(1, floor((place->width - 2 * INSET + SQUARE_STEP - SQUARE) / SQUARE_STEP));
}

/* Its squares, and its words side by side but over a narrow face. */
static gboolean
holds(const Map *map, const PwModelFace *face)
{
  Laid laid = lay(map, face);
  guint a_row = squares_in_row(&laid.place);
  guint after = map->has_after ? face->n_after + untold_of(map, face) : 0;
  guint rows = (face->n_before + a_row - 1) / a_row + (after + a_row - 1) / a_row;
  gboolean is_side =
      pw_face_kind(face->view) == PW_FACE_SPINE || pw_face_kind(face->view) == PW_FACE_FORE_EDGE;
  return (laid.is_one_line || is_side) &&
         laid.place.y + INSET + rows * SQUARE_STEP <= laid.squares_bottom + SQUARE_STEP - SQUARE;
}

static gboolean
all_hold(const Map *map)
{
  for (gsize i = 0; i < map->summary->n_faces; i++) {
    const PwModelFace *face = &map->summary->faces[i];
    if (is_on_map(face) && !holds(map, face))
      return FALSE;
  }
  return TRUE;
}

static guint
count_on_map(const PwModelSummary *summary)
{
  guint n = 0;
  for (gsize i = 0; i < summary->n_faces; i++)
    n += is_on_map(&summary->faces[i]) ? 1 : 0;
  return n;
}

/* A few faces take no more of the page than what is on them asks for. */
static void
find_scale(Map *map)
{
  const double most = map->unfolded.scale;
  if (count_on_map(map->summary) > FEW)
    return;
  map->unfolded.scale = MIN(most, LEAST_HIGH / map->unfolded.size_mm[0]);
  while (map->unfolded.scale < most && !all_hold(map))
    map->unfolded.scale = MIN(most, GROWTH * map->unfolded.scale);
}

/* Of the unfolded volume only what is drawn takes room. */
static void
find_corner(Map *map)
{
  double left = INFINITY, top = INFINITY, right = 0, bottom = 0;
  for (gsize i = 0; i < map->summary->n_faces; i++) {
    if (!is_on_map(&map->summary->faces[i]))
      continue;
    Laid laid = lay(map, &map->summary->faces[i]);
    left = MIN(left, laid.left);
    top = MIN(top, laid.top);
    right = MAX(right, laid.right);
    bottom = MAX(bottom, laid.bottom);
  }
  map->x = EDGE - left;
  map->y = HEAD - top;
  map->bottom = bottom + map->y;
  map->beside_x = MAX(LEAST_BESIDE_X, right + map->x + BESIDE);
}

/* ---- Drawing a face ----------------------------------------------------------------------------
 */

typedef enum { HOLLOW, FULL, DOTTED } Filling;

static void
draw_square(Map *map, double x, double y, Filling filling)
{
  PwInk ink = ink_of(map, "ink"), casing = ink_of(map, "casing");
  PwInk fill = filling == FULL ? ink_of(map, "soft-ink") : casing;
  double dot = (SQUARE - DOT) / 2;
  pw_drawing_box(map->drawing, x, y, x + SQUARE, y + SQUARE, fill, 0.2, ink);
  if (filling == DOTTED)
    pw_drawing_box(map->drawing, x + dot, y + dot, x + dot + DOT, y + dot + DOT, ink, 0, ink);
}

/* Rows of squares, `n` and after them `dotted`, from `y`; where the next row begins. More than the
 * face holds are left to the figure. */
static double
draw_squares(Map *map, const Laid *laid, double y, guint n, Filling filling, guint dotted)
{
  const PwFacePlace *place = &laid->place;
  double inset = MIN(INSET, (place->width - SQUARE) / 2);
  guint a_row = squares_in_row(place), all = n + dotted;
  for (guint i = 0; i < all; i++) {
    double row = y + i / a_row * SQUARE_STEP;
    if (row + SQUARE > laid->squares_bottom)
      break;
    draw_square(map, map->x + place->x + inset + i % a_row * SQUARE_STEP, map->y + row,
                i < n ? filling : DOTTED);
  }
  return y + (all + a_row - 1) / a_row * SQUARE_STEP;
}

/* What was not photographed has a dashed rim: nothing is known of it. */
static void
draw_rim(Map *map, const PwModelFace *face, const PwFacePlace *place)
{
  PwInk ink = ink_of(map, "ink");
  double x = map->x + place->x, y = map->y + place->y;
  double x2 = x + place->width, y2 = y + place->height;
  if (face->has_before || (map->has_after && face->has_after)) {
    pw_drawing_box(map->drawing, x, y, x2, y2, ink_of(map, "casing"), RIM, ink);
    return;
  }
  const double corners[5][2] = {{x, y}, {x2, y}, {x2, y2}, {x, y2}, {x, y}};
  for (int i = 0; i < 4; i++) {
    pw_drawing_line(map->drawing, corners[i][0], corners[i][1], corners[i + 1][0],
                    corners[i + 1][1], HAIRLINE, ink);
    PwMadeOf *line = &g_array_index(map->drawing->shapes, PwMadeOf, map->drawing->shapes->len - 1);
    line->dash_mm[0] = line->dash_mm[1] = 1;
  }
}

static void
draw_face(Map *map, const PwModelFace *face)
{
  const Laid laid = lay(map, face);
  PwInk ink = ink_of(map, "ink");
  g_autofree char *figures = dup_figures(map, face);
  draw_rim(map, face, &laid.place);
  double y = laid.place.y + INSET;
  y = draw_squares(map, &laid, y, face->n_before, HOLLOW, 0);
  if (map->has_after)
    draw_squares(map, &laid, y, face->n_after, FULL, untold_of(map, face));
  pw_drawing_words(map->drawing, map->x + laid.name_x, map->y + laid.name_y, laid.name_align, ink,
                   name_of(map, face));
  pw_drawing_words(map->drawing, map->x + laid.figures_x, map->y + laid.figures_y,
                   laid.figures_align, ink, figures)
      ->is_strong = TRUE;
}

/* ---- Beside the map ----------------------------------------------------------------------------
 */

static void
draw_lines(Map *map, double x, const char *text, gboolean is_soft)
{
  g_auto(GStrv) lines = pw_drawing_dup_lines(map->options->style, text, WIDTH - x, MOST_LINES);
  for (guint i = 0; lines[i] != NULL; i++) {
    pw_drawing_words(map->drawing, x, map->beside_y, 0, ink_of(map, "ink"), lines[i])->is_soft =
        is_soft;
    map->beside_y += LINE;
  }
}

static void
draw_key_square(Map *map, Filling filling, const char *key)
{
  draw_square(map, map->beside_x, map->beside_y - SQUARE, filling);
  draw_lines(map, map->beside_x + KEY_X, pw_words_peek(map->options->words, key), FALSE);
}

static gboolean
has_dotted(const Map *map)
{
  for (gsize i = 0; i < map->summary->n_faces; i++)
    if (is_on_map(&map->summary->faces[i]) && untold_of(map, &map->summary->faces[i]) > 0)
      return TRUE;
  return FALSE;
}

static gboolean
has_sign(const Map *map, const char *sign)
{
  for (gsize i = 0; i < map->summary->n_faces; i++) {
    const PwModelFace *face = &map->summary->faces[i];
    g_autofree char *figures = dup_figures(map, face);
    if ((is_on_map(face) || is_told(face)) && strstr(figures, sign) != NULL)
      return TRUE;
  }
  return FALSE;
}

static void
draw_key_sign(Map *map, const char *sign, const char *key)
{
  if (!has_sign(map, sign))
    return;
  pw_drawing_words(map->drawing, map->beside_x, map->beside_y, 0, ink_of(map, "ink"), sign);
  draw_lines(map, map->beside_x + KEY_X, pw_words_peek(map->options->words, key), FALSE);
}

/* What the squares, and the signs among the figures, are. Where one stage alone is told, the first
 * line says which. */
static void
draw_key(Map *map)
{
  const PwWords *words = map->options->words;
  const double begin = map->beside_y;
  if (map->has_after) {
    draw_key_square(map, HOLLOW, "stage-before");
    draw_key_square(map, FULL, "stage-after");
  }
  if (has_dotted(map))
    draw_key_square(map, DOTTED, has_sign(map, "?") ? "faces-untold-square" : "faces-untold");
  else
    draw_key_sign(map, "?", "faces-untold");
  draw_key_sign(map, none, "faces-dash");
  if (!map->unfolded.is_true)
    draw_lines(map, map->beside_x, pw_words_peek(words, "faces-no-size"), TRUE);
  map->beside_y += map->beside_y > begin ? LINE : 0;
}

/* Why the figures of the faces need not be those of the volume, so far as it is so; empty where
 * they are. Yours. */
static char *
dup_note(const Map *map)
{
  const PwModelSummary *summary = map->summary;
  const PwWords *words = map->options->words;
  guint all = 0;
  GString *note = g_string_new(NULL);
  for (gsize i = 0; i < summary->n_faces; i++)
    all += summary->faces[i].n_before;
  if (all > summary->n_before) {
    g_autofree char *faces = g_strdup_printf("%u", all);
    g_autofree char *places = g_strdup_printf("%u", summary->n_before);
    g_autofree char *twice =
        pw_words_dup_phrase(words, "faces-twice", "faces", faces, "places", places, NULL);
    g_string_append(note, twice);
  }
  if (summary->n_noted > 0)
    g_string_append_printf(note, "%s%s", note->len > 0 ? " " : "",
                           pw_words_peek(words, "faces-noted"));
  return g_string_free(note, FALSE);
}

static void
draw_note(Map *map)
{
  g_autofree char *note = dup_note(map);
  if (*note == '\0')
    return;
  map->beside_y += LINE;
  draw_lines(map, map->beside_x, note, TRUE);
  say(map, note);
}

static double
beside_width(const Map *map, const PwModelFace *face)
{
  g_autofree char *figures = dup_figures(map, face);
  return width_of(map, name_of(map, face)) + 2 * BETWEEN + STRONG * width_of(map, figures);
}

static gboolean
is_beside(const PwModelFace *face)
{
  return !is_on_map(face) && is_told(face);
}

/* Where the figures of all views that are no faces end. */
static double
find_column(const Map *map)
{
  double widest = 0;
  for (gsize i = 0; i < map->summary->n_faces; i++)
    if (is_beside(&map->summary->faces[i]))
      widest = MAX(widest, beside_width(map, &map->summary->faces[i]));
  return MIN(WIDTH, map->beside_x + widest);
}

static void
draw_beside(Map *map, const PwModelFace *face, double column)
{
  g_autofree char *figures = dup_figures(map, face);
  gboolean fits = map->beside_x + beside_width(map, face) <= column + EDGE;
  draw_lines(map, map->beside_x, name_of(map, face), FALSE);
  double y = map->beside_y - (fits ? LINE : 0);
  pw_drawing_words(map->drawing, column, y, 1, ink_of(map, "ink"), figures)->is_strong = TRUE;
  map->beside_y = y + LINE;
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

static gboolean
has_photographs(const PwModelSummary *summary)
{
  for (gsize i = 0; i < summary->n_faces; i++)
    if (summary->faces[i].n_photos > 0 && is_on_map(&summary->faces[i]))
      return TRUE;
  return FALSE;
}

static void
draw_map(Map *map)
{
  const double column = find_column(map);
  pw_drawing_words(
      map->drawing, 0, NOTE, 0, ink_of(map, "soft-ink"),
      pw_words_peek(map->options->words, map->has_after ? "faces-unit" : "faces-unit-before"))
      ->is_soft = TRUE;
  map->beside_y = HEAD + LETTER;
  draw_key(map);
  for (gsize i = 0; i < map->summary->n_faces; i++) {
    const PwModelFace *face = &map->summary->faces[i];
    if (is_on_map(face))
      draw_face(map, face);
    else if (is_beside(face))
      draw_beside(map, face, column);
    if (is_told(face))
      say_face(map, face);
  }
  draw_note(map);
}

PwDrawing *
pw_faces_new(const PwModel *model, const PwModelSummary *summary, const PwReportOptions *options)
{
  Map map = {
      .options = options, .summary = summary, .has_after = tells_after(summary, options->kind)};
  if (!has_photographs(summary))
    return NULL;
  pw_unfolded_init(&map.unfolded, pw_model_peek_volume(model));
  find_scale(&map);
  find_corner(&map);
  map.says = g_string_new(NULL);
  map.drawing = pw_drawing_new(WIDTH, 0, pw_words_peek(options->words, "faces-title"));
  draw_map(&map);
  map.drawing->height_mm = MAX(map.bottom, map.beside_y - LINE + TAIL) + 1;
  pw_drawing_say(map.drawing, map.says->str);
  g_string_free(map.says, TRUE);
  return map.drawing;
}
