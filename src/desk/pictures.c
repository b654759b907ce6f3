/* Pictures: the first sight of a photograph, its tiles, its plate. */
#include "desk-private.h"

#include <platewright/plate.h>

enum { SIGHT_WIDTH = 1600, WIDEST_SIGHT = 4096, SIGHT_QUALITY = 85 };
/* A plate opened by itself is a document: it carries its own look and pictures and runs nothing. */
static const char plate_policy[] =
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'";

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
  PwRender render = {.width = width, .height = MAX(height, 1), .quick = TRUE};
  GBytes *jpeg = pw_model_render_jpeg(call->state->model, call->photo, &render, SIGHT_QUALITY,
                                      &width, &height, &error);
  return jpeg ? desk_answer_new(200, "image/jpeg", jpeg) : desk_answer_error(error);
}

static void
put_levels(PwJson *json, const PwTilesInfo *info)
{
  pw_json_key(json, "levels");
  pw_json_begin_array(json);
  for (guint i = 0; info && i < info->n_levels; i++) {
    pw_json_begin_object(json);
    pw_json_pair_int(json, "width", info->levels[i].width);
    pw_json_pair_int(json, "height", info->levels[i].height);
    pw_json_end(json);
  }
  pw_json_end(json);
}

/* Asking is wishing: they are built, or looked through once. */
DeskAnswer *
desk_get_tiles(const DeskCall *call)
{
  DeskTiler *tiler = call->desk->tiler;
  g_autoptr(DeskTiles) tiles = desk_tiler_open(tiler, call->state, call->photo);
  desk_tiler_want(tiler, call->state, call->photo);
  g_autofree char *why = tiles ? NULL : desk_tiler_dup_why(tiler, call->state, call->photo);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  desk_key_bool(json, "ready", tiles != NULL);
  pw_json_pair_int(json, "tile", PW_TILE_PX);
  put_levels(json, tiles ? pw_tiles_peek_info(desk_tiles_peek(tiles)) : NULL);
  pw_json_pair_string(json, "says", why);
  pw_json_end(json);
  return desk_answer_json(json);
}

DeskAnswer *
desk_get_tile(const DeskCall *call)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(DeskTiles) tiles = desk_tiler_open(call->desk->tiler, call->state, call->photo);
  if (tiles == NULL)
    return desk_answer_says(404, "this photograph's tiles are not made yet");
  GBytes *jpeg = pw_tiles_dup_jpeg(desk_tiles_peek(tiles), (guint)call->numbers[0],
                                   call->numbers[1], call->numbers[2], &error);
  if (jpeg != NULL)
    return desk_answer_new(200, "image/jpeg", jpeg);
  if (g_error_matches(error, PW_ERROR, PW_ERROR_USE))
    return desk_answer_says(404, "%s", error->message);
  desk_tiler_doubt(call->desk->tiler, call->state, call->photo);
  return desk_answer_says(404, "this photograph's tiles were damaged and are made anew");
}

/* As it will be printed, by the code that prints it. */
DeskAnswer *
desk_get_plate(const DeskCall *call)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  gint64 page = 1;
  if (call->ask->page != NULL &&
      (!pw_parse_int(call->ask->page, &page) || page < 1 || page > G_MAXINT))
    return desk_answer_says(400, "which page?");
  g_autoptr(PwStyle) style = pw_style_read("plate", complaints, &error);
  g_autoptr(PwWords) words =
      style ? pw_words_read(pw_model_peek_language(call->state->model), complaints, &error) : NULL;
  if (words == NULL)
    return error ? desk_answer_error(error)
                 : desk_answer_complaints(422, pw_words_peek(call->state->words, "desk-no-style"),
                                          complaints);
  PwPlateOptions options = {.style = style, .words = words, .audience = PW_FOR_STUDIO};
  guint n_pages = 0;
  GBytes *svg = pw_plates_draw_svg(call->state->model, &options, call->photo->file, (guint)page,
                                   &n_pages, &error);
  if (svg == NULL)
    return desk_answer_error(error);
  g_autofree char *pages = g_strdup_printf("%u", n_pages);
  DeskAnswer *answer = desk_answer_new(200, "image/svg+xml", svg);
  answer->policy = plate_policy;
  desk_answer_header(answer, "Pages", pages);
  return answer;
}
