/* What nobody will read again goes from the tiles in the cache of a folder: what a build left that
 * was killed, and the tiles of other versions. Everything is looked up in folders that are held
 * open and are no links, so that nothing outside the cache can be hit.
 */
#include "model-private.h"

#include <dirent.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* What is younger may be another's work that goes on. */
enum { LEFT_ALONE_S = 60 * 60, NAME_CHARS = 64 };

static gboolean
is_old_file(int folder, const char *name)
{
  struct stat status;
  return fstatat(folder, name, &status, AT_SYMLINK_NOFOLLOW) == 0 && S_ISREG(status.st_mode) &&
         status.st_mtim.tv_sec < g_get_real_time() / G_USEC_PER_SEC - LEFT_ALONE_S;
}

static gboolean
is_cache_name(const char *name)
{
  return strlen(name) == NAME_CHARS && strspn(name, "0123456789abcdef") == NAME_CHARS;
}

static gboolean
is_of_this_version(const char *path)
{
  g_autoptr(PwTiles) tiles = pw_tiles_open(path, NULL);
  return tiles != NULL && g_str_has_prefix(pw_tiles_peek_info(tiles)->label, PW_TILES_MAKER);
}

static void
sweep_folder(DIR *dir, const char *path)
{
  for (struct dirent *entry; (entry = readdir(dir)) != NULL;) {
    g_autofree char *file = g_build_filename(path, entry->d_name, NULL);
    if (!is_old_file(dirfd(dir), entry->d_name))
      continue;
    if (g_str_has_prefix(entry->d_name, PW_TEMP_PREFIX) ||
        (is_cache_name(entry->d_name) && !is_of_this_version(file)))
      unlinkat(dirfd(dir), entry->d_name, 0);
  }
}

void
pw_cache_sweep_tiles(const char *folder)
{
  const int flags = O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC;
  g_autofree char *path = g_build_filename(folder, PW_CACHE_FOLDER, "tiles", NULL);
  g_autofree char *cache_path = g_path_get_dirname(path);
  int cache = open(cache_path, flags);
  int tiles = cache >= 0 ? openat(cache, "tiles", flags) : -1;
  DIR *dir = tiles >= 0 ? fdopendir(tiles) : NULL;
  if (dir != NULL) {
    sweep_folder(dir, path);
    closedir(dir);
  } else if (tiles >= 0) {
    close(tiles);
  }
  if (cache >= 0)
    close(cache);
}
