/* The tiles of a photograph, kept in the cache of its folder under its sha256 and the version that
 * made them. The same words stand inside the file, so that another photograph's tiles under this
 * one's name are not shown for it.
 */
#include "model-private.h"

#include <string.h>

/* NULL when there are none, or none that are this photograph's. */
static PwTiles *
open_known(const char *path, const char *label, const PwPhotoFacts *facts)
{
  g_autoptr(PwTiles) tiles = pw_tiles_open(path, NULL);
  if (tiles == NULL)
    return NULL;
  const PwTilesInfo *info = pw_tiles_peek_info(tiles);
  if (strcmp(info->label, label) != 0 || info->levels[0].width != facts->width ||
      info->levels[0].height != facts->height)
    return NULL;
  return g_steal_pointer(&tiles);
}

/* One at a time: each build takes all cores and its share of memory, and whoever has waited finds
 * the tiles made. */
static PwTiles *
open_or_build(const PwModel *model, PwPhoto *file, const char *path, const char *label,
              const gint *stop, GError **error)
{
  static GMutex building;
  g_mutex_lock(&building);
  PwTiles *tiles = open_known(path, label, pw_photo_peek_facts(file));
  if (tiles != NULL && !pw_tiles_check(tiles, NULL))
    g_clear_pointer(&tiles, pw_tiles_free);
  if (tiles == NULL)
    pw_cache_sweep_tiles(model->folder);
  if (tiles == NULL && !pw_cache_make_room(path))
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot write %s: its folder cannot be made", path);
  else if (tiles == NULL && pw_photo_write_tiles(file, path, label, stop, error))
    tiles = pw_tiles_open(path, error);
  g_mutex_unlock(&building);
  return tiles;
}

PwTiles *
pw_model_open_tiles(const PwModel *model, const PwModelPhoto *photo, gboolean build,
                    const gint *stop, GError **error)
{
  g_autofree char *sha256 = NULL;
  g_autoptr(PwPhoto) file = pw_model_open_original(model, photo, &sha256, error);
  if (file == NULL)
    return NULL;
  g_autofree char *label = g_strconcat(PW_TILES_MAKER, sha256, NULL);
  g_autofree char *path = pw_cache_dup_path(model->folder, "tiles", label);
  if (path == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s/%s: a link, which is not followed",
                model->folder, PW_CACHE_FOLDER);
    return NULL;
  }
  if (build)
    return open_or_build(model, file, path, label, stop, error);
  return open_known(path, label, pw_photo_peek_facts(file));
}
