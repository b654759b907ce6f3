/* Broken files, each named for its bug in ../shared/cases/broken: every one is opened, rendered
 * and refused or decoded as truth.json there says, in a child of its own, so that a signal or an
 * endless loop is one failed check. This process must not start vips itself: its threads would
 * not live on in the child.
 */
#include <platewright/photo.h>

#include <json-glib/json-glib.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>
#include <cmocka.h>

enum {
  DECODED = 0,
  REFUSED = 1,
  NAMELESS = 2,     /* refused without a word of which file */
  SECONDS_MAX = 20, /* the reference decoders' limit */
  MEMORY_MAX_MB = 600
};

static int
try_file(const char *path)
{
  PwRender whole = {0};
  PwPlane plane = {0};
  g_autoptr(GError) error = NULL;
  if (!pw_photo_startup(&error))
    return NAMELESS;
  PwPhoto *photo = pw_photo_open(path, &error);
  gboolean ok = photo != NULL && pw_photo_render(photo, &whole, &plane, &error);
  pw_photo_free(photo);
  pw_plane_clear(&plane);
  return ok ? DECODED : strstr(error->message, path) != NULL ? REFUSED : NAMELESS;
}

/* TRUE when the child ended as expected. */
static gboolean
check_file(const char *path, const char *expect)
{
  struct rusage usage;
  int status = 0;
  pid_t child = fork();
  assert_true(child >= 0);
  if (child == 0) {
    alarm(SECONDS_MAX);
    _exit(try_file(path));
  }
  assert_int_equal(wait4(child, &status, 0, &usage), child);
  int outcome = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  gboolean ok = strcmp(expect, "refuse") == 0   ? outcome == REFUSED
                : strcmp(expect, "decode") == 0 ? outcome == DECODED
                                                : outcome == DECODED || outcome == REFUSED;
  ok = ok && usage.ru_maxrss / 1024 < MEMORY_MAX_MB;
  if (!ok)
    print_message("# %s: expected %s; outcome %d, signal %d, %ld MB\n", path, expect, outcome,
                  WIFSIGNALED(status) ? WTERMSIG(status) : 0, usage.ru_maxrss / 1024);
  return ok;
}

static void
test_broken_files(void **state G_GNUC_UNUSED)
{
  const char *shared = g_getenv("PW_SHARED");
  g_autofree char *folder = g_build_filename(shared != NULL ? shared : "", "cases/broken", NULL);
  g_autofree char *truth = g_build_filename(folder, "truth.json", NULL);
  g_autoptr(JsonParser) parser = json_parser_new();
  if (!json_parser_load_from_file(parser, truth, NULL)) {
    print_message("# no cases/broken beside the project: the broken files are absent\n");
    skip();
  }
  JsonArray *cases =
      json_object_get_array_member(json_node_get_object(json_parser_get_root(parser)), "cases");
  guint good = 0, n = json_array_get_length(cases);
  for (guint i = 0; i < n; i++) {
    JsonObject *one = json_array_get_object_element(cases, i);
    g_autofree char *path =
        g_build_filename(folder, json_object_get_string_member(one, "file"), NULL);
    good += check_file(path, json_object_get_string_member(one, "expect")) ? 1 : 0;
  }
  print_message("# %u of %u broken files as expected\n", good, n);
  assert_true(n > 0);
  assert_int_equal(good, n);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_broken_files),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
