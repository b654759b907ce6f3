/* SIFT by VLFeat (Lowe, Distinctive Image Features from Scale-Invariant Keypoints, 2004). */
#include "sift.h"

#include <math.h>
#include <vl/sift.h>

enum {
  LEVELS = 3,       /* of an octave (Lowe 2004, section 3.2) */
  OF_OCTAVE = 1000, /* places with most contrast that are described of one */
  ORIENTATIONS_MAX = 4
};
/* Of a difference of Gaussians, grey values. Lowe's 0.03 of the whole range is for scenes; what a
 * plain board has to show is fainter than noise of single pixels, but larger. */
#define LEAST_CONTRAST 0.1
#define MOST_EDGE 10.0 /* ratio of the two curvatures, of no edge (Lowe 2004, section 4.1) */

/* Every filter that is made writes one table of exponentials, always the same, that all read. */
static GRWLock table;

typedef struct {
  const PwGrey *grey;
  const PwPxPath *within; /* or NULL */
  VlSiftFilt *filter;
  GArray *features;
} Finding;

typedef struct {
  const VlSiftKeypoint *key;
  float contrast;
} Candidate;

static int
by_contrast(const void *a, const void *b)
{
  const Candidate *left = a, *right = b;
  if (left->contrast > right->contrast || left->contrast < right->contrast)
    return left->contrast > right->contrast ? -1 : 1;
  return left->key < right->key ? -1 : left->key > right->key;
}

static PwPx
place_of(const VlSiftKeypoint *key)
{
  return (PwPx){(double)key->x + 0.5, (double)key->y + 0.5};
}

/* Those keys of the octave that are looked at, the clearest first. */
static GArray *
choose_keys(const Finding *finding)
{
  const VlSiftFilt *filter = finding->filter;
  const VlSiftKeypoint *keys = vl_sift_get_keypoints(filter);
  GArray *chosen = g_array_new(FALSE, FALSE, sizeof(Candidate));
  for (int i = 0; i < vl_sift_get_nkeypoints(filter); i++) {
    PwPx at = place_of(&keys[i]);
    if (pw_grey_is_left_out(finding->grey, at.x, at.y) ||
        (finding->within != NULL && !pw_grey_is_within(finding->grey, finding->within, at.x, at.y)))
      continue;
    gsize pixel = (gsize)keys[i].iy * (gsize)vl_sift_get_octave_width(filter) + (gsize)keys[i].ix;
    const Candidate candidate = {&keys[i], fabsf(vl_sift_get_octave(filter, keys[i].is + 1)[pixel] -
                                                 vl_sift_get_octave(filter, keys[i].is)[pixel])};
    g_array_append_val(chosen, candidate);
  }
  g_array_sort(chosen, by_contrast);
  g_array_set_size(chosen, MIN(chosen->len, OF_OCTAVE));
  return chosen;
}

/* FALSE where there is nothing to be told again by. */
static gboolean
set_words(PwFeature *feature, const float histogram[PW_SIFT_WORDS])
{
  float sum = 0;
  for (int i = 0; i < PW_SIFT_WORDS; i++)
    sum += histogram[i];
  for (int i = 0; sum > 0 && i < PW_SIFT_WORDS; i++)
    feature->words[i] = (gint16)(PW_SIFT_UNIT * sqrtf(histogram[i] / sum) + 0.5f);
  return sum > 0;
}

static void
describe_octave(Finding *finding)
{
  g_autoptr(GArray) chosen = choose_keys(finding);
  for (guint i = 0; i < chosen->len; i++) {
    const VlSiftKeypoint *key = g_array_index(chosen, Candidate, i).key;
    double angles[ORIENTATIONS_MAX];
    int n = vl_sift_calc_keypoint_orientations(finding->filter, angles, key);
    for (int k = 0; k < n; k++) {
      float histogram[PW_SIFT_WORDS] = {0}; /* VLFeat leaves it so for a place at the very edge */
      PwFeature feature = {.at = place_of(key)};
      vl_sift_calc_keypoint_descriptor(finding->filter, histogram, key, angles[k]);
      if (set_words(&feature, histogram))
        g_array_append_val(finding->features, feature);
    }
  }
}

static void
run_finding(void *user, guint i)
{
  Finding *finding = (Finding *)user + i;
  const PwGrey *grey = finding->grey;
  gsize n = (gsize)grey->width * (gsize)grey->height;
  g_autofree float *values = g_new(float, n);
  for (gsize k = 0; k < n; k++)
    values[k] = pw_grey_at(grey, (int)(k % (gsize)grey->width), (int)(k / (gsize)grey->width));
  g_rw_lock_reader_lock(&table);
  int done = vl_sift_process_first_octave(finding->filter, values);
  for (; done == 0; done = vl_sift_process_next_octave(finding->filter)) {
    vl_sift_detect(finding->filter);
    describe_octave(finding);
  }
  g_rw_lock_reader_unlock(&table);
}

static VlSiftFilt *
filter_new(const PwGrey *grey, int first_octave)
{
  VlSiftFilt *filter = vl_sift_new(grey->width, grey->height, -1, LEVELS, first_octave);
  vl_sift_set_peak_thresh(filter, LEAST_CONTRAST);
  vl_sift_set_edge_thresh(filter, MOST_EDGE);
  return filter;
}

void
pw_sift_find(const PwGrey *const of[2], const gboolean doubled[2], const PwPxPath *within,
             GArray *features[2])
{
  Finding findings[2];
  g_rw_lock_writer_lock(&table);
  for (int i = 0; i < 2; i++) {
    features[i] = g_array_new(FALSE, FALSE, sizeof(PwFeature));
    findings[i] = (Finding){.grey = of[i],
                            .within = i == 0 ? within : NULL,
                            .filter = filter_new(of[i], doubled[i] ? -1 : 0),
                            .features = features[i]};
  }
  g_rw_lock_writer_unlock(&table);
  pw_each(G_N_ELEMENTS(findings), 0, run_finding, findings);
  for (int i = 0; i < 2; i++)
    vl_sift_delete(findings[i].filter);
}
