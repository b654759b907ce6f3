/* Tags in photographs that others took, with corners that others published: the AprilTag library's
 * own test pictures (../shared/cases/apriltag/nasa). Their corners are in that library's pixels,
 * whose first centre is at 0.5,0.5 as ours. And no card in photographs that hold none.
 */
#include "../../reference/rows.h"
#include "card/see.h"

#include <json-glib/json-glib.h>
#include <math.h>
#include <platewright/photo.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>
#include <jpeglib.h>

/* As the library's own test asks of the mode in which the corners were made. Two of the 22 tags
 * miss it: Debian's version 3.3 called plainly, with its own settings, on the same Y plane has them
 * where ours are (0.11 and 0.14 px off, the others 0.04 px at most), and no other setting or way of
 * decoding brought them nearer: the corners were published with another version. */
static const double PUBLISHED_PX = 0.1;
static const struct {
  const char *file;
  guint number;
  double off_px;
} OTHER_VERSION[] = {
    {"nasa/33369213973_9d9bb4cc96_c.jpg", 2, 0.115},
    {"nasa/34139872896_defdb2f8d9_c.jpg", 8, 0.145},
};
/* Published without refinement, corners stand up to 0.6 px off: edges lie on whole columns in
 * places
 * ("449.0" twice, of a square that leans). Where ours lie further from them than REFINED_PX, the
 * picture is asked: tests/reference/tags.py lays the whole tag over it, from the published corners
 * on. Then ours must lie by its corners, which leave clearly less of the picture unexplained. */
static const double REFINED_PX = 0.5, FITTED_PX = 0.3, CLEARLY_LESS = 0.95;

static char *
shared_case(const char *name)
{
  const char *shared = g_getenv("PW_SHARED");
  char *path = g_build_filename(shared != NULL ? shared : "", "cases", name, NULL);
  if (shared == NULL || !g_file_test(path, G_FILE_TEST_EXISTS)) {
    print_message("# no %s beside the project: the photographs with published truths are absent\n",
                  name);
    g_free(path);
    skip();
  }
  return path;
}

/* The Y plane of a JPEG by the exact transform, as the AprilTag library's own reader gives it:
 * without refinement one grey level moves a corner by a tenth of a pixel. */
static PwPlane
read_y(const char *path)
{
  struct jpeg_decompress_struct jpeg;
  struct jpeg_error_mgr errors;
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  jpeg.err = jpeg_std_error(&errors);
  jpeg_create_decompress(&jpeg);
  jpeg_stdio_src(&jpeg, file);
  jpeg_read_header(&jpeg, TRUE);
  jpeg.out_color_space = JCS_GRAYSCALE;
  jpeg.dct_method = JDCT_FLOAT;
  jpeg_start_decompress(&jpeg);
  PwPlane plane = {g_malloc((gsize)jpeg.output_width * jpeg.output_height), (int)jpeg.output_width,
                   (int)jpeg.output_height, 1, jpeg.output_width};
  while (jpeg.output_scanline < jpeg.output_height) {
    JSAMPROW row = plane.pixels + jpeg.output_scanline * plane.stride;
    jpeg_read_scanlines(&jpeg, &row, 1);
  }
  jpeg_finish_decompress(&jpeg);
  jpeg_destroy_decompress(&jpeg);
  fclose(file);
  return plane;
}

/* FALSE where the file is none that can be read. */
static gboolean
read_grey(const char *path, PwPlane *plane)
{
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  return photo != NULL && pw_photo_grey(photo, plane, NULL);
}

/* ---- Published corners ------------------------------------------------------------- */

static PwTag
published_tag(JsonObject *one)
{
  PwTag tag = {.id = (int)json_object_get_int_member(one, "id")};
  JsonArray *corners = json_object_get_array_member(one, "corners_px");
  for (guint i = 0; i < 4; i++) {
    JsonArray *xy = json_array_get_array_element(corners, i);
    /* Published from the lower left against the clock as printed. */
    tag.corners[3 - i] =
        (PwPx){json_array_get_double_element(xy, 0), json_array_get_double_element(xy, 1)};
  }
  return tag;
}

static double
worst_corner(const PwTag *a, const PwTag *b)
{
  double worst = a->id == b->id ? 0 : HUGE_VAL;
  for (int i = 0; i < 4; i++)
    worst =
        fmax(worst, hypot(a->corners[i].x - b->corners[i].x, a->corners[i].y - b->corners[i].y));
  return worst;
}

typedef struct {
  const char *file;
  guint number; /* of the tag among those of the file */
  PwTag published, seen;
  double off_px;
} Compared;

static void
compare_photograph(const char *folder, JsonObject *one, const PwTagWay *way, GArray *compared)
{
  const char *file = json_object_get_string_member(one, "file");
  g_autofree char *path = g_build_filename(folder, file, NULL);
  JsonArray *published = json_object_get_array_member(one, "tags");
  g_autoptr(GArray) tags = g_array_new(FALSE, FALSE, sizeof(PwSeenTag));
  PwPlane plane = read_y(path);
  pw_tags_see(&plane, way, tags);
  for (guint i = 0; i < json_array_get_length(published); i++) {
    Compared this = {g_intern_string(file), i, .off_px = HUGE_VAL};
    this.published = published_tag(json_array_get_object_element(published, i));
    for (guint k = 0; k < tags->len; k++) {
      const PwTag *seen = &g_array_index(tags, PwSeenTag, k).tag;
      double off = worst_corner(seen, &this.published);
      if (off < this.off_px) {
        this.off_px = off;
        this.seen = *seen;
      }
    }
    g_array_append_val(compared, this);
  }
  pw_plane_clear(&plane);
}

/* An array of Compared: all 22 published tags. */
static GArray *
compare_all(const PwTagWay *way)
{
  g_autofree char *folder = shared_case("apriltag");
  g_autofree char *path = g_build_filename(folder, "truth.json", NULL);
  g_autoptr(JsonParser) parser = json_parser_new();
  GArray *compared = g_array_new(FALSE, FALSE, sizeof(Compared));
  assert_true(json_parser_load_from_file(parser, path, NULL));
  JsonArray *cases =
      json_object_get_array_member(json_node_get_object(json_parser_get_root(parser)), "cases");
  for (guint i = 0; i < json_array_get_length(cases); i++) {
    JsonObject *one = json_array_get_object_element(cases, i);
    if (g_str_has_prefix(json_object_get_string_member(one, "file"), "nasa/"))
      compare_photograph(folder, one, way, compared);
  }
  assert_int_equal(compared->len, 22);
  return compared;
}

static void
published_corners_as_made(void **state G_GNUC_UNUSED)
{
  const PwTagWay theirs = {.decimation = 1};
  g_autoptr(GArray) compared = compare_all(&theirs);
  double worst = 0;
  for (guint i = 0; i < compared->len; i++) {
    const Compared *tag = &g_array_index(compared, Compared, i);
    double allowed = PUBLISHED_PX;
    for (gsize k = 0; k < G_N_ELEMENTS(OTHER_VERSION); k++)
      if (strcmp(tag->file, OTHER_VERSION[k].file) == 0 && tag->number == OTHER_VERSION[k].number)
        allowed = OTHER_VERSION[k].off_px;
    if (allowed > PUBLISHED_PX)
      print_message("# %s, tag %u: off by %.3f px, as by the library alone\n", tag->file,
                    tag->number, tag->off_px);
    else
      worst = fmax(worst, tag->off_px);
    assert_true(tag->off_px <= allowed);
  }
  print_message(
      "# decimation 1, not refined: the other %u tags within %.3f px of those published\n",
      compared->len - (guint)G_N_ELEMENTS(OTHER_VERSION), worst);
}

/* The tag's corners by the picture itself; FALSE where those published explain it as well. */
static gboolean
fitted_tag(const Compared *compared, PwTag *fitted)
{
  g_autoptr(GPtrArray) rows = reference_rows("tags.csv");
  assert_non_null(rows);
  for (guint i = 0; i < rows->len; i++) {
    char **row = rows->pdata[i];
    if (strcmp(row[0], compared->file) != 0 || strtoul(row[1], NULL, 10) != compared->number)
      continue;
    char *at = row[2];
    fitted->id = compared->published.id;
    for (int corner = 3; corner >= 0; corner--) {
      fitted->corners[corner].x = g_ascii_strtod(at, &at);
      fitted->corners[corner].y = g_ascii_strtod(at, &at);
    }
    return g_ascii_strtod(row[3], NULL) < CLEARLY_LESS * g_ascii_strtod(row[4], NULL);
  }
  return FALSE;
}

static void
published_corners_as_used(void **state G_GNUC_UNUSED)
{
  const PwTagWay ours = {.decimation = 1, .refine = TRUE};
  g_autoptr(GArray) compared = compare_all(&ours);
  guint within = 0;
  for (guint i = 0; i < compared->len; i++) {
    const Compared *tag = &g_array_index(compared, Compared, i);
    PwTag fitted;
    if (tag->off_px <= REFINED_PX) {
      within++;
      continue;
    }
    assert_true(fitted_tag(tag, &fitted));
    double ours_off = worst_corner(&tag->seen, &fitted);
    print_message("# %s, tag %u: %.3f px from the published corners, which are %.3f px from where "
                  "the whole tag fits the picture; ours %.3f px from there\n",
                  tag->file, tag->number, tag->off_px, worst_corner(&tag->published, &fitted),
                  ours_off);
    assert_true(ours_off <= FITTED_PX);
  }
  print_message("# decimation 1, refined: %u of 22 tags within %.1f px of those published\n",
                within, REFINED_PX);
  assert_true(within >= 18);
}

/* ---- Photographs without a card ---------------------------------------------------- */

typedef struct {
  guint photographs, turned, cards, words;
} NoCard;

static void
expect_no_card(const PwPlane *plane, const char *path, NoCard *none)
{
  PwFound found;
  if (!pw_card_find(plane, &found, NULL))
    return;
  none->cards += (guint)found.n_cards;
  for (char **why = found.refused; *why != NULL; why++, none->words++)
    print_message("# %s: %s\n", path, *why);
  pw_found_clear(&found);
}

static PwPlane
dup_quarter_turned(const PwPlane *plane)
{
  PwPlane turned = {g_malloc((gsize)plane->width * (gsize)plane->height), plane->height,
                    plane->width, 1, (gsize)plane->height};
  for (int y = 0; y < plane->height; y++)
    for (int x = 0; x < plane->width; x++)
      turned.pixels[(gsize)x * turned.stride + (gsize)(plane->height - 1 - y)] =
          plane->pixels[(gsize)y * plane->stride + (gsize)x];
  return turned;
}

static void
look_in_file(const char *path, gboolean turn, NoCard *none)
{
  PwPlane plane;
  if (!pw_photo_is_name(path) || !read_grey(path, &plane))
    return;
  if (plane.width >= PW_TAG_SIDE_MIN && plane.height >= PW_TAG_SIDE_MIN) {
    none->photographs++;
    expect_no_card(&plane, path, none);
    if (turn) {
      PwPlane turned = dup_quarter_turned(&plane);
      none->turned++;
      expect_no_card(&turned, path, none);
      pw_plane_clear(&turned);
    }
  }
  pw_plane_clear(&plane);
}

/* A name under the folder may lead to a folder. */
static void
look_in_folder(const char *folder, gboolean turn, NoCard *none)
{
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  for (const char *name; dir != NULL && (name = g_dir_read_name(dir)) != NULL;) {
    g_autofree char *path = g_build_filename(folder, name, NULL);
    if (strcmp(name, "aprilgrid") == 0)
      continue;
    if (g_file_test(path, G_FILE_TEST_IS_DIR))
      look_in_folder(path, turn, none);
    else
      look_in_file(path, turn, none);
  }
}

static void
no_card_where_there_is_none(void **state G_GNUC_UNUSED)
{
  /* Some come turned by a quarter besides, so that there are 200. */
  const struct {
    const char *name;
    gboolean turn;
  } folders[] = {{"books", TRUE}, {"registration", TRUE}, {"ruler", TRUE},
                 {"exif", FALSE}, {"colour", TRUE},       {"planar", FALSE}};
  NoCard none = {0};
  for (gsize i = 0; i < G_N_ELEMENTS(folders); i++) {
    g_autofree char *folder = shared_case(folders[i].name);
    look_in_folder(folder, folders[i].turn, &none);
  }
  print_message("# no card in %u photographs and %u turned by a quarter besides; %u words said\n",
                none.photographs, none.turned, none.words);
  assert_true(none.photographs + none.turned >= 200);
  assert_int_equal(none.cards, 0);
  assert_int_equal(none.words, 0);
}

static int
setup(void **state G_GNUC_UNUSED)
{
  return pw_photo_startup(NULL) ? 0 : -1;
}

static int
teardown(void **state G_GNUC_UNUSED)
{
  pw_photo_shutdown();
  return 0;
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(published_corners_as_made),
      cmocka_unit_test(published_corners_as_used),
      cmocka_unit_test(no_card_where_there_is_none),
  };
  return cmocka_run_group_tests(tests, setup, teardown);
}
