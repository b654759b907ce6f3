/* Pair: one photograph laid over another, from what their sidecars say of where to start. */
#include <platewright/pair.h>

#include <math.h>
#include <string.h>

#include "model-private.h"
#include "pair_kept.h"

enum { LEAST_TIES = 4 };
/* Raised whenever the same pair may come out otherwise; the starts that are built in count of
 * themselves. */
static const char METHOD[] = "3";
/* Round the marks, of the photograph's longer side. */
#define MARGIN 0.02
/* All that is marked may have been treated. Where the marks fill so much of their box that the rest
 * could not speak, a box is tried, too, of which they fill no more than a quarter. */
#define FILLED 0.4
#define MOST_MARKED 0.25
/* Where only a part of the picture speaks it is to be surer: of so many squares, so many agree. */
enum { LEAST_CELLS = 12 };
#define LEAST_MARKED 0.6
/* Of a picture, a rectangle of known size that may be a card beside the volume. */
#define MOST_OF_PICTURE 0.25

const char *
pw_pair_start_name(PwPairStart start)
{
  static const char *const names[] = {
      [PW_START_NONE] = "none",         [PW_START_TIES] = "ties",
      [PW_START_SURFACES] = "surfaces", [PW_START_SCALES] = "scales",
      [PW_START_FEATURES] = "features",
  };
  return (guint)start < G_N_ELEMENTS(names) ? names[start] : NULL;
}

typedef struct {
  const PwModelPhoto *photo;
  PwPhoto *file;
  PwPlane plane;
  GArray *cards; /* PwPxPath: what is looked past */
  GError *error;
} Side;

static void
read_side(void *user, guint i)
{
  Side *side = (Side *)user + i;
  pw_photo_grey(side->file, &side->plane, &side->error);
}

/* ---- What is to be laid ------------------------------------------------------------------ */

/* The box round all marks of a photograph, with a margin, and the area they have at most; FALSE
 * where none is drawn. */
static gboolean
bounds_of_marks(const PwModelPhoto *photo, PwPx *low, PwPx *high, double *area)
{
  const double margin = MARGIN * MAX(photo->facts.width, photo->facts.height);
  *low = (PwPx){HUGE_VAL, HUGE_VAL};
  *high = (PwPx){-HUGE_VAL, -HUGE_VAL};
  *area = 0;
  for (gsize i = 0; i < photo->n_marks; i++) {
    const PwPxPath *path = &photo->marks[i].text->path;
    if (photo->marks[i].kind == PW_KIND_AREA)
      *area += fabs(pw_px_signed_area(path->points, path->n));
    for (gsize j = 0; j < path->n; j++) {
      *low = (PwPx){fmin(low->x, path->points[j].x - margin),
                    fmin(low->y, path->points[j].y - margin)};
      *high = (PwPx){fmax(high->x, path->points[j].x + margin),
                     fmax(high->y, path->points[j].y + margin)};
    }
  }
  return low->x <= high->x;
}

static void
set_box(PwPx corners[4], PwPx low, PwPx high, double by)
{
  corners[0] = (PwPx){low.x - by, low.y - by};
  corners[1] = (PwPx){high.x + by, low.y - by};
  corners[2] = (PwPx){high.x + by, high.y + by};
  corners[3] = (PwPx){low.x - by, high.y + by};
}

static gboolean
box_of_marks(const PwModelPhoto *photo, PwPx corners[4])
{
  PwPx low, high;
  double area;
  if (!bounds_of_marks(photo, &low, &high, &area))
    return FALSE;
  set_box(corners, low, high, 0);
  return TRUE;
}

/* As much wider on each side as makes marks that fill the box fill no more than MOST_MARKED of it.
 * FALSE where they do not fill it, or what surrounds them lies on no one level with them. */
static gboolean
wide_box_of_marks(const PwModelPhoto *photo, PwPx corners[4])
{
  PwPx low, high;
  double area;
  if (!bounds_of_marks(photo, &low, &high, &area) || photo->sidecar->curved)
    return FALSE;
  double width = high.x - low.x, height = high.y - low.y;
  if (area < FILLED * width * height)
    return FALSE;
  double wanted = fmin(area, width * height) / MOST_MARKED; /* (width + 2 by) (height + 2 by) */
  set_box(corners, low, high,
          (sqrt((width - height) * (width - height) + 4 * wanted) - width - height) / 4);
  return TRUE;
}

/* Without a word of what it is, a rectangle of known size is taken for a card where it is small and
 * holds no mark; if it is a part of the volume after all, little is lost. */
static gboolean
is_beside(const PwModelPhoto *photo, const PwPxPath *rectangle)
{
  double picture = (double)photo->facts.width * photo->facts.height;
  if (fabs(pw_px_signed_area(rectangle->points, rectangle->n)) > MOST_OF_PICTURE * picture)
    return FALSE;
  for (gsize i = 0; i < photo->n_marks; i++) {
    const PwPxPath *path = &photo->marks[i].text->path;
    for (gsize j = 0; j < path->n; j++)
      if (pw_px_is_inside(rectangle, path->points[j]))
        return FALSE;
  }
  return TRUE;
}

static void
clear_path(gpointer path)
{
  pw_px_path_clear(path);
}

static void
add_card(GArray *cards, const PwPx corners[4])
{
  PwPxPath card = {g_memdup2(corners, 4 * sizeof *corners), 4};
  g_array_append_val(cards, card);
}

/* The cards that lie in a photograph, as far as they are known. */
static GArray *
cards_of(const PwModelPhoto *photo)
{
  GArray *cards = g_array_new(FALSE, FALSE, sizeof(PwPxPath));
  g_array_set_clear_func(cards, clear_path);
  for (gsize i = 0; i < photo->n_cards; i++)
    if (photo->cards[i].design != NULL)
      add_card(cards, photo->cards[i].outline);
  if (photo->sidecar != NULL && photo->sidecar->scale.given == PW_GIVEN_RECTANGLE) {
    add_card(cards, photo->sidecar->scale.corners);
    if (!is_beside(photo, &g_array_index(cards, PwPxPath, cards->len - 1)))
      g_array_set_size(cards, cards->len - 1);
  }
  return cards;
}

static PwAlignCards
cards_in(const Side *side)
{
  return (PwAlignCards){(const PwPxPath *)(void *)side->cards->data, side->cards->len};
}

static PwAlignPair
pair_of(const Side *before, const Side *after)
{
  return (PwAlignPair){.before = &before->plane,
                       .after = &after->plane,
                       .cards_before = cards_in(before),
                       .cards_after = cards_in(after)};
}

static gboolean
has_surface(const PwModelPhoto *photo)
{
  return photo->sidecar != NULL && photo->sidecar->surface.n > 0;
}

/* ---- Starts ---------------------------------------------------------------------------- */

/* TRUE: there is such a start for the two; `start` may then still be refused with an error. */
typedef gboolean (*Starter)(const Side *before, const Side *after, PwHomography *start,
                            GError **error);

static gboolean
from_ties(const Side *before G_GNUC_UNUSED, const Side *after, PwHomography *start, GError **error)
{
  const PwSidecar *text = after->photo->sidecar;
  if (text == NULL || text->n_ties < LEAST_TIES)
    return FALSE;
  g_autofree double *here = g_new(double, 2 * text->n_ties),
                    *there = g_new(double, 2 * text->n_ties);
  for (gsize i = 0; i < text->n_ties; i++) {
    here[2 * i] = text->ties[i].here.x;
    here[2 * i + 1] = text->ties[i].here.y;
    there[2 * i] = text->ties[i].there.x;
    there[2 * i + 1] = text->ties[i].there.y;
  }
  pw_homography_fit((const double(*)[2])(void *)here, (const double(*)[2])(void *)there,
                    text->n_ties, start, NULL, error);
  return TRUE;
}

static gboolean
from_surfaces(const Side *before, const Side *after, PwHomography *start, GError **error)
{
  const PwSidecar *b = before->photo->sidecar, *a = after->photo->sidecar;
  if (b == NULL || a == NULL || b->surface.n == 0 || a->surface.n == 0)
    return FALSE;
  pw_align_start_surfaces(&b->surface, &a->surface, start, error);
  return TRUE;
}

static PwAlignScaled
scaled(const Side *side)
{
  PwAlignScaled scaled = {.plane = &side->plane, .cards = cards_in(side)};
  PwScaleFacts facts;
  pw_scale_facts(side->photo->scale, &facts);
  scaled.to_mm = facts.homography;
  return scaled;
}

static gboolean
from_scales(const Side *before, const Side *after, PwHomography *start, GError **error)
{
  if (before->photo->scale == NULL || after->photo->scale == NULL)
    return FALSE;
  PwAlignScaled b = scaled(before), a = scaled(after);
  pw_align_start_scaled(&b, &a, start, error);
  return TRUE;
}

/* Sought on the face, else where the marks lie, else everywhere. */
static gboolean
from_features(const Side *before, const Side *after, PwHomography *start, GError **error)
{
  PwAlignPair planes = pair_of(before, after);
  PwPx corners[4];
  if (has_surface(before->photo)) {
    planes.within = before->photo->sidecar->surface;
  } else if (box_of_marks(before->photo, corners)) {
    planes.within = (PwPxPath){corners, G_N_ELEMENTS(corners)};
    if (pw_align_start_features(&planes, start, NULL))
      return TRUE;
    planes.within = (PwPxPath){0};
  }
  pw_align_start_features(&planes, start, error);
  return TRUE;
}

static const struct {
  PwPairStart name;
  Starter starter;
} starts[] = {
    {PW_START_TIES, from_ties},
    {PW_START_SURFACES, from_surfaces},
    {PW_START_SCALES, from_scales},
    {PW_START_FEATURES, from_features},
};

/* The last is there only where it was built in. */
static guint
n_starts(void)
{
  return (guint)G_N_ELEMENTS(starts) - (pw_align_knows_features() ? 0 : 1);
}

/* ---- The pair -------------------------------------------------------------------------- */

static double
residual_mm(const PwPair *pair)
{
  PwScaleFacts facts;
  if (pair->before->scale == NULL)
    return NAN;
  pw_scale_facts(pair->before->scale, &facts);
  return pair->alignment.residual_px * facts.mm_per_px;
}

static gboolean
tells_enough(const PwAlignment *alignment)
{
  guint n = 0;
  for (gsize i = 0; i < alignment->n_cells; i++)
    n += (guint)alignment->cells[i].has_texture;
  return n >= LEAST_CELLS;
}

/* The table, a card and the boards round an edge lie on levels of their own, and a fit to all of
 * them lies on none. What the marks are on counts: where it can be told, it decides, and from
 * where all of it lies best it is not far. */
static gboolean
refine_marked(PwAlignPair *pair, const PwHomography *start, PwAlignment *alignment, GError **error)
{
  g_autoptr(GError) whole_why = NULL, why = NULL;
  PwAlignment whole = {0};
  const PwPxPath marked = pair->within;
  pair->within = (PwPxPath){0};
  gboolean whole_laid = pw_align_refine(pair, start, &whole, &whole_why);
  pair->within = marked;
  gboolean laid = pw_align_refine(pair, whole.h.m[8] > 0 ? &whole.h : start, alignment, &why);
  if (laid && alignment->agreement < LEAST_MARKED)
    g_set_error(&why, PW_ERROR, PW_ERROR_NUMERIC,
                "where the marks lie only %.0f %% of the places compared are alike; draw the "
                "outline of the face that is to be laid, `surface`, in the photograph before",
                100 * alignment->agreement);
  if (why != NULL && !tells_enough(alignment)) {
    pw_alignment_clear(alignment);
    *alignment = whole;
    g_propagate_error(error, g_steal_pointer(&whole_why));
    return whole_laid;
  }
  pw_alignment_clear(&whole);
  if (why == NULL)
    return TRUE;
  g_propagate_error(error, g_steal_pointer(&why));
  return FALSE;
}

/* By the box round the marks; where that is refused and they fill it, by what surrounds them. */
static gboolean
refine_by_marks(PwAlignPair *planes, const PwModelPhoto *before, const PwHomography *start,
                PwAlignment *alignment, GError **error)
{
  g_autoptr(GError) why = NULL;
  PwPx wide[4];
  if (refine_marked(planes, start, alignment, &why))
    return TRUE;
  if (wide_box_of_marks(before, wide)) {
    PwAlignment around = {0};
    planes->within = (PwPxPath){wide, G_N_ELEMENTS(wide)};
    if (refine_marked(planes, start, &around, NULL)) {
      pw_alignment_clear(alignment);
      *alignment = around;
      return TRUE;
    }
    pw_alignment_clear(&around);
  }
  g_propagate_error(error, g_steal_pointer(&why));
  return FALSE;
}

static gboolean
refine(const Side *sides, const PwHomography *start, PwAlignment *alignment, GError **error)
{
  PwAlignPair planes = pair_of(&sides[0], &sides[1]);
  PwPx corners[4];
  if (has_surface(sides[0].photo))
    planes.within = sides[0].photo->sidecar->surface;
  else if (box_of_marks(sides[0].photo, corners)) {
    planes.within = (PwPxPath){corners, G_N_ELEMENTS(corners)};
    return refine_by_marks(&planes, sides[0].photo, start, alignment, error);
  }
  return pw_align_refine(&planes, start, alignment, error);
}

/* Where there is such a start. What the first one was refused for is kept. */
static void
try_start(PwPair *pair, const Side *sides, guint i)
{
  g_autoptr(GError) why = NULL;
  PwHomography start;
  PwAlignment alignment = {0};
  if (!starts[i].starter(&sides[0], &sides[1], &start, &why))
    return;
  pair->is_laid = why == NULL && refine(sides, &start, &alignment, &why);
  if (pair->is_laid || pair->start == PW_START_NONE) {
    g_clear_pointer(&pair->why, g_free);
    pw_alignment_clear(&pair->alignment);
    pair->start = starts[i].name;
    pair->alignment = alignment;
    pair->why = why ? g_strdup(why->message) : NULL;
  } else {
    pw_alignment_clear(&alignment);
  }
}

static void
lay(PwPair *pair, const Side *sides)
{
  for (guint i = 0; !pair->is_laid && i < n_starts(); i++)
    try_start(pair, sides, i);
  if (pair->start == PW_START_NONE)
    pair->why = g_strdup("nothing tells where to start: give four ties, the outline of the face in "
                         "both, or a scale in both");
}

static gboolean
lay_anew(PwPair *pair, Side sides[2], GError **error)
{
  pw_each(2, 0, read_side, sides);
  gboolean read = sides[0].error == NULL && sides[1].error == NULL;
  if (read)
    lay(pair, sides);
  else
    g_propagate_error(error, g_steal_pointer(&sides[sides[0].error ? 0 : 1].error));
  for (int i = 0; i < 2; i++) {
    pw_plane_clear(&sides[i].plane);
    g_clear_error(&sides[i].error);
  }
  return read;
}

static void
append_path(GString *method, const char *name, const PwPxPath *path)
{
  g_autofree char *text = pw_px_path_format(path);
  g_string_append_printf(method, " %s %s", name, text);
}

static char *
dup_method(const Side sides[2])
{
  static const char *const names[2] = {"card before", "card after"};
  GString *method = g_string_new(METHOD);
  PwPx corners[4];
  if (!has_surface(sides[0].photo) && box_of_marks(sides[0].photo, corners))
    append_path(method, "marked", &(PwPxPath){corners, G_N_ELEMENTS(corners)});
  if (!has_surface(sides[0].photo) && wide_box_of_marks(sides[0].photo, corners))
    append_path(method, "around", &(PwPxPath){corners, G_N_ELEMENTS(corners)});
  for (int i = 0; i < 2; i++)
    for (guint k = 0; k < sides[i].cards->len; k++)
      append_path(method, names[i], &g_array_index(sides[i].cards, PwPxPath, k));
  for (guint i = 0; i < G_N_ELEMENTS(starts); i++)
    g_string_append_printf(method, " %s", pw_pair_start_name(starts[i].name));
  return g_string_free(method, FALSE);
}

/* FALSE without an error where it is not kept, and that is all that was asked for. */
static gboolean
recall_or_lay(PwPair *pair, const PwModel *model, Side sides[2], char *const sha256[2],
              gboolean only_kept, GError **error)
{
  g_autofree char *method = dup_method(sides), *key = pw_pair_dup_key(pair, sha256, method);
  if (pw_pair_recall(pair, model->folder, key))
    return TRUE;
  if (only_kept || !lay_anew(pair, sides, error))
    return FALSE;
  pw_pair_keep(pair, model->folder, key);
  return TRUE;
}

static PwPair *
pair_new(const PwModel *model, const PwModelPhoto *before, const PwModelPhoto *after,
         gboolean only_kept, GError **error)
{
  Side sides[] = {{.photo = before}, {.photo = after}};
  char *sha256[] = {NULL, NULL};
  gboolean ok = TRUE;
  g_autoptr(PwPair) pair = g_new0(PwPair, 1);
  pair->before = before;
  pair->after = after;
  for (int i = 0; ok && i < 2; i++) {
    sides[i].cards = cards_of(sides[i].photo);
    sides[i].file = pw_model_open_original(model, sides[i].photo, &sha256[i], error);
    ok = sides[i].file != NULL;
  }
  ok = ok && recall_or_lay(pair, model, sides, sha256, only_kept, error);
  for (int i = 0; i < 2; i++) {
    g_clear_pointer(&sides[i].file, pw_photo_free);
    g_clear_pointer(&sides[i].cards, g_array_unref);
    g_free(sha256[i]);
  }
  if (!ok)
    return NULL;
  pair->residual_mm = pair->is_laid ? residual_mm(pair) : (double)NAN;
  return g_steal_pointer(&pair);
}

PwPair *
pw_pair_new(const PwModel *model, const PwModelPhoto *before, const PwModelPhoto *after,
            GError **error)
{
  return pair_new(model, before, after, FALSE, error);
}

PwPair *
pw_pair_new_kept(const PwModel *model, const PwModelPhoto *before, const PwModelPhoto *after)
{
  return pair_new(model, before, after, TRUE, NULL);
}

void
pw_pair_free(PwPair *pair)
{
  if (pair == NULL)
    return;
  pw_alignment_clear(&pair->alignment);
  g_free(pair->why);
  g_free(pair);
}

/* ---- Ties ------------------------------------------------------------------------------ */

enum { PARTS = 3 }; /* of the picture before, across and down: one tie each */

/* The place in each part that agrees and is most alike; NULL where none does. */
static void
best_places(const PwPair *pair, const PwAlignCell *best[PARTS * PARTS])
{
  for (gsize i = 0; i < pair->alignment.n_cells; i++) {
    const PwAlignCell *cell = &pair->alignment.cells[i];
    int x = (int)((cell->from.x + cell->to.x) / 2 * PARTS / pair->before->facts.width);
    int y = (int)((cell->from.y + cell->to.y) / 2 * PARTS / pair->before->facts.height);
    const PwAlignCell **here = &best[CLAMP(y, 0, PARTS - 1) * PARTS + CLAMP(x, 0, PARTS - 1)];
    if (cell->agrees && (*here == NULL || cell->correlation > (*here)->correlation))
      *here = cell;
  }
}

/* "here there", as the sidecar has a tie. */
static char *
dup_tie(const PwAlignCell *cell, const PwHomography *to_after)
{
  PwPx points[2] = {[1] = {(cell->from.x + cell->to.x) / 2, (cell->from.y + cell->to.y) / 2}};
  pw_homography_apply(to_after, points[1].x, points[1].y, &points[0].x, &points[0].y);
  return pw_px_path_format(&(PwPxPath){points, 2});
}

static gboolean
write_edit(const PwPair *pair, const char *const *ties, PwComplaints *complaints, GError **error)
{
  const PwSidecar *text = pair->after->sidecar;
  g_autofree char *path = g_strconcat(pair->after->path, ".yaml", NULL);
  g_autofree char *tag = pw_sidecar_dup_tag(text), *new_tag = NULL;
  PwSidecarEdit edit = {NULL, "ties", ties};
  return pw_sidecar_edit(path, pair->after->file, tag, &edit, 1, &new_tag, complaints, error);
}

gboolean
pw_pair_write_ties(const PwPair *pair, guint *n, PwComplaints *complaints, GError **error)
{
  const PwAlignCell *best[PARTS * PARTS] = {NULL};
  PwHomography to_after;
  *n = 0;
  if (pair->after->sidecar->n_ties > 0)
    return TRUE;
  best_places(pair, best);
  g_autoptr(GPtrArray) ties = g_ptr_array_new_with_free_func(g_free);
  if (pw_homography_invert(&pair->alignment.h, &to_after))
    for (int i = 0; i < PARTS * PARTS; i++)
      if (best[i] != NULL)
        g_ptr_array_add(ties, dup_tie(best[i], &to_after));
  if (ties->len < LEAST_TIES) {
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
                "%s: the places that agree lie too close together for ties", pair->after->file);
    return FALSE;
  }
  *n = ties->len;
  g_ptr_array_add(ties, NULL);
  return write_edit(pair, (const char *const *)ties->pdata, complaints, error);
}
