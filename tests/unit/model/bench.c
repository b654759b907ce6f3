#include "bench.h"

#include <ftw.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

int
bench_begin(void **state)
{
  Bench *bench = g_new0(Bench, 1);
  bench->folder = g_dir_make_tmp("platewright-model-XXXXXX", NULL);
  bench->complaints = pw_complaints_new();
  *state = bench;
  return bench->folder ? 0 : -1;
}

static int
remove_one(const char *path, const struct stat *st, int kind, struct FTW *where)
{
  (void)st;
  (void)kind;
  (void)where;
  return remove(path);
}

void
bench_clear_folder(const char *folder)
{
  nftw(folder, remove_one, 8, FTW_DEPTH | FTW_PHYS);
}

int
bench_end(void **state)
{
  Bench *bench = *state;
  pw_model_free(bench->model);
  pw_complaints_free(bench->complaints);
  bench_clear_folder(bench->folder);
  g_free(bench->folder);
  g_free(bench);
  return 0;
}

void
bench_write(Bench *bench, const char *name, const char *text)
{
  g_autofree char *path = g_build_filename(bench->folder, name, NULL);
  g_autofree char *parent = g_path_get_dirname(path);
  assert_int_equal(g_mkdir_with_parents(parent, 0755), 0);
  assert_true(g_file_set_contents(path, text, -1, NULL));
}

void
bench_photo(Bench *bench, const char *name, const char *text)
{
  g_autofree char *sidecar = g_strconcat(name, ".yaml", NULL);
  g_autofree char *whole =
      g_strconcat("format: platewright-photo 1\nphoto: {size: 1000 x 1000}\n", text, NULL);
  bench_write(bench, name, "");
  bench_write(bench, sidecar, whole);
}

void
bench_volume(Bench *bench, const char *text)
{
  g_autofree char *whole = g_strconcat("format: platewright-volume 1\n", text, NULL);
  bench_write(bench, "volume.yaml", whole);
}

static void
open_folder(Bench *bench, gboolean headers, guint errors)
{
  PwModelOptions options = {.headers = headers};
  g_autoptr(GError) error = NULL;
  bench->model = pw_model_open(bench->folder, &options, bench->complaints, &error);
  if (bench->model == NULL)
    fail_msg("%s", error->message);
  guint found = pw_complaints_count(bench->complaints, PW_SEVERITY_ERROR);
  for (guint i = 0; found != errors && i < pw_complaints_n(bench->complaints); i++) {
    g_autofree char *text = pw_complaint_dup_text(pw_complaints_peek(bench->complaints, i));
    print_message("# %s\n", text);
  }
  assert_int_equal(found, errors);
}

void
bench_open(Bench *bench, guint errors)
{
  open_folder(bench, FALSE, errors);
}

int
bench_photo_begin(void **state)
{
  (void)state;
  return pw_photo_startup(NULL) ? 0 : -1;
}

int
bench_photo_end(void **state)
{
  (void)state;
  pw_photo_shutdown();
  return 0;
}

void
bench_open_pictures(Bench *bench, guint errors)
{
  open_folder(bench, TRUE, errors);
}

const char *
bench_complaint(const Bench *bench, const char *kind)
{
  for (guint i = 0; i < pw_complaints_n(bench->complaints); i++)
    if (strcmp(pw_complaints_peek(bench->complaints, i)->kind, kind) == 0)
      return pw_complaints_peek(bench->complaints, i)->says;
  return NULL;
}

gboolean
bench_has_complaint(const Bench *bench, const char *kind)
{
  return bench_complaint(bench, kind) != NULL;
}

void
bench_assert_near(double got, double wanted, double rounding)
{
  if (!(fabs(got - wanted) <= rounding))
    fail_msg("got %.12g, wanted %.12g within %g", got, wanted, rounding);
}
