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
/* A bookmark to this height on the current page, in mm from the paper's top; level 0 at the top. */
void pw_pdf_bookmark(PwPdf *pdf, int level, const char *text, double y_mm);
/* Paints a baseline JPEG of width x height px into a box of the page; the bytes go into the file as
 * they are. The same GBytes painted twice is stored once. */
void pw_pdf_draw_jpeg(PwPdf *pdf, GBytes *jpeg, int width, int height, double x_mm, double y_mm,
                      double width_mm, double height_mm);
/* Whatever stands on every page (the running foot, "page 3 of 12"): called as a page ends, before
 * the next begins, with the page's number from 1; what it draws is ornament to the structure. How
 * many pages there will be is for the caller to know before it draws, having laid them out. */
typedef void (*PwPdfFurnish)(PwPdf *pdf, guint page, double width_mm, double height_mm,
                             gpointer data);
void pw_pdf_set_furnish(PwPdf *pdf, PwPdfFurnish furnish, gpointer data);
/* Pages begun so far: the number of the one under way. */
guint pw_pdf_n_pages(const PwPdf *pdf);
/* The finished file. `archival` says whether it claims PDF/A-1b; if not, `why` (yours) says why not
 * (a script that no TrueType font here covers). */
GBytes *pw_pdf_finish(PwPdf *pdf, gboolean *archival, char **why, GError **error);

/* The same page for a screen: a document of one page, drawn on by the very same functions, that
 * ends as SVG. It stands alone: words are outlines, JPEGs are in it as they are, nothing is fetched
 * from elsewhere and nothing in it runs. Bookmarks are passed over. */
PwPdf *pw_pdf_new_svg(const PwPdfInfo *info, GError **error);
GBytes *pw_pdf_finish_svg(PwPdf *pdf, GError **error);

/* ---- Structure --------------------------------------------------------------------- */

/* What a document says and in which order, for who does not see it: the structure tree of a tagged
 * PDF (ISO 32000-1, 14.7 and 14.8). Elements are begun and ended round what is drawn; they nest,
 * and may stay open over pages: a table goes on, its rows under one element. Read is what stands in
 * an element of words; what is drawn elsewhere (rules between rows, leaders, the furnishing of a
 * page) is ornament and passed over. The order of reading is that in which elements begin. Without
 * any element the file has no structure. An SVG passes all of it over. Inside an element areas are
 * filled, never cairo_paint'ed, which Cairo 1.16 refuses there. */
typedef enum {
  PW_ELEMENT_SECTION,                     /* holds the rest; no words of its own */
  PW_ELEMENT_H1, PW_ELEMENT_H2, PW_ELEMENT_H3,
  PW_ELEMENT_P,
  PW_ELEMENT_LIST, PW_ELEMENT_ITEM,       /* a list of items, an item of a label and a body */
  PW_ELEMENT_LABEL, PW_ELEMENT_BODY,
  PW_ELEMENT_TABLE, PW_ELEMENT_ROW,       /* a table of rows, a row of heads and cells */
  PW_ELEMENT_COLUMN_HEAD, PW_ELEMENT_ROW_HEAD,
  PW_ELEMENT_CELL,                        /* also where nothing stands in it */
  PW_ELEMENT_CAPTION,                     /* a table's first child; beside a figure */
  PW_ELEMENT_SPAN,
  PW_ELEMENT_ORNAMENT                     /* all in it is passed over, elements too: the head of a
                                           * table repeated on its next page */
} PwElement;
void pw_pdf_begin(PwPdf *pdf, PwElement element);
/* Ends the element begun last. */
void pw_pdf_end(PwPdf *pdf);
/* A picture and all that is drawn on it: read is only what `description` says. */
void pw_pdf_begin_figure(PwPdf *pdf, const char *description, double x_mm, double y_mm,
                         double width_mm, double height_mm);

/* ---- Links ------------------------------------------------------------------------- */

/* A place that links lead to: `y_mm` down the page under way. Of two of one name the first counts.
 * It is reached from outside too, as FILE.pdf#NAME. */
void pw_pdf_destination(PwPdf *pdf, const char *name, double y_mm);
/* What is drawn until its end leads to a destination, set before or later; `says` is what a reader
 * hears of it ("Plate 3"). Lines of text are clicked where they stand; another area by its box.
 * Where no such destination comes the words stay and lead nowhere. */
void pw_pdf_begin_link(PwPdf *pdf, const char *destination, const char *says);
void pw_pdf_link_box(PwPdf *pdf, double x_mm, double y_mm, double width_mm, double height_mm);

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
  const char *destination; /* what these words lead to, as in pw_pdf_begin_link; NULL: nothing */
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
