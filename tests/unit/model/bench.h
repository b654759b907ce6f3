/* A volume folder for one test: texts and empty photographs, gone afterwards. */
#ifndef PW_TEST_MODEL_BENCH_H
#define PW_TEST_MODEL_BENCH_H

#include <platewright/model.h>

typedef struct {
  char *folder;
  PwModel *model;
  PwComplaints *complaints;
} Bench;

int bench_begin(void **state);
int bench_end(void **state);
void bench_clear_folder(const char *folder); /* and all in it; safe from several threads */
void bench_write(Bench *bench, const char *name, const char *text);
/* An empty file of that name and its sidecar: `text` after the format line and `size: 1000 x 1000`.
 */
void bench_photo(Bench *bench, const char *name, const char *text);
void bench_volume(Bench *bench, const char *text); /* after the format line */
/* Opens the folder; with `errors` complaints of that severity, or it fails and prints them. */
void bench_open(Bench *bench, guint errors);
/* Of a group whose photographs are opened: its first step and its last. */
int bench_photo_begin(void **state);
int bench_photo_end(void **state);
/* The same, its photographs being real ones that are opened and looked at. */
void bench_open_pictures(Bench *bench, guint errors);
/* In double precision, which cmocka's own is not. */
void bench_assert_near(double got, double wanted, double rounding);
gboolean bench_has_complaint(const Bench *bench, const char *kind);
const char *bench_complaint(const Bench *bench, const char *kind); /* what it says, or NULL */

/* 0.1 mm a pixel: a card of 100 x 60 mm that is 1000 x 600 px. */
#define BENCH_SCALE                                                                 \
  "scale:\n"                                                                        \
  "  rectangle: {corners: \"0,0 1000,0 1000,600 0,600\", width: 100, height: 60}\n" \
  "  plane-offset: 0\n"                                                             \
  "  camera-distance: 800\n"
#define BENCH_SQUARE(x, y) \
  "\"" #x "00," #y "00 " #x "99.9," #y "00 " #x "99.9," #y "99.9 " #x "00," #y "99.9\""

#endif
