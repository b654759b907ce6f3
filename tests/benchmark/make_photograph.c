/* Writes a photograph that never was for the benchmark: FILE.jpg WIDTH HEIGHT CARD, where CARD is 1
 * for a card of 10 % of the width on the table and 0 for none. */
#include "../unit/card/scene.h"

#include <stdlib.h>
#include <vips/vips.h>

int
main(int n_arguments, char **arguments)
{
  if (n_arguments != 5 || vips_init("make-photograph") != 0)
    return 2;
  int width = atoi(arguments[2]), height = atoi(arguments[3]);
  PwPlane plane = scene_table(width, height, 7);
  Chance chance = {3};
  PwHomography to_px;
  Scene scene = scene_by_chance(&chance, PW_CARD_ID1, 0, 0.1, width);
  if (arguments[4][0] == '1')
    scene_draw(&scene, &chance, &plane, &to_px);
  VipsImage *image = vips_image_new_from_memory(plane.pixels, plane.stride * (gsize)plane.height,
                                                width, height, 1, VIPS_FORMAT_UCHAR);
  VipsImage *colour = NULL;
  /* Cameras write three channels. */
  int result =
      image == NULL || vips_bandjoin((VipsImage *[]){image, image, image}, &colour, 3, NULL);
  result = result || vips_jpegsave(colour, arguments[1], "Q", 92, NULL);
  VIPS_UNREF(colour);
  VIPS_UNREF(image);
  pw_plane_clear(&plane);
  return result ? 3 : 0;
}
