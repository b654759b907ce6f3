/* Pictures for a screen: JPEG as data, each within its limit. Masked by the model's outlines before
 * anything else, never enlarged, stripped of what the file said of itself. */
#include "set_html_private.h"

#include <math.h>

/* The first try: sharp on a screen of twice the usual density, seldom above the limit. */
#define QUALITY 80
/* Below this the blocks of the coding are seen sooner than missing pixels are missed. */
#define LEAST_QUALITY 66
/* What that makes of the bytes, at least. */
#define COARSER 0.75
/* A picture that is too large is made smaller by what it is over, and this much more, so that the
 * next try is the last; the file of a finely grained one shrinks more slowly than its pixels. */
#define SHRINK_MORE 0.96
/* Tries before a picture is given up: the last would be under a tenth of the first a side. */
#define MOST_TRIES 12

static const char data_uri[] = "data:image/jpeg;base64,";

typedef struct {
  const PwModelPhoto *photo;
  PwRender render;
  PwPxPath *masks;
  int longest_px;
  PwHtmlPicture picture;
  GError *error;
} Job;

struct PwHtmlPictures {
  const PwModel *model;
  const PwReportOptions *options;
  GPtrArray *jobs;
  GMutex lock;
  guint done;
};

static void
job_free(Job *job)
{
  pw_model_masks_free(job->masks, job->render.n_masks);
  g_free(job->picture.data);
  g_clear_error(&job->error);
  g_free(job);
}

PwHtmlPictures *
pw_html_pictures_new(const PwModel *model, const PwReportOptions *options)
{
  PwHtmlPictures *pictures = g_new0(PwHtmlPictures, 1);
  pictures->model = model;
  pictures->options = options;
  pictures->jobs = g_ptr_array_new_with_free_func((GDestroyNotify)job_free);
  g_mutex_init(&pictures->lock);
  return pictures;
}

void
pw_html_pictures_free(PwHtmlPictures *pictures)
{
  if (pictures == NULL)
    return;
  g_ptr_array_unref(pictures->jobs);
  g_mutex_clear(&pictures->lock);
  g_free(pictures);
}

guint
pw_html_pictures_add(PwHtmlPictures *pictures, const PwModelPhoto *photo, double crop_x,
                     double crop_y, double crop_width, double crop_height, int longest_px)
{
  Job *job = g_new0(Job, 1);
  job->photo = photo;
  job->longest_px = longest_px;
  job->render = (PwRender){.crop_x = crop_x,
                           .crop_y = crop_y,
                           .crop_width = crop_width,
                           .crop_height = crop_height,
                           .grey = pw_style_is_grey(pictures->options->style)};
  job->masks =
      pw_model_dup_masks(pictures->model, photo, pictures->options->audience, &job->render.n_masks);
  job->render.masks = job->masks;
  g_ptr_array_add(pictures->jobs, job);
  return pictures->jobs->len - 1;
}

/* ---- Within the limit --------------------------------------------------------------------------
 */

static gsize
size_as_data(GBytes *jpeg)
{
  return sizeof data_uri - 1 + (g_bytes_get_size(jpeg) + 2) / 3 * 4;
}

static void
set_size(PwRender *render, double scale)
{
  render->width = (int)MAX(1, floor(render->crop_width * scale));
  render->height = (int)MAX(1, round(render->width * render->crop_height / render->crop_width));
}

/* Quality gives way once, and a little; what that does not save, pixels must. */
static GBytes *
make_within_limit(const PwModel *model, Job *job)
{
  double longest = MAX(job->render.crop_width, job->render.crop_height);
  double scale = MIN(1, job->longest_px / longest);
  int quality = QUALITY;
  for (guint i = 0; i < MOST_TRIES; i++) {
    set_size(&job->render, scale);
    g_autoptr(GBytes) jpeg =
        pw_model_render_jpeg(model, job->photo, &job->render, quality, &job->picture.width,
                             &job->picture.height, &job->error);
    if (jpeg == NULL)
      return NULL;
    double over = (double)size_as_data(jpeg) / PW_HTML_PICTURE_BYTES;
    if (over <= 1)
      return g_steal_pointer(&jpeg);
    double expected = quality > LEAST_QUALITY ? over * COARSER : over;
    quality = LEAST_QUALITY;
    if (expected > 1)
      scale *= SHRINK_MORE / sqrt(expected);
  }
  g_set_error(&job->error, PW_ERROR, PW_ERROR_LIMIT, "%s could not be made small enough",
              job->photo->file);
  return NULL;
}

static char *
dup_data(GBytes *jpeg)
{
  gsize length = 0;
  const guchar *bytes = g_bytes_get_data(jpeg, &length);
  g_autofree char *base64 = g_base64_encode(bytes, length);
  return g_strconcat(data_uri, base64, NULL);
}

static void
run_job(void *user, guint i)
{
  PwHtmlPictures *pictures = user;
  Job *job = pictures->jobs->pdata[i];
  g_autoptr(GBytes) jpeg = make_within_limit(pictures->model, job);
  if (jpeg != NULL)
    job->picture.data = dup_data(jpeg);
  g_mutex_lock(&pictures->lock);
  pictures->done++;
  pw_progress_step(pictures->options->progress, "pictures", pictures->done, pictures->jobs->len);
  g_mutex_unlock(&pictures->lock);
}

gboolean
pw_html_pictures_run(PwHtmlPictures *pictures, GError **error)
{
  pw_each(pictures->jobs->len, 0, run_job, pictures);
  for (guint i = 0; i < pictures->jobs->len; i++) {
    Job *job = pictures->jobs->pdata[i];
    if (job->picture.data == NULL) {
      g_propagate_error(error, g_steal_pointer(&job->error));
      return FALSE;
    }
  }
  return TRUE;
}

const PwHtmlPicture *
pw_html_pictures_peek(const PwHtmlPictures *pictures, guint i)
{
  return &((const Job *)pictures->jobs->pdata[i])->picture;
}
