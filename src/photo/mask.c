/* Masks: private outlines filled in the pixels themselves, at full resolution, while the picture
 * streams by. Outlines in px of the image at hand, origin at the outer corner of its top-left
 * pixel. Every pixel is filled whose square an outline touches or winds around (the non-zero
 * rule, so that an outline that crosses itself hides both of its loops): rather one pixel too
 * many than one too few.
 */
#include "photo-private.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* An edge may pass this much beside a pixel and still count as touching it: interpolation along a
 * long edge is not exact to the last digit. */
#define TOUCH_PX 1e-6

/* A run of pixels of one row, from first to last. */
typedef struct {
  int first, last;
} Span;

/* An edge with its upper end first; `winds` is +1 where the outline runs downwards, else -1. */
typedef struct {
  PwPx top, bottom;
  int winds;
  gsize outline;
} Edge;

/* Where an outline crosses the middle line of a row. */
typedef struct {
  double x;
  int winds;
  gsize outline;
} Crossing;

typedef struct {
  GArray *spans;     /* of Span, row after row, not overlapping within a row */
  guint *row_starts; /* height + 1 indices into spans */
  int width, height;
  guint8 fill[4 * sizeof(float)];
  gsize pixel_size;
} Mask;

/* What one row is made of while it is scanned. */
typedef struct {
  GPtrArray *active; /* of const Edge *, those that reach the row */
  GArray *crossings, *touched;
} Scan;

/* ---- From outlines to spans -------------------------------------------------------- */

static int
compare_edges(const void *a, const void *b)
{
  double ya = ((const Edge *)a)->top.y, yb = ((const Edge *)b)->top.y;
  return (ya > yb) - (ya < yb);
}

static int
compare_crossings(const void *a, const void *b)
{
  const Crossing *p = a, *q = b;
  if (p->outline != q->outline)
    return p->outline < q->outline ? -1 : 1;
  return (p->x > q->x) - (p->x < q->x);
}

static int
compare_spans(const void *a, const void *b)
{
  return ((const Span *)a)->first - ((const Span *)b)->first;
}

static GArray *
edges_of(const PwPxPath *outlines, gsize n)
{
  GArray *edges = g_array_new(FALSE, FALSE, sizeof(Edge));
  for (gsize i = 0; i < n; i++)
    for (gsize k = 0; k < outlines[i].n; k++) {
      PwPx a = outlines[i].points[k], b = outlines[i].points[(k + 1) % outlines[i].n];
      gboolean down = a.y <= b.y;
      Edge edge = {down ? a : b, down ? b : a, down ? 1 : -1, i};
      g_array_append_val(edges, edge);
    }
  qsort(edges->data, edges->len, sizeof(Edge), compare_edges);
  return edges;
}

static double
x_at(const Edge *edge, double y)
{
  double height = edge->bottom.y - edge->top.y;
  if (height <= 0)
    return edge->top.x;
  return edge->top.x + (edge->bottom.x - edge->top.x) * (y - edge->top.y) / height;
}

/* The pixels from `left` to `right` px, ends included, as far as they lie in the picture. */
static void
add_span(GArray *spans, double left, double right, int width)
{
  double first = ceil(left - TOUCH_PX) - 1, last = floor(right + TOUCH_PX);
  if (last < 0 || first > width - 1)
    return;
  Span span = {(int)MAX(first, 0), (int)MIN(last, width - 1)};
  g_array_append_val(spans, span);
}

static void
touch_row(Scan *scan, const Edge *edge, int row, int width)
{
  double x0, x1;
  if (edge->bottom.y - edge->top.y <= TOUCH_PX) {
    x0 = edge->top.x;
    x1 = edge->bottom.x;
  } else {
    x0 = x_at(edge, MAX(edge->top.y, MIN(row, edge->bottom.y)));
    x1 = x_at(edge, MIN(edge->bottom.y, MAX(row + 1, edge->top.y)));
  }
  add_span(scan->touched, MIN(x0, x1), MAX(x0, x1), width);
}

static void
cross_row(Scan *scan, const Edge *edge, int row)
{
  double middle = row + 0.5;
  if (edge->top.y <= middle && middle < edge->bottom.y) {
    Crossing crossing = {x_at(edge, middle), edge->winds, edge->outline};
    g_array_append_val(scan->crossings, crossing);
  }
}

/* What no edge touches is inside or outside as a whole, so that the middle line decides. */
static void
fill_row(Scan *scan, int width)
{
  GArray *crossings = scan->crossings;
  int winding = 0;
  if (crossings->len > 0)
    qsort(crossings->data, crossings->len, sizeof(Crossing), compare_crossings);
  for (guint i = 0; i + 1 < crossings->len; i++) {
    const Crossing *here = &g_array_index(crossings, Crossing, i);
    const Crossing *next = here + 1;
    winding += here->winds;
    if (winding != 0 && next->outline == here->outline)
      add_span(scan->touched, here->x, next->x, width);
  }
}

/* Appends the row's spans to the mask's, joined where they meet. */
static void
join_row(Mask *mask, GArray *touched)
{
  guint start = mask->spans->len;
  if (touched->len > 0)
    qsort(touched->data, touched->len, sizeof(Span), compare_spans);
  for (guint i = 0; i < touched->len; i++) {
    Span span = g_array_index(touched, Span, i);
    Span *last =
        mask->spans->len > start ? &g_array_index(mask->spans, Span, mask->spans->len - 1) : NULL;
    if (last != NULL && span.first <= last->last + 1)
      last->last = MAX(last->last, span.last);
    else
      g_array_append_val(mask->spans, span);
  }
}

static void
drop_passed(GPtrArray *active, int row)
{
  for (guint i = active->len; i-- > 0;) {
    const Edge *edge = g_ptr_array_index(active, i);
    if (edge->bottom.y + TOUCH_PX < row)
      g_ptr_array_remove_index_fast(active, i);
  }
}

static void
scan_rows(Mask *mask, const GArray *edges)
{
  Scan scan = {g_ptr_array_new(), g_array_new(FALSE, FALSE, sizeof(Crossing)),
               g_array_new(FALSE, FALSE, sizeof(Span))};
  guint next = 0;
  for (int row = 0; row < mask->height; row++) {
    mask->row_starts[row] = mask->spans->len;
    for (; next < edges->len; next++) {
      Edge *edge = &g_array_index(edges, Edge, next);
      if (edge->top.y - TOUCH_PX > row + 1)
        break;
      g_ptr_array_add(scan.active, edge);
    }
    drop_passed(scan.active, row);
    g_array_set_size(scan.crossings, 0);
    g_array_set_size(scan.touched, 0);
    for (guint i = 0; i < scan.active->len; i++) {
      touch_row(&scan, g_ptr_array_index(scan.active, i), row, mask->width);
      cross_row(&scan, g_ptr_array_index(scan.active, i), row);
    }
    fill_row(&scan, mask->width);
    join_row(mask, scan.touched);
  }
  mask->row_starts[mask->height] = mask->spans->len;
  g_ptr_array_unref(scan.active);
  g_array_unref(scan.crossings);
  g_array_unref(scan.touched);
}

/* ---- The flat colour --------------------------------------------------------------- */

/* The middle of the neutral axis in the samples' own encoding; 128, 128, 128 in 8-bit RGB. */
static void
set_fill(Mask *mask, const VipsImage *image)
{
  VipsInterpretation kind = vips_image_guess_interpretation(image);
  gboolean lab = kind == VIPS_INTERPRETATION_LAB || kind == VIPS_INTERPRETATION_LABS;
  gboolean cmyk = kind == VIPS_INTERPRETATION_CMYK;
  gsize sample = (gsize)VIPS_IMAGE_SIZEOF_ELEMENT(image);
  mask->pixel_size = sample * (gsize)image->Bands;
  for (int band = 0; band < image->Bands; band++) {
    /* Lab has its lightness in the first band, CMYK its black in the last; the rest are nought. */
    gboolean set = lab ? band == 0 : cmyk ? band == 3 : TRUE;
    float as_float = set ? 50.0F : 0;
    gint16 as_short = set ? 16384 : 0;
    guint16 as_ushort = set ? 128 * 257 : 0;
    guint8 as_uchar = set ? 128 : 0;
    const void *value = image->BandFmt == VIPS_FORMAT_FLOAT    ? (const void *)&as_float
                        : image->BandFmt == VIPS_FORMAT_SHORT  ? (const void *)&as_short
                        : image->BandFmt == VIPS_FORMAT_USHORT ? (const void *)&as_ushort
                                                               : &as_uchar;
    memcpy(mask->fill + (gsize)band * sample, value, sample);
  }
}

/* ---- In the stream ----------------------------------------------------------------- */

static void
paint_row(const Mask *mask, VipsRegion *region, int y)
{
  int left = region->valid.left, right = VIPS_RECT_RIGHT(&region->valid) - 1;
  for (guint i = mask->row_starts[y]; i < mask->row_starts[y + 1]; i++) {
    Span span = g_array_index(mask->spans, Span, i);
    int first = MAX(span.first, left), last = MIN(span.last, right);
    if (first > last)
      continue;
    VipsPel *to = region->data + (gsize)(y - region->valid.top) * (gsize)region->bpl +
                  (gsize)(first - left) * mask->pixel_size;
    for (int x = first; x <= last; x++, to += mask->pixel_size)
      memcpy(to, mask->fill, mask->pixel_size);
  }
}

static int
mask_generate(VipsRegion *out, void *sequence, void *a G_GNUC_UNUSED, void *user,
              gboolean *stop G_GNUC_UNUSED)
{
  VipsRegion *in = sequence;
  VipsRect *rect = &out->valid;
  if (vips_region_prepare(in, rect) != 0)
    return -1;
  vips_region_copy(in, out, rect, rect->left, rect->top);
  for (int y = rect->top; y < VIPS_RECT_BOTTOM(rect); y++)
    paint_row(user, out, y);
  return 0;
}

static void
mask_free(VipsImage *image G_GNUC_UNUSED, Mask *mask)
{
  g_array_unref(mask->spans);
  g_free(mask->row_starts);
  g_free(mask);
}

static gboolean
are_finite(const PwPxPath *outlines, gsize n)
{
  for (gsize i = 0; i < n; i++)
    for (gsize k = 0; k < outlines[i].n; k++)
      if (!isfinite(outlines[i].points[k].x) || !isfinite(outlines[i].points[k].y))
        return FALSE;
  return TRUE;
}

int
pw_mask_image(VipsImage *image, const PwPxPath *outlines, gsize n, VipsImage **out)
{
  g_return_val_if_fail(image->Bands <= 4, -1);
  if (!are_finite(outlines, n)) {
    vips_error("mask", "%s", "an outline has a point that is no number");
    return -1;
  }
  VipsImage *masked = vips_image_new();
  Mask *mask = g_new0(Mask, 1);
  g_signal_connect(masked, "close", G_CALLBACK(mask_free), mask);
  mask->width = image->Xsize;
  mask->height = image->Ysize;
  mask->spans = g_array_new(FALSE, FALSE, sizeof(Span));
  mask->row_starts = g_new0(guint, (gsize)mask->height + 1);
  set_fill(mask, image);
  GArray *edges = edges_of(outlines, n);
  scan_rows(mask, edges);
  g_array_unref(edges);
  if (vips_image_pipelinev(masked, VIPS_DEMAND_STYLE_THINSTRIP, image, NULL) != 0 ||
      vips_image_generate(masked, vips_start_one, mask_generate, vips_stop_one, image, mask) != 0) {
    g_object_unref(masked);
    return -1;
  }
  *out = masked;
  return 0;
}
