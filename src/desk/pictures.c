/* Pictures: the first sight of a photograph, its tiles, its plate. */
#include "desk-private.h"

enum { SIGHT_WIDTH = 1600, WIDEST_SIGHT = 4096, SIGHT_QUALITY = 85 };

static int
sight_width(const DeskAsk *ask)
{
  gint64 asked;
  if (ask->width == NULL || !pw_parse_int(ask->width, &asked))
    return SIGHT_WIDTH;
  return (int)CLAMP(asked, 16, WIDEST_SIGHT);
}

DeskAnswer *
desk_get_sight(const DeskCall *call)
{
  g_autoptr(GError) error = NULL;
  const PwPhotoFacts *facts = &call->photo->facts;
  if (!call->photo->readable)
    return desk_answer_says(422, "%s cannot be read", call->photo->file);
  int width = MIN(sight_width(call->ask), facts->width);
  int height = (int)(((gint64)facts->height * width + facts->width / 2) / facts->width);
  PwRender render = {.width = width, .height = MAX(height, 1)};
  GBytes *jpeg = pw_model_render_jpeg(call->state->model, call->photo, &render, SIGHT_QUALITY,
                                      &width, &height, &error);
  return jpeg ? desk_answer_new(200, "image/jpeg", jpeg) : desk_answer_error(error);
}

DeskAnswer *
desk_get_tiles(const DeskCall *call)
{
  (void)call;
  return desk_answer_says(501, "tiles cannot be made yet");
}

DeskAnswer *
desk_get_tile(const DeskCall *call)
{
  (void)call;
  return desk_answer_says(501, "tiles cannot be made yet");
}

DeskAnswer *
desk_get_plate(const DeskCall *call)
{
  (void)call;
  return desk_answer_says(501, "plates cannot be shown yet");
}
