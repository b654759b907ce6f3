/* Pdf: Cairo pages with type and pictures, finished as PDF/A-1b. What every PDF of ours passes
 * through.
 *
 * User space on a page is millimetres, origin at the top-left corner of the paper, y down. Only
 * opaque paint, no filters, no extend: PDF/A-1b has no transparency. Type sizes are in points.
 */
#ifndef PLATEWRIGHT_PDF_H
#define PLATEWRIGHT_PDF_H

#include <cairo.h>
#include <platewright/base.h>

PW_BEGIN_DECLS

#define PW_MM_PER_PT (25.4 / 72.0)

typedef struct {
  const char *title, *author, *subject; /* author and subject may be NULL */
  const char *language;                 /* BCP 47, "en" */
  const char *date;                     /* ISO 8601, from the record, never from the clock */
} PwPdfInfo;

typedef struct PwPdf PwPdf;
PwPdf *pw_pdf_new(const PwPdfInfo *info, GError **error);
void pw_pdf_free(PwPdf *pdf);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwPdf, pw_pdf_free)

/* A new page of that size, ended by the next one or by the finish. The context stays the pdf's. */
cairo_t *pw_pdf_begin_page(PwPdf *pdf, double width_mm, double height_mm);
/* A bookmark to the current page; level 0 at the top. */
void pw_pdf_bookmark(PwPdf *pdf, int level, const char *text);
/* Paints a baseline JPEG of width x height px into a box of the page; the bytes go into the file as
 * they are. The same GBytes painted twice is stored once. */
void pw_pdf_draw_jpeg(PwPdf *pdf, GBytes *jpeg, int width, int height, double x_mm, double y_mm,
                      double width_mm, double height_mm);
/* The finished file. `archival` says whether it claims PDF/A-1b; if not, `why` (yours) says why not
 * (a script that no TrueType font here covers). */
GBytes *pw_pdf_finish(PwPdf *pdf, gboolean *archival, char **why, GError **error);

/* The same page for a screen: a document of one page, drawn on by the very same functions, that
 * ends as SVG. It stands alone: words are outlines, JPEGs are in it as they are, nothing is fetched
 * from elsewhere and nothing in it runs. Bookmarks are passed over. */
PwPdf *pw_pdf_new_svg(const PwPdfInfo *info, GError **error);
GBytes *pw_pdf_finish_svg(PwPdf *pdf, GError **error);

/* ---- Type -------------------------------------------------------------------------- */

typedef struct {
  const char *family;
  double size_pt;
  double leading_pt; /* 0: the font's own */
  gboolean bold, italic, tabular;
  double r, g, b;
} PwFace;

/* The TrueType file that words of that face are set from, yours; where the family is not on this
 * machine, that of the first fallback which is. */
char *pw_type_dup_file(const char *family, gboolean bold, gboolean italic, GError **error);

/* A paragraph set in a column, wrapped at words (and inside a word that is wider than the column).
 * Only TrueType fonts are used, fallbacks too. Text runs either way as its script does. */
typedef struct PwText PwText;
/* `width_mm` 0: one line as long as it is. Text is plain (no markup). Belongs to the pdf's font
 * map and may be used on any page of it. */
PwText *pw_text_new(PwPdf *pdf, const PwFace *face, const char *text, double width_mm);
/* Words of several faces in one paragraph, one after another, on the leading of `face`; a line feed
 * begins a new line. */
typedef struct {
  const char *text;
  PwFace face;
} PwSpan;
PwText *pw_text_new_spans(PwPdf *pdf, const PwFace *face, const PwSpan *spans, gsize n,
                          double width_mm);
void pw_text_free(PwText *text);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwText, pw_text_free)
/* Sets it anew in a column of that width, as in pw_text_new. */
void pw_text_set_width(PwText *text, double width_mm);
double pw_text_width(const PwText *text);  /* mm, of the widest line */
double pw_text_widest_word(PwText *text);  /* mm; in a narrower column it is broken */
double pw_text_height(const PwText *text); /* mm, lines x leading */
guint pw_text_n_lines(const PwText *text);
double pw_text_first_baseline(const PwText *text); /* mm below the top */
gboolean pw_text_is_leftward(const PwText *text); /* its first line runs from right to left */
/* Draws lines first..first+n-1 (n 0: all) with the first baseline at y. align: 0 left, 0.5 centre,
 * 1 right of x (for one-line texts) or within the column. */
void pw_text_draw(const PwText *text, double x_mm, double baseline_y_mm, double align, guint first,
                  guint n);
/* All of it on any surface whose user space is millimetres: the page under way, or a picture. */
void pw_text_draw_on(const PwText *text, cairo_t *cr, double x_mm, double baseline_y_mm,
                     double align);

PW_END_DECLS
#endif
