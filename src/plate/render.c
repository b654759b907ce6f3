/* Pictures at 300 ppi of their printed size, never enlarged, masked before anything else. */
#include "render.h"

#include <math.h>
#include <string.h>

#include "difference.h"

#define PRINT_PPI 300.0
#define MM_PER_INCH 25.4
/* Above this the eye gains nothing at 300 ppi and the file only grows. */
#define QUALITY 90

typedef struct {
  const PwModelPhoto *photo, *differs_from;
  PwRender render;
  PwHomography to_frame;
  PwPxPath *masks;
  PwPicture picture;
  GError *error;
} Job;

struct PwRenders {
  const PwModel *model;
  const PwPlateOptions *options;
  GPtrArray *jobs;
  GMutex lock;
  guint done, total;
};

static void
job_free(Job *job)
{
  pw_model_masks_free(job->masks, job->render.n_masks);
  g_clear_pointer(&job->picture.jpeg, g_bytes_unref);
  g_clear_error(&job->error);
  g_free(job);
}

PwRenders *
pw_renders_new(const PwModel *model, const PwPlateOptions *options)
{
  PwRenders *renders = g_new0(PwRenders, 1);
  renders->model = model;
  renders->options = options;
  renders->jobs = g_ptr_array_new_with_free_func((GDestroyNotify)job_free);
  g_mutex_init(&renders->lock);
  return renders;
}

void
pw_renders_free(PwRenders *renders)
{
  if (renders == NULL)
    return;
  g_ptr_array_unref(renders->jobs);
  g_mutex_clear(&renders->lock);
  g_free(renders);
}

static gboolean
same(double a, double b)
{
  return fabs(a - b) < 0.5;
}

static gboolean
same_picture(const Job *job, const PwSheetPicture *picture, const PwRender *render)
{
  gboolean same_frame =
      picture->laid ? job->render.to_frame != NULL &&
                          memcmp(&job->to_frame, &picture->to_frame, sizeof job->to_frame) == 0
                    : job->render.to_frame == NULL;
  return same_frame && job->photo == picture->source &&
         job->differs_from == picture->differs_from && job->render.width == render->width &&
         job->render.height == render->height && same(job->render.crop_x, render->crop_x) &&
         same(job->render.crop_y, render->crop_y) &&
         same(job->render.crop_width, render->crop_width) &&
         same(job->render.crop_height, render->crop_height);
}

guint
pw_renders_add(PwRenders *renders, const PwSheetPicture *picture, const PwBox *printed)
{
  double wide = picture->crop_width, high = picture->crop_height;
  double width = MIN(round(printed->width / MM_PER_INCH * PRINT_PPI), floor(wide));
  double height = MAX(1, MIN(round(width * high / wide), floor(high)));
  PwRender render = {.crop_x = picture->crop_x,
                     .crop_y = picture->crop_y,
                     .crop_width = wide,
                     .crop_height = high,
                     .width = (int)MAX(1, width),
                     .height = (int)height,
                     .grey = pw_style_is_grey(renders->options->style)};
  for (guint i = 0; i < renders->jobs->len; i++)
    if (same_picture(renders->jobs->pdata[i], picture, &render))
      return i;
  Job *job = g_new0(Job, 1);
  job->photo = picture->source;
  job->differs_from = picture->differs_from;
  job->to_frame = picture->to_frame;
  render.to_frame = picture->laid ? &job->to_frame : NULL;
  job->masks =
      pw_model_dup_masks(renders->model, job->photo, renders->options->audience, &render.n_masks);
  render.masks = job->masks;
  job->render = render;
  g_ptr_array_add(renders->jobs, job);
  return renders->jobs->len - 1;
}

guint
pw_renders_n(const PwRenders *renders)
{
  return renders->jobs->len;
}

static void
draw_difference(const PwRenders *renders, Job *job)
{
  PwPlane levels = {0}, picture = {0};
  if (pw_model_difference(renders->model, job->differs_from, job->photo, &job->render,
                          renders->options->audience, &levels, &job->error)) {
    pw_difference_paint(&levels, renders->options->style, &picture);
    job->picture.jpeg = pw_photo_encode_jpeg(&picture, QUALITY, &job->error);
    job->picture.width = picture.width;
    job->picture.height = picture.height;
  }
  pw_plane_clear(&levels);
  pw_plane_clear(&picture);
}

static void
run_job(void *user, guint i)
{
  PwRenders *renders = user;
  Job *job = renders->jobs->pdata[i];
  if (job->differs_from != NULL)
    draw_difference(renders, job);
  else
    job->picture.jpeg =
        pw_model_render_jpeg(renders->model, job->photo, &job->render, QUALITY, &job->picture.width,
                             &job->picture.height, &job->error);
  g_mutex_lock(&renders->lock);
  renders->done++;
  pw_progress_step(renders->options->progress, "pictures", renders->done, renders->total);
  g_mutex_unlock(&renders->lock);
}

gboolean
pw_renders_run(PwRenders *renders, guint done, guint total, GError **error)
{
  renders->done = done;
  renders->total = total;
  pw_each(renders->jobs->len, 0, run_job, renders);
  for (guint i = 0; i < renders->jobs->len; i++) {
    Job *job = renders->jobs->pdata[i];
    if (job->picture.jpeg == NULL) {
      g_propagate_error(error, g_steal_pointer(&job->error));
      return FALSE;
    }
  }
  return TRUE;
}

const PwPicture *
pw_renders_peek(const PwRenders *renders, guint i)
{
  const Job *job = renders->jobs->pdata[i];
  return &job->picture;
}
