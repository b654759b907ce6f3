/* Pictures for a screen: JPEG as data, each within its limit. Masked by the model's outlines before
 * anything else, never enlarged, stripped of what the file said of itself. */
#include "set_html_private.h"

#include <math.h>

/* The first try: sharp on a screen of twice the usual density, seldom above the limit. */
#define QUALITY 80

static const char data_uri[] = "data:image/jpeg;base64,";

typedef struct {
  const PwModelPhoto *photo;
  PwRender render;
  PwHomography to_frame;
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
pw_html_pictures_add(PwHtmlPictures *pictures, const PwSheetPicture *picture, int longest_px)
{
  Job *job = g_new0(Job, 1);
  job->photo = picture->source;
  job->longest_px = longest_px;
  job->to_frame = picture->to_frame;
  job->render = (PwRender){.to_frame = picture->laid ? &job->to_frame : NULL,
                           .crop_x = picture->crop_x,
                           .crop_y = picture->crop_y,
                           .crop_width = picture->crop_width,
                           .crop_height = picture->crop_height,
                           .grey = pw_style_is_grey(pictures->options->style)};
  job->masks = pw_model_dup_masks(pictures->model, job->photo, pictures->options->audience,
                                  &job->render.n_masks);
  job->render.masks = job->masks;
  g_ptr_array_add(pictures->jobs, job);
  return pictures->jobs->len - 1;
}

/* ---- Within the limit --------------------------------------------------------------------------
 */

/* Four letters of base64 for three bytes. */
static gsize
most_bytes(void)
{
  return (PW_HTML_PICTURE_BYTES - (sizeof data_uri - 1)) / 4 * 3;
}

static GBytes *
make_within_limit(const PwModel *model, Job *job)
{
  PwRender *render = &job->render;
  double scale = MIN(1, job->longest_px / MAX(render->crop_width, render->crop_height));
  render->width = (int)MAX(1, floor(render->crop_width * scale));
  render->height = (int)MAX(1, round(render->width * render->crop_height / render->crop_width));
  render->most_bytes = most_bytes();
  return pw_model_render_jpeg(model, job->photo, render, QUALITY, &job->picture.width,
                              &job->picture.height, &job->error);
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
