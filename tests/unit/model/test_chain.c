/* The whole chain: the card's own PDF, printed by pdftoppm, lies before a camera of which
 * everything is known, is photographed, and a model opened on the photograph gives the sizes of
 * marks.
 *
 * Every input that docs/measuring.md calls uncertain is drawn from the distribution given there:
 * the printer's stretch and the reading of the check lines, the height of the measured surface, the
 * camera's focal length, a lens that nobody corrected, the hand that draws. The tags' corners are
 * found in the picture, with its blur, noise and JPEG. So (value - truth) / u must be about 1 in
 * the root mean square. The camera, the plane and the truth are the tests' own.
 */
#include <platewright/card.h>
#include <platewright/model.h>

#include "bench.h"
#include "pinhole.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>
#include <vips/vips.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

enum { N_SCENES = 200, WIDTH = 2400, HEIGHT = 1800, DPI = 300, N_PAGES = 3, MOST_KNOTS = 12 };
static const double PAGE_WIDTH_MM = 210, PAGE_HEIGHT_MM = 297;
static const double FOCAL_MM = 50, PIXEL_MM = 0.012;
static const double CHECK_TOLERANCE_MM = 0.2;
static const double STEADY_PX = 0.25;
static const PwCardSize SIZES[N_PAGES] = {PW_CARD_ID1, PW_CARD_A6, PW_CARD_STRIP};
/* What each page holds for certain. */
static const int COPIES[N_PAGES] = {4, 2, 4};

/* ---- Dice; one for a scene --------------------------------------------------------- */

/* Of unit variance, near enough to normal for a sensor: four even bytes at once (Irwin and Hall).
 */
static double
rough_normal(Dice *dice)
{
  *dice = *dice * 6364136223846793005u + 1442695040888963407u;
  guint32 bits = (guint32)(*dice >> 32);
  double sum = (bits & 255) + (bits >> 8 & 255) + (bits >> 16 & 255) + (bits >> 24);
  return (sum - 510) / 147.8; /* sqrt(4 (256^2 - 1) / 12) */
}

/* ---- The printed page -------------------------------------------------------------- */

typedef struct {
  guint8 *grey;
  int width, height;
} Page;

static Page pages[N_PAGES];
static char *folder;

/* A binary PGM as pdftoppm writes it: "P5\nW H\n255\n". */
static gboolean
read_pgm(const char *path, Page *page)
{
  g_autofree char *data = NULL;
  gsize length;
  int most, head = 0;
  if (!g_file_get_contents(path, &data, &length, NULL) ||
      sscanf(data, "P5 %d %d %d%n", &page->width, &page->height, &most, &head) != 3 || most != 255)
    return FALSE;
  gsize n = (gsize)page->width * (gsize)page->height;
  if (length < (gsize)head + 1 + n)
    return FALSE;
  page->grey = g_memdup2(data + head + 1, n);
  return TRUE;
}

static void
print_page(PwCardSize size, Page *page)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(GBytes) pdf = pw_card_make_pdf(size, PAGE_WIDTH_MM, PAGE_HEIGHT_MM, &error);
  if (pdf == NULL)
    fail_msg("%s", error->message);
  g_autofree char *from = g_build_filename(folder, "card.pdf", NULL);
  g_autofree char *to = g_build_filename(folder, "card", NULL);
  g_autofree char *dpi = g_strdup_printf("%d", DPI);
  g_autofree char *pgm = g_strconcat(to, ".pgm", NULL);
  const char *argv[] = {"pdftoppm", "-r", dpi, "-gray", "-singlefile", from, to, NULL};
  int status;
  assert_true(
      g_file_set_contents(from, g_bytes_get_data(pdf, NULL), (gssize)g_bytes_get_size(pdf), NULL));
  assert_true(g_spawn_sync(NULL, (char **)argv, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL, NULL,
                           &status, NULL));
  assert_int_equal(status, 0);
  assert_true(read_pgm(pgm, page));
  g_remove(from);
  g_remove(pgm);
}

/* What is printed at a place of the page as it was drawn, mm from its middle; -1 beside the page.
 */
static double
ink_at(const Page *page, double x, double y)
{
  double u = (x + PAGE_WIDTH_MM / 2) * DPI / 25.4 - 0.5;
  double v = (y + PAGE_HEIGHT_MM / 2) * DPI / 25.4 - 0.5;
  int i = (int)floor(u), j = (int)floor(v);
  if (i < 0 || j < 0 || i + 1 >= page->width || j + 1 >= page->height)
    return -1;
  double s = u - i, t = v - j;
  const guint8 *p = page->grey + (gsize)j * (gsize)page->width + i;
  return (1 - t) * ((1 - s) * p[0] + s * p[1]) +
         t * ((1 - s) * p[page->width] + s * p[page->width + 1]);
}

/* ---- The camera -------------------------------------------------------------------- */

typedef struct {
  int page, copy;
  double stretch[2]; /* printed over drawn */
  gboolean is_measured;
  double check[2]; /* as read off the check lines */
  Pinhole camera;  /* and the page as it lies before it */
  double offset_mm, true_offset_mm;
  double blur_px, noise;
  double hand, outlining_half, outlining; /* px */
} View;

/* The page's homography: [x y 1] on the page to a pinhole's px about the middle, inverted. */
static void
page_from_px(const View *view, double back[9])
{
  const Vec *a = &view->camera.right, *b = &view->camera.down, *m = &view->camera.middle;
  double c = view->camera.c;
  double h[9] = {c * a->x, c * b->x, c * m->x, c * a->y, c * b->y, c * m->y, a->z, b->z, m->z};
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++) { /* the adjugate: scale does not matter */
      int r = (j + 1) % 3, s = (j + 2) % 3, p = (i + 1) % 3, q = (i + 2) % 3;
      back[3 * i + j] = h[3 * r + p] * h[3 * s + q] - h[3 * r + q] * h[3 * s + p];
    }
}

/* Two by two rays a pixel; the bench about the page is dark. */
static guint8
exposed(const View *view, const double back[9], int i, int j, Dice *dice)
{
  double sum = 0, spread = view->blur_px;
  for (int k = 0; k < 4; k++) {
    PwPx seen = {i + 0.5 + (k % 2 ? spread : -spread) - WIDTH / 2.0,
                 j + 0.5 + (k / 2 ? spread : -spread) - HEIGHT / 2.0};
    PwPx p = pinhole_straightened(&view->camera, seen);
    double w = back[6] * p.x + back[7] * p.y + back[8];
    double x = (back[0] * p.x + back[1] * p.y + back[2]) / w / view->stretch[0];
    double y = (back[3] * p.x + back[4] * p.y + back[5]) / w / view->stretch[1];
    double ink = ink_at(&pages[view->page], x, y);
    sum += ink < 0 ? 60 : 25 + 0.8 * ink;
  }
  double level = sum / 4 + view->noise * rough_normal(dice) + 0.5;
  return (guint8)CLAMP(level, 0, 255);
}

static gboolean
photograph(const View *view, const char *path, Dice *dice)
{
  g_autofree guint8 *grey = g_malloc((gsize)WIDTH * HEIGHT);
  double back[9];
  page_from_px(view, back);
  for (int j = 0; j < HEIGHT; j++)
    for (int i = 0; i < WIDTH; i++)
      grey[(gsize)j * WIDTH + (gsize)i] = exposed(view, back, i, j, dice);
  VipsImage *image = vips_image_new_from_memory_copy(grey, (gsize)WIDTH * HEIGHT, WIDTH, HEIGHT, 1,
                                                     VIPS_FORMAT_UCHAR);
  g_autofree char *per_cm = g_strdup_printf("%.0f/1", 10 / PIXEL_MM);
  vips_image_set_string(image, "exif-ifd2-FocalLength", "50/1");
  vips_image_set_string(image, "exif-ifd2-FocalPlaneXResolution", per_cm);
  vips_image_set_string(image, "exif-ifd2-FocalPlaneYResolution", per_cm);
  vips_image_set_string(image, "exif-ifd2-FocalPlaneResolutionUnit", "3");
  gboolean done = vips_jpegsave(image, path, "Q", 92, NULL) == 0;
  g_object_unref(image);
  return done;
}

/* ---- A scene ----------------------------------------------------------------------- */

/* The camera at rest sees the page so large; f (1 + m) with the magnification m in the middle. What
 * is wrong with the focal length puts the camera further off, and the page looks the same. */
static void
set_camera(View *view, Dice *dice)
{
  double rad = G_PI / 180, roll = dice_between(dice, 180) * rad;
  double lean_x = dice_between(dice, 22) * rad, lean_y = dice_between(dice, 22) * rad;
  double px_per_mm = 5.3 + dice_between(dice, 0.3), wrong = 1 + dice_between(dice, 0.10);
  double c = FOCAL_MM / PIXEL_MM * (1 + PIXEL_MM * px_per_mm), depth = c / px_per_mm;
  if (fabs(sin(roll)) < 0.7) /* upright pages would not fit */
    roll += 90 * rad;
  view->camera = (Pinhole){.width = WIDTH, .height = HEIGHT, .c = c * wrong};
  pinhole_lean(&view->camera, lean_x, lean_y, roll);
  view->camera.middle = (Vec){dice_between(dice, 8), dice_between(dice, 8), depth * wrong};
  view->camera.lens = dice_between(dice, 0.01);
}

static void
set_print(View *view, Dice *dice)
{
  view->is_measured = dice_even(dice) < 0.5;
  for (int i = 0; i < 2; i++) {
    view->stretch[i] = 1 + dice_between(dice, 0.005);
    view->check[i] = 100 * view->stretch[i] + dice_between(dice, CHECK_TOLERANCE_MM);
  }
}

static View
scene_view(guint scene, Dice *dice)
{
  static const double offsets[] = {0, 0, 6, 25};
  View view = {.page = (int)(scene % N_PAGES)};
  view.copy = (int)(dice_even(dice) * COPIES[view.page]);
  set_print(&view, dice);
  set_camera(&view, dice);
  view.offset_mm = offsets[scene / N_PAGES % G_N_ELEMENTS(offsets)];
  view.true_offset_mm = view.offset_mm + dice_between(dice, 1);
  view.blur_px = 0.3 + 0.3 * dice_even(dice);
  view.noise = 1 + 3 * dice_even(dice);
  /* Every other hand is steady, so that what is wrong with the scale cannot hide behind it. */
  view.hand = scene % 2 ? STEADY_PX : 2;
  view.outlining_half = scene % 2 ? STEADY_PX : 1;
  view.outlining = dice_between(dice, view.outlining_half);
  return view;
}

/* ---- The mark ---------------------------------------------------------------------- */

typedef struct {
  PwMm at[MOST_KNOTS];
  int n;
} Ring;

/* A blot with edges longer than the 40 px that make every vertex a knot. */
static Ring
blot(Dice *dice)
{
  Ring ring = {.n = 8 + (int)(dice_even(dice) * 5)};
  PwMm middle = {dice_between(dice, 25), dice_between(dice, 40)};
  for (int i = 0; i < ring.n; i++) {
    double angle = 2 * G_PI * i / ring.n, radius = 26 + dice_between(dice, 3);
    ring.at[i] = (PwMm){middle.x + 1.3 * radius * cos(angle), middle.y + radius * sin(angle)};
  }
  return ring;
}

/* With the habit of keeping outside, and then the hand's errors. */
static void
draw_by_hand(const View *view, const Ring *ring, PwPx *out, Dice *dice)
{
  PwPx p[MOST_KNOTS];
  for (int i = 0; i < ring->n; i++)
    p[i] = pinhole_seen(&view->camera, ring->at[i].x, ring->at[i].y, view->true_offset_mm);
  hand_keeps_outside(p, ring->n, view->outlining, out);
  for (int i = 0; i < ring->n; i++) {
    out[i].x += dice_normal(dice, view->hand);
    out[i].y += dice_normal(dice, view->hand);
  }
}

enum { AREA, PERIMETER, LONGEST, N_KINDS };
static const char *const KINDS[N_KINDS] = {"area", "perimeter", "longest"};

static void
truth_of(const Ring *ring, double truth[N_KINDS])
{
  truth[AREA] = truth[PERIMETER] = truth[LONGEST] = 0;
  for (int i = 0; i < ring->n; i++) {
    PwMm a = ring->at[i], b = ring->at[(i + 1) % ring->n];
    truth[AREA] += (a.x * b.y - b.x * a.y) / 2;
    truth[PERIMETER] += hypot(b.x - a.x, b.y - a.y);
    for (int j = 0; j < i; j++)
      truth[LONGEST] = fmax(truth[LONGEST], hypot(a.x - ring->at[j].x, a.y - ring->at[j].y));
  }
  truth[AREA] = fabs(truth[AREA]);
}

/* ---- The record -------------------------------------------------------------------- */

static gboolean
write_text(const char *where, const char *name, const char *text)
{
  g_autofree char *path = g_build_filename(where, name, NULL);
  return g_file_set_contents(path, text, -1, NULL);
}

static gboolean
write_volume(const View *view, const char *where)
{
  g_autofree char *design = pw_card_dup_name(SIZES[view->page], view->copy);
  g_autoptr(GString) text = g_string_new("format: platewright-volume 1\nvolume: {id: CHAIN}\n");
  g_string_append_printf(text, "cards:\n  bench: {design: \"%s\"", design);
  if (view->is_measured)
    g_string_append_printf(text, ", check-along: %.4f, check-across: %.4f, tolerance: %g",
                           view->check[0], view->check[1], CHECK_TOLERANCE_MM);
  g_string_append(text, "}\n");
  return write_text(where, "volume.yaml", text->str);
}

static gboolean
write_sidecar(const View *view, const Ring *ring, const char *where, Dice *dice)
{
  PwPx drawn[MOST_KNOTS];
  draw_by_hand(view, ring, drawn, dice);
  g_autoptr(GString) text = g_string_new("format: platewright-photo 1\n");
  g_string_append_printf(text,
                         "photo: {size: %d x %d}\nstage: before\nview: front board\n"
                         "scale: {tags: bench, plane-offset: %g}\n"
                         "uncertainty: {outline: %g, outlining: %g}\n"
                         "marks:\n  - {id: 1, term: loss, part: leaf, outline: \"",
                         WIDTH, HEIGHT, view->offset_mm, view->hand, view->outlining_half);
  for (int i = 0; i < ring->n; i++)
    g_string_append_printf(text, "%s%.3f,%.3f", i ? " " : "", drawn[i].x, drawn[i].y);
  g_string_append(text, "\"}\n");
  return write_text(where, "scene.jpg.yaml", text->str);
}

/* ---- Measuring --------------------------------------------------------------------- */

typedef struct {
  char *why; /* NULL: measured */
  double z[N_KINDS], of_U[N_KINDS];
} Result;

static void
compare(const PwModel *model, const double truth[N_KINDS], Result *result)
{
  const PwModelPhoto *photo = pw_model_n_photos(model) ? pw_model_peek_photo(model, 0) : NULL;
  if (photo == NULL || photo->n_marks != 1 || !photo->marks[0].sized) {
    const char *why = photo && photo->n_marks ? photo->marks[0].why : NULL;
    result->why = g_strdup(why ? why : "no mark");
    return;
  }
  const PwShapeSizes *sizes = &photo->marks[0].sizes;
  const PwSize *by_kind[N_KINDS] = {&sizes->area_mm2, &sizes->perimeter_mm, &sizes->longest_mm};
  for (int k = 0; k < N_KINDS; k++) {
    PwQuantity quantity = pw_size_quantity(by_kind[k]);
    result->z[k] = (quantity.value - truth[k]) / quantity.u;
    result->of_U[k] =
        fabs(quantity.value - truth[k]) / (pw_coverage_factor(quantity.dof) * quantity.u);
  }
}

static void
run_scene(void *user, guint scene)
{
  Result *result = (Result *)user + scene;
  Dice dice = 77 + 7919 * (guint64)scene;
  double truth[N_KINDS];
  View view = scene_view(scene, &dice);
  Ring ring = blot(&dice);
  truth_of(&ring, truth);
  g_autofree char *where = g_strdup_printf("%s/%u", folder, scene);
  g_autofree char *picture = g_build_filename(where, "scene.jpg", NULL);
  if (g_mkdir(where, 0700) != 0 || !write_volume(&view, where) ||
      !write_sidecar(&view, &ring, where, &dice) || !photograph(&view, picture, &dice)) {
    result->why = g_strdup("the scene could not be written");
    return;
  }
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwModelOptions options = {.headers = TRUE};
  g_autoptr(PwModel) model = pw_model_open(where, &options, complaints, &error);
  if (model != NULL)
    compare(model, truth, result);
  else
    result->why = g_strdup(error->message);
  bench_clear_folder(where);
}

/* The bounds: a root mean square of 1.1, and no error beyond three times what +- says. */
static void
judge(const Result *results, int k)
{
  double squares[2] = {0, 0}, worst = 0;
  for (guint i = 0; i < N_SCENES; i++) {
    squares[i % 2] += results[i].z[k] * results[i].z[k];
    worst = fmax(worst, results[i].of_U[k]);
  }
  double rms = sqrt((squares[0] + squares[1]) / N_SCENES);
  print_message("# %s: RMS of (value - truth) / u is %.3f (%.3f by a usual hand, %.3f by a steady "
                "one), worst error %.2f U\n",
                KINDS[k], rms, sqrt(2 * squares[0] / N_SCENES), sqrt(2 * squares[1] / N_SCENES),
                worst);
  assert_true(rms <= 1.1);
  assert_true(rms >= 0.8); /* nor may u be idly large */
  assert_true(worst <= 3);
}

static void
errors_are_what_u_says(void **state)
{
  (void)state;
  Result results[N_SCENES] = {0};
  int n = 0;
  for (int i = 0; i < N_PAGES; i++)
    print_page(SIZES[i], &pages[i]);
  pw_each(N_SCENES, 0, run_scene, results);
  for (guint i = 0; i < N_SCENES; i++) {
    if (results[i].why)
      print_message("# scene %u (%s): %s\n", i, pw_card_design(SIZES[i % N_PAGES])->name,
                    results[i].why);
    n += results[i].why ? 0 : 1;
    g_free(results[i].why);
  }
  assert_int_equal(n, N_SCENES);
  for (int k = 0; k < N_KINDS; k++)
    judge(results, k);
  for (int i = 0; i < N_PAGES; i++)
    g_free(pages[i].grey);
}

static int
begin(void **state)
{
  (void)state;
  folder = g_dir_make_tmp("platewright-chain-XXXXXX", NULL);
  return folder != NULL && pw_photo_startup(NULL) ? 0 : -1;
}

static int
end(void **state)
{
  (void)state;
  bench_clear_folder(folder);
  g_free(folder);
  pw_photo_shutdown();
  return 0;
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(errors_are_what_u_says)};
  return cmocka_run_group_tests(tests, begin, end);
}
