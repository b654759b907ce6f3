/* Tiles through the cache of a folder: made once, found again, made anew where the cache was
 * emptied, damaged or filled with something else; never for another photograph.
 */
#include "bench.h"

#include "base/calls.h"

#include <glib/gstdio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utime.h>
#include <vips/vips.h>

#include <cmocka.h>

/* Two photographs of one size and one flat level each, so that they can be told apart. */
static int
begin(void **state)
{
  if (bench_begin(state) != 0 || !pw_photo_startup(NULL))
    return -1;
  Bench *bench = *state;
  bench_photo(bench, "a.png", "stage: before\nview: spine\n");
  bench_photo(bench, "b.png", "stage: before\nview: head\n");
  static const char *const names[] = {"a.png", "b.png"};
  for (int i = 0; i < 2; i++) {
    VipsImage *black = NULL, *flat = NULL;
    g_autofree char *path = g_build_filename(bench->folder, names[i], NULL);
    assert_int_equal(vips_black(&black, 1000, 1000, "bands", 3, NULL), 0);
    assert_int_equal(vips_linear1(black, &flat, 1.0, 50.0 + 100.0 * i, "uchar", TRUE, NULL), 0);
    assert_int_equal(vips_pngsave(flat, path, NULL), 0);
    g_object_unref(flat);
    g_object_unref(black);
  }
  bench_open_pictures(bench, 0);
  return 0;
}

static PwTiles *
tiles_of(const Bench *bench, const char *file, gboolean build)
{
  g_autoptr(GError) error = NULL;
  PwTiles *tiles = pw_model_open_tiles(bench->model, pw_model_find_photo(bench->model, file), build,
                                       NULL, &error);
  if (error != NULL)
    fail_msg("%s", error->message);
  return tiles;
}

/* The level of the whole flat picture. */
static int
level_of(const PwTiles *tiles)
{
  PwPlane plane;
  assert_true(pw_tiles_read(tiles, 0, 500, 500, 1, 1, &plane, NULL));
  int level = plane.pixels[0];
  pw_plane_clear(&plane);
  return level;
}

/* The only file of tiles, or of the two the one that is not `but`; yours. */
static char *
dup_cached(const Bench *bench, const char *but)
{
  g_autofree char *folder = g_build_filename(bench->folder, ".platewright", "tiles", NULL);
  GDir *dir = g_dir_open(folder, 0, NULL);
  char *path = NULL;
  for (const char *name; dir != NULL && (name = g_dir_read_name(dir)) != NULL;) {
    g_autofree char *found = g_build_filename(folder, name, NULL);
    if (g_strcmp0(found, but) != 0) {
      assert_null(path);
      path = g_steal_pointer(&found);
    }
  }
  if (dir != NULL)
    g_dir_close(dir);
  return path;
}

static void
they_are_made_once_and_found_again(void **state)
{
  const Bench *bench = *state;
  struct stat first, second;
  assert_null(tiles_of(bench, "a.png", FALSE));
  g_autoptr(PwTiles) made = tiles_of(bench, "a.png", TRUE);
  assert_int_equal(level_of(made), 50);
  g_autofree char *path = dup_cached(bench, NULL);
  assert_int_equal(stat(path, &first), 0);
  g_autoptr(PwTiles) found = tiles_of(bench, "a.png", FALSE);
  g_autoptr(PwTiles) again = tiles_of(bench, "a.png", TRUE);
  assert_int_equal(level_of(found), 50);
  assert_int_equal(level_of(again), 50);
  assert_int_equal(stat(path, &second), 0);
  assert_true(first.st_ino == second.st_ino && first.st_mtim.tv_nsec == second.st_mtim.tv_nsec);
}

static void
the_cache_may_go_at_any_time(void **state)
{
  const Bench *bench = *state;
  g_autoptr(PwTiles) made = tiles_of(bench, "a.png", TRUE);
  g_autofree char *path = dup_cached(bench, NULL);
  assert_int_equal(g_unlink(path), 0);
  g_autofree char *folder = g_path_get_dirname(path);
  assert_int_equal(g_rmdir(folder), 0);
  assert_int_equal(level_of(made), 50);
  assert_null(tiles_of(bench, "a.png", FALSE));
  g_autoptr(PwTiles) anew = tiles_of(bench, "a.png", TRUE);
  assert_int_equal(level_of(anew), 50);
}

/* In the middle of a tile, in the directories, and cut short. */
static void
what_is_damaged_is_made_anew(void **state)
{
  const Bench *bench = *state;
  for (int way = 0; way < 3; way++) {
    g_autofree char *data = NULL;
    gsize length = 0;
    pw_tiles_free(tiles_of(bench, "a.png", TRUE));
    g_autofree char *path = dup_cached(bench, NULL);
    assert_true(g_file_get_contents(path, &data, &length, NULL));
    data[way == 0 ? 2000 : length - 30] ^= 1;
    assert_true(g_file_set_contents(path, data, (gssize)(way == 2 ? length / 2 : length), NULL));
    g_autoptr(PwTiles) anew = tiles_of(bench, "a.png", TRUE);
    assert_non_null(anew);
    assert_true(pw_tiles_check(anew, NULL));
    assert_int_equal(level_of(anew), 50);
  }
}

static void
tiles_of_another_photograph_are_not_shown(void **state)
{
  const Bench *bench = *state;
  g_autofree char *data = NULL;
  gsize length = 0;
  pw_tiles_free(tiles_of(bench, "a.png", TRUE));
  g_autofree char *of_a = dup_cached(bench, NULL);
  pw_tiles_free(tiles_of(bench, "b.png", TRUE));
  g_autofree char *of_b = dup_cached(bench, of_a);
  assert_true(g_file_get_contents(of_b, &data, &length, NULL));
  assert_true(g_file_set_contents(of_a, data, (gssize)length, NULL));
  assert_null(tiles_of(bench, "a.png", FALSE));
  g_autoptr(PwTiles) anew = tiles_of(bench, "a.png", TRUE);
  assert_int_equal(level_of(anew), 50);
}

/* The right words in it, but of another size. */
static void
tiles_of_another_size_are_not_shown(void **state)
{
  const Bench *bench = *state;
  g_autoptr(PwTiles) made = tiles_of(bench, "a.png", TRUE);
  g_autofree char *path = dup_cached(bench, NULL);
  g_autofree char *small = g_build_filename(bench->folder, "small.png", NULL);
  VipsImage *black = NULL;
  assert_int_equal(vips_black(&black, 1000, 999, "bands", 3, NULL), 0);
  assert_int_equal(vips_pngsave(black, small, NULL), 0);
  g_object_unref(black);
  g_autoptr(PwPhoto) photo = pw_photo_open(small, NULL);
  assert_true(pw_photo_write_tiles(photo, path, pw_tiles_peek_info(made)->label, NULL, NULL));
  assert_null(tiles_of(bench, "a.png", FALSE));
  g_autoptr(PwTiles) anew = tiles_of(bench, "a.png", TRUE);
  assert_int_equal(level_of(anew), 50);
}

/* A file in the folder of tiles, so old; yours. */
static char *
put_aged(const Bench *bench, const char *name, const char *text, int minutes)
{
  struct utimbuf times = {0, (time_t)(g_get_real_time() / G_USEC_PER_SEC - 60 * minutes)};
  g_autofree char *folder = g_build_filename(bench->folder, ".platewright", "tiles", NULL);
  char *path = g_build_filename(folder, name, NULL);
  g_mkdir_with_parents(folder, 0777);
  if (text != NULL)
    assert_true(g_file_set_contents(path, text, -1, NULL));
  assert_int_equal(g_utime(path, &times), 0);
  return path;
}

static gboolean
is_there(const char *path)
{
  return g_file_test(path, G_FILE_TEST_EXISTS);
}

#define SOME_NAME "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcde"

static void
what_a_killed_build_left_goes_with_the_next(void **state)
{
  const Bench *bench = *state;
  g_autofree char *left = put_aged(bench, ".platewright-tmp-aaaaaa", "half", 61);
  g_autofree char *young = put_aged(bench, ".platewright-tmp-bbbbbb", "half", 59);
  g_autofree char *theirs = put_aged(bench, "notes.txt", "to do", 999);
  g_autofree char *beside = g_build_filename(bench->folder, ".platewright-tmp-cccccc", NULL);
  struct utimbuf long_ago = {0, 0};
  assert_true(g_file_set_contents(beside, "half", -1, NULL));
  assert_int_equal(g_utime(beside, &long_ago), 0);
  pw_tiles_free(tiles_of(bench, "a.png", TRUE));
  assert_false(is_there(left));
  assert_true(is_there(young));
  assert_true(is_there(theirs));
  assert_true(is_there(beside));
}

static void
tiles_of_other_versions_go_with_the_next(void **state)
{
  const Bench *bench = *state;
  pw_tiles_free(tiles_of(bench, "a.png", TRUE));
  g_autofree char *ours = dup_cached(bench, NULL);
  g_autofree char *name = g_path_get_basename(ours);
  g_autofree char *file = g_build_filename(bench->folder, "a.png", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(file, NULL);
  g_autofree char *young = put_aged(bench, SOME_NAME "0", "of a form that we do not know", 59);
  g_autofree char *odd = put_aged(bench, SOME_NAME "1", "of a form that we do not know", 61);
  g_autofree char *old = put_aged(bench, SOME_NAME "2", "", 61);
  assert_true(pw_photo_write_tiles(photo, old, "platewright 0.0 tiles of x", NULL, NULL));
  g_free(put_aged(bench, SOME_NAME "2", NULL, 61));
  g_free(put_aged(bench, name, NULL, 61));
  pw_tiles_free(tiles_of(bench, "b.png", TRUE));
  assert_false(is_there(old));
  assert_false(is_there(odd));
  assert_true(is_there(young));
  assert_true(is_there(ours));
}

static void
no_link_is_followed(void **state)
{
  const Bench *bench = *state;
  g_autoptr(GError) error = NULL;
  g_autofree char *outside = g_dir_make_tmp("platewright-outside-XXXXXX", NULL);
  g_autofree char *cache = g_build_filename(bench->folder, ".platewright", NULL);
  g_autofree char *link = g_build_filename(cache, "tiles", NULL);
  g_mkdir(cache, 0777);
  assert_int_equal(symlink(outside, link), 0);
  assert_null(pw_model_open_tiles(bench->model, pw_model_find_photo(bench->model, "a.png"), TRUE,
                                  NULL, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_FILE));
  assert_int_equal(g_rmdir(outside), 0); /* it is empty */
}

/* The sidecar names the sha256 of what was taken in. */
static void
another_file_in_its_place_is_refused(void **state)
{
  Bench *bench = *state;
  g_autoptr(GError) error = NULL;
  bench_write(bench, "a.png.yaml",
              "format: platewright-photo 1\nphoto: {size: 1000 x 1000, sha256: "
              "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855}\n"
              "stage: before\nview: spine\n");
  pw_model_free(bench->model);
  bench_open_pictures(bench, 0);
  assert_null(pw_model_open_tiles(bench->model, pw_model_find_photo(bench->model, "a.png"), TRUE,
                                  NULL, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_RECORD));
}

/* Renamings, of which each file of tiles and nothing else named like it needs one. */
static GPtrArray *renamed;

static int
note_name(int from_folder, const char *from, int to_folder, const char *to, unsigned int flags)
{
  static GMutex lock;
  g_mutex_lock(&lock);
  g_ptr_array_add(renamed, g_strdup(to));
  g_mutex_unlock(&lock);
  return renameat2(from_folder, from, to_folder, to, flags);
}

static gpointer
build_in_thread(gpointer bench)
{
  return tiles_of(bench, "a.png", TRUE);
}

static void
many_threads_that_ask_build_once(void **state)
{
  enum { THREADS = 6 };
  GThread *threads[THREADS];
  const PwFileCalls calls = pw_file_calls;
  guint n_built = 0;
  renamed = g_ptr_array_new_with_free_func(g_free);
  pw_file_calls.renameat2 = note_name;
  for (int i = 0; i < THREADS; i++)
    threads[i] = g_thread_new("build", build_in_thread, *state);
  for (int i = 0; i < THREADS; i++) {
    g_autoptr(PwTiles) tiles = g_thread_join(threads[i]);
    assert_int_equal(level_of(tiles), 50);
  }
  pw_file_calls = calls;
  /* One file, and no temporary one beside it. */
  g_autofree char *path = dup_cached(*state, NULL);
  g_autofree char *name = g_path_get_basename(path);
  for (guint i = 0; i < renamed->len; i++)
    n_built += strcmp(renamed->pdata[i], name) == 0 ? 1 : 0;
  assert_int_equal(n_built, 1);
  g_ptr_array_unref(renamed);
}

#define WITH_FOLDER(test) cmocka_unit_test_setup_teardown(test, begin, bench_end)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      WITH_FOLDER(they_are_made_once_and_found_again),
      WITH_FOLDER(the_cache_may_go_at_any_time),
      WITH_FOLDER(what_is_damaged_is_made_anew),
      WITH_FOLDER(tiles_of_another_photograph_are_not_shown),
      WITH_FOLDER(tiles_of_another_size_are_not_shown),
      WITH_FOLDER(what_a_killed_build_left_goes_with_the_next),
      WITH_FOLDER(tiles_of_other_versions_go_with_the_next),
      WITH_FOLDER(no_link_is_followed),
      WITH_FOLDER(another_file_in_its_place_is_refused),
      WITH_FOLDER(many_threads_that_ask_build_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
