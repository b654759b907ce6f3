/* A photograph for the command tests: cards of the designs on a table, seen by a camera of which
 * all is known (tests/unit/card/scene.h).
 *
 *   make-scene OUT.jpg WIDTH HEIGHT SEED "id1 a,0.3,600,400,10,30,5" ...
 *
 * Each card: its name, its width as a part of the picture's, where its centre is seen, tilt,
 * towards where, roll; and "mirrored" at the end for one printed the wrong way round. The camera
 * has a lens of 50 mm on 36 mm of sensor, and EXIF says so. Prints a line for each card: nine
 * numbers, the homography from mm on the card to px. */
#include "../unit/card/scene.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <vips/vips.h>

static const double FOCAL_MM = 50, SENSOR_MM = 36;
enum { FIGURES = 6 };

static void
paint_card(const char *text, Chance *chance, PwPlane *plane)
{
  g_auto(GStrv) words = g_strsplit(text, ",", 0);
  PwHomography to_px;
  double figures[FIGURES];
  Scene scene = scene_by_chance(chance, PW_CARD_ID1, 0, 0.3, plane->width);
  if (g_strv_length(words) < 1 + FIGURES || !pw_card_parse(words[0], &scene.size, &scene.copy) ||
      scene.copy < 0)
    g_error("%s: no copy of a card", text);
  for (int i = 0; i < FIGURES; i++)
    if (!pw_parse_double(words[1 + i], &figures[i]))
      g_error("%s: no number", words[1 + i]);
  scene.of_width = figures[0];
  scene.x = figures[1];
  scene.y = figures[2];
  scene.tilt_deg = figures[3];
  scene.tilt_towards_deg = figures[4];
  scene.roll_deg = figures[5];
  double on_sensor_mm = scene.of_width * SENSOR_MM; /* so large is the card there */
  double magnification = on_sensor_mm / pw_card_design(scene.size)->width_mm;
  scene.focal_px = plane->width * FOCAL_MM / SENSOR_MM * (1 + magnification);
  scene.mirrored = g_strv_contains((const char *const *)words, "mirrored");
  scene_draw(&scene, chance, plane, &to_px);
  for (int i = 0; i < 9; i++)
    printf("%s%.12g", i > 0 ? " " : "", to_px.m[i]);
  printf("\n");
}

static void
save(const PwPlane *plane, const char *path)
{
  VipsImage *image = NULL;
  VipsImage *grey = vips_image_new_from_memory(plane->pixels, plane->stride * (gsize)plane->height,
                                               plane->width, plane->height, 1, VIPS_FORMAT_UCHAR);
  if (vips_copy(grey, &image, "interpretation", VIPS_INTERPRETATION_B_W, NULL) != 0)
    g_error("%s", vips_error_buffer());
  vips_image_set_string(image, "exif-ifd0-Make", "Larkfield (Larkfield, ASCII, 10 components)");
  vips_image_set_string(image, "exif-ifd0-Model", "LF-24 (LF-24, ASCII, 6 components)");
  vips_image_set_string(image, "exif-ifd2-FocalLength", "50/1 (50.0 mm, Rational, 1 components)");
  vips_image_set_string(image, "exif-ifd2-FocalLengthIn35mmFilm", "50 (50, Short, 1 components)");
  if (vips_image_write_to_file(image, path, NULL) != 0)
    g_error("%s", vips_error_buffer());
  g_object_unref(image);
  g_object_unref(grey);
}

int
main(int argc, char **argv)
{
  if (argc < 5 || VIPS_INIT(argv[0]) != 0) {
    fprintf(stderr, "make-scene OUT WIDTH HEIGHT SEED CARD ...\n");
    return 2;
  }
  Chance chance = {strtoull(argv[4], NULL, 10) + 1};
  PwPlane plane = scene_table(atoi(argv[2]), atoi(argv[3]), chance.state);
  for (int i = 5; i < argc; i++)
    paint_card(argv[i], &chance, &plane);
  save(&plane, argv[1]);
  pw_plane_clear(&plane);
  vips_shutdown();
  return 0;
}
