/* Tags by libapriltag, tile by tile, so that a large picture needs little memory.
 *
 * libapriltag's pixels are ours: the centre of the first one is (0.5, 0.5). It takes some 25 bytes
 * for each pixel in which it seeks squares, aborts on sides of 32768 and reads outside pictures
 * under four pixels: tiles are kept within both.
 */
#include "refine.h"
#include "see.h"

#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>
#include <math.h>

enum {
  TILE_SIDE = 2048,    /* of the pixels in which squares are sought */
  BITS_CORRECTED = 1,  /* each costs false finds, the second also 40 MB */
  LEAST_CONTRAST = 40, /* grey levels between black and white; under it is texture, not print */
  FAINT_CONTRAST = 20, /* in a smoothed picture, where noise makes less of them */
  /* Some twelve to a pixel of an edge: round a tag of ten pixels, which is too small to be read; of
   * synthetic tags of 12 to 18 pixels none was lost by it, and a fifth of the time was won. */
  LEAST_CLUSTER_PX = 120
};
/* Mean distance of the cells' grey levels from the threshold between black and white. */
static const float LEAST_MARGIN = 8;
/* Of the smoothing against noise, in the pixels in which squares are sought. */
static const float SMOOTHING = 1.2F;
/* Tiles overlap by the largest tag that is to be seen whole. Coarsely: the tag of a card of the
 * smallest size that is as long as the picture, in a picture of up to 12000 pixels. Finely sought
 * are the small tags that the coarse search has missed. */
enum { COARSE = 3, CARD_TO_TAG = 7, COARSE_OVERLAP_MAX = 1750, FINE_OVERLAP = 160 };

/* How far off the edges of a square may be that was sought in fewer pixels and bettered there. */
static const double REFINE_REACH_PX = 3;

typedef struct {
  const PwPlane *grey;
  const PwTagWay *way;
  apriltag_detector_t *detector;
  apriltag_family_t *plain, *mirrored;
} Finder;

/* A mirrored tag's code stands in the same cells, counted from the other side. Sought along with
 * the plain ones it costs next to nothing; only its corners come out in another order. */
static apriltag_family_t *
mirrored_family(void)
{
  apriltag_family_t *family = tag36h11_create();
  for (guint32 i = 0; i < family->nbits; i++)
    family->bit_x[i] = (guint32)family->width_at_border - 1 - family->bit_x[i];
  return family;
}

static void
finder_init(Finder *finder, const PwPlane *grey, const PwTagWay *way)
{
  *finder = (Finder){grey, way, apriltag_detector_create(), tag36h11_create(), mirrored_family()};
  apriltag_detector_add_family_bits(finder->detector, finder->plain, BITS_CORRECTED);
  apriltag_detector_add_family_bits(finder->detector, finder->mirrored, BITS_CORRECTED);
  finder->detector->nthreads = 1;
  finder->detector->quad_decimate = (float)way->decimation;
  /* Of squares found in fewer pixels, so that the cells are read where they are. */
  finder->detector->refine_edges = way->refine && way->decimation > 1;
  finder->detector->quad_sigma = way->faint ? SMOOTHING : 0;
  finder->detector->qtp.min_white_black_diff = way->faint ? FAINT_CONTRAST : LEAST_CONTRAST;
  finder->detector->qtp.min_cluster_pixels = LEAST_CLUSTER_PX;
}

static void
finder_clear(Finder *finder)
{
  apriltag_detector_destroy(finder->detector);
  tag36h11_destroy(finder->plain);
  tag36h11_destroy(finder->mirrored);
}

double
pw_tag_edge_px(const PwTag *tag)
{
  double sum = 0;
  for (int i = 0; i < 4; i++)
    sum += hypot(tag->corners[i].x - tag->corners[(i + 1) % 4].x,
                 tag->corners[i].y - tag->corners[(i + 1) % 4].y);
  return sum / 4;
}

static gboolean
is_same_tag(const PwSeenTag *a, const PwSeenTag *b)
{
  if (a->tag.id != b->tag.id || a->mirrored != b->mirrored)
    return FALSE;
  double x = 0, y = 0;
  for (int i = 0; i < 4; i++) {
    x += (a->tag.corners[i].x - b->tag.corners[i].x) / 4;
    y += (a->tag.corners[i].y - b->tag.corners[i].y) / 4;
  }
  return hypot(x, y) < pw_tag_edge_px(&a->tag) / 2;
}

static void
add_tag(GArray *tags, const PwSeenTag *seen)
{
  for (guint i = 0; i < tags->len; i++)
    if (is_same_tag(&g_array_index(tags, PwSeenTag, i), seen))
      return;
  g_array_append_vals(tags, seen, 1);
}

/* libapriltag counts corners from the lower left against the clock as printed. */
static void
add_detection(const Finder *finder, const apriltag_detection_t *detection, int left, int top,
              GArray *tags)
{
  if (detection->decision_margin < LEAST_MARGIN)
    return;
  PwSeenTag seen = {.tag.id = detection->id, .mirrored = detection->family == finder->mirrored};
  for (int i = 0; i < 4; i++) {
    PwPx at = {left + detection->p[3 - i][0], top + detection->p[3 - i][1]};
    if (!isfinite(at.x) || !isfinite(at.y))
      return;
    seen.tag.corners[i] = at;
  }
  if (finder->way->refine && !seen.mirrored)
    pw_tag_refine(finder->grey, REFINE_REACH_PX, &seen.tag);
  add_tag(tags, &seen);
}

static void
see_in_tile(const Finder *finder, const PwPlane *tile, int left, int top, GArray *tags)
{
  image_u8_t image = {tile->width, tile->height, (gint32)tile->stride, tile->pixels};
  zarray_t *detections = apriltag_detector_detect(finder->detector, &image);
  for (int i = 0; i < zarray_size(detections); i++) {
    apriltag_detection_t *detection;
    zarray_get(detections, i, &detection);
    add_detection(finder, detection, left, top, tags);
  }
  apriltag_detections_destroy(detections);
}

/* How a side is cut: so many pieces of one length, the first at 0, the last at the end. */
typedef struct {
  int n, length, whole;
} Cut;

static Cut
cut_side(int whole, int most, int overlap)
{
  if (whole <= most)
    return (Cut){1, whole, whole};
  int step = most - overlap;
  int n = (whole - overlap + step - 1) / step;
  return (Cut){n, (whole - overlap + n - 1) / n + overlap, whole};
}

static int
cut_start(const Cut *cut, int i)
{
  return cut->n == 1 ? 0 : (int)((gint64)(cut->whole - cut->length) * i / (cut->n - 1));
}

static int
overlap_of(const PwPlane *grey, const PwTagWay *way)
{
  int coarse = MIN(MAX(grey->width, grey->height) / CARD_TO_TAG, COARSE_OVERLAP_MAX);
  return way->decimation >= COARSE ? coarse : FINE_OVERLAP * way->decimation;
}

void
pw_tags_see(const PwPlane *grey, const PwTagWay *way, GArray *tags)
{
  Finder finder;
  finder_init(&finder, grey, way);
  int most = TILE_SIDE * way->decimation, overlap = overlap_of(grey, way);
  Cut across = cut_side(grey->width, most, overlap), down = cut_side(grey->height, most, overlap);
  for (int row = 0; row < down.n; row++)
    for (int column = 0; column < across.n; column++) {
      int left = cut_start(&across, column), top = cut_start(&down, row);
      PwPlane tile = {grey->pixels + (gsize)top * grey->stride + left, across.length, down.length,
                      1, grey->stride};
      see_in_tile(&finder, &tile, left, top, tags);
    }
  finder_clear(&finder);
}
