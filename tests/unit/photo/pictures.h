/* Pictures that the tests of the photo module make for themselves: flat or drawn, in every kind
 * of samples, with or without a profile, in a folder that is removed at the end.
 */
#ifndef PW_TEST_PICTURES_H
#define PW_TEST_PICTURES_H

#include <platewright/photo.h>
#include <vips/vips.h>

/* Group setup and teardown: starts the module, makes and removes the folder. */
int pictures_setup(void **state);
int pictures_teardown(void **state);
/* A name in the folder; the caller's. */
char *picture_path(const char *name);
/* ../shared/cases/NAME, or a skipped test. The caller's. */
char *shared_case(const char *name);

/* A flat picture of one colour, in the samples' own numbers. */
VipsImage *flat_picture(int width, int height, int bands, VipsBandFormat format,
                        VipsInterpretation kind, const double *values);
/* Soft coloured noise that differs everywhere: 8-bit sRGB, the same for the same size. */
VipsImage *noise_picture(int width, int height);
/* Saves by the name's ending (.jpg at quality 98, .png, .tif, ...) and drops the image. The path is
 * the caller's. `profile` may be NULL. */
char *save_picture(VipsImage *image, const char *name, GBytes *profile);

/* All of the photograph rendered as asked for; fails the test when that cannot be done. */
PwPlane render_path(const char *path, const PwRender *render);
/* The mean of each channel over the middle of the plane (a margin of a fifth left out). */
void plane_mean(const PwPlane *plane, double mean[3]);
/* The error of opening and rendering, or NULL when both went well. The caller's. */
char *refusal_of(const char *path);

#endif
