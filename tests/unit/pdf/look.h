/* What the tests of pdf look at a file with: tools that are not ours. */
#ifndef PW_TEST_PDF_LOOK_H
#define PW_TEST_PDF_LOOK_H

#include <platewright/pdf.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

/* A document with the usual facts, on which one page of 210 x 100 mm is begun. */
PwPdf *look_new(void);
/* Finishes and frees it; `why` may be NULL. Fails the test when there is no file. */
GBytes *look_finish(PwPdf *pdf, gboolean *archival, char **why);
/* A face of that family, 10 pt on 12. */
PwFace look_face(const char *family);
/* Draws one line at x = 20 mm. */
void look_line(PwPdf *pdf, const PwFace *face, const char *words, double y_mm);

/* A JPEG of noise, baseline, with 1 or 3 channels. */
GBytes *look_jpeg(int width, int height, int channels);

/* What the tool says of the file, written to disk for it: "{}" among the arguments stands for the
 * path. Skips the test, with a line that says so, when the tool is not here. `status` may be NULL.
 */
char *look_with(GBytes *pdf, int *status, const char *tool, ...) G_GNUC_NULL_TERMINATED;
/* The verdict of tests/tools/preflight, its reasons too. */
char *look_preflight(GBytes *pdf);
/* Every object in full, streams uncompressed. */
char *look_objects(GBytes *pdf);
void assert_holds(const char *text, const char *words);
void assert_holds_not(const char *text, const char *words);

#endif
