/* What the sources of pdf share: the document in the making, and the steps that finish it. */
#ifndef PW_PDF_PRIVATE_H
#define PW_PDF_PRIVATE_H

#include <cairo.h>
#include <fontconfig/fontconfig.h>
#include <pango/pangocairo.h>
#include <platewright/pdf.h>
#include <qpdf/qpdf-c.h>
#include <stdio.h>

/* What the document says of itself, without what neither XML nor the Info dictionary may hold; a
 * text that is not told is NULL. */
typedef struct {
  char *title, *author, *subject;
  char *language;
  char *date;  /* ISO 8601 with seconds and zone, as XMP wants it */
  char *stamp; /* the same as a PDF date, "D:20260302101407+01'00'" */
} PwPdfFacts;

/* An element holds other elements and content; content is a mark on a page, numbered from 0 in the
 * order that marks are begun there. */
typedef struct {
  int element; /* -1: a mark */
  guint page;  /* from 0 */
  guint mark;
} PwPdfKid;

typedef struct {
  const char *type;       /* "/P" */
  const char *attributes; /* as PDF writes them, or NULL */
  int parent;             /* -1: of the document itself */
  gboolean has_words;
  char *says;             /* a figure's description, what a link is called, or NULL */
  char *destination;      /* a link's, or NULL */
  double box[4];          /* a figure's, in points of its page, y up: left, bottom, right, top */
  GArray *kids;           /* PwPdfKid */
} PwPdfElement;

/* Where a link is clicked: points, y up. */
typedef struct {
  int element;
  guint page;
  double box[4];
} PwPdfArea;

typedef struct {
  char *name;
  guint page;
  double y; /* points, up */
} PwPdfPlace;

/* What has been said of the structure so far. Element 0 is the document. */
typedef struct {
  GArray *elements, *areas;
  GArray *places; /* by name, each name once */
  GArray *open;   /* int: elements not ended yet, the innermost last; -1: ornament */
  guint n_marks;  /* on the page under way */
  gboolean is_marking;
} PwPdfStructure;

struct PwPdf {
  PwPdfFacts facts;
  FILE *raw; /* a scratch: what Cairo has written */
  gboolean is_svg;
  cairo_surface_t *surface; /* of an SVG: NULL before its page is begun */
  cairo_t *cr; /* of the page under way, or NULL */
  int n_pages;
  double page_width_mm, page_height_mm; /* of the page under way */
  PwPdfStructure structure;
  PwPdfFurnish furnish;
  gpointer furnish_data;
  PangoFontMap *fonts;
  PangoContext *type;
  GHashTable *pictures; /* of the page under way: GBytes -> its cairo_surface_t */
  GArray *outline;      /* int: Cairo's number of the last bookmark of each level */
  GArray *missing;      /* gunichar: drawn, but in no font */
  GError *error;        /* the first thing that went wrong on the way; told at the end */
};

/* facts.c */
gboolean pw_pdf_facts_init(PwPdfFacts *facts, const PwPdfInfo *info, GError **error);
void pw_pdf_facts_clear(PwPdfFacts *facts);
/* The XMP packet; `archival` with the claim of PDF/A-1b in it. Yours. */
char *pw_pdf_facts_dup_xmp(const PwPdfFacts *facts, gboolean archival);
const char *pw_pdf_creator(void);
const char *pw_pdf_producer(void);

/* scratch.c: a file without a name, read and written by this process alone. */
typedef FILE PwScratch;
PwScratch *pw_scratch_new(GError **error);
void pw_scratch_free(PwScratch *scratch);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwScratch, pw_scratch_free)
/* Where it can be opened once more as long as it is not freed. Yours. */
char *pw_scratch_dup_path(PwScratch *scratch);
/* All that was written to it, not held in memory. Yours; outlives the scratch. */
GBytes *pw_scratch_read(PwScratch *scratch, GError **error);

/* profile.c: the sRGB profile, version 2 of the format, the same bytes on every day. */
GBytes *pw_pdf_profile_new(GError **error);

/* fonts.c: a font map that knows TrueType outlines only. */
PangoFontMap *pw_pdf_fonts_new(GError **error);
void pw_pdf_fonts_free(PangoFontMap *fonts);
PangoContext *pw_pdf_type_new(PangoFontMap *fonts, const char *language);
/* The families that a face of `family` falls back on, in this order; yours. */
char *pw_pdf_dup_families(const char *family);

/* jpeg.c: whether this is a baseline JPEG of that size with one or three channels of 8 bits. */
gboolean pw_pdf_jpeg_check(GBytes *jpeg, int width, int height, GError **error);

/* reading.c: a ToUnicode map with ligatures put back into their letters, yours; NULL when there is
 * nothing to put back. */
char *pw_pdf_dup_readable_map(const char *map, gsize length);

/* structure.c */
void pw_pdf_structure_init(PwPdfStructure *structure);
void pw_pdf_structure_clear(PwPdfStructure *structure);
/* Round the end of a page: what is open is left off there and taken up on the next. */
void pw_pdf_leave_page(PwPdf *pdf);
void pw_pdf_enter_page(PwPdf *pdf);
gboolean pw_pdf_is_linking(const PwPdf *pdf);
/* As pw_pdf_begin_link, which tells its element; or goes on with the one told before. */
void pw_pdf_take_up_link(PwPdf *pdf, const char *destination, const char *says, int *element);

/* marking.c: the content of a page as Cairo wrote it, with mark i called types[i] ("/P") and
 * numbered anew, numbers[i]; one round nothing is taken away, its number -1; all that paints
 * outside of marks is made an artifact. Yours; NULL when Cairo does not write so for n marks. */
char *pw_pdf_dup_marked(const char *content, gsize length, const char *const *types, guint n,
                        int *numbers);

/* tree.c: the structure put into a document. FALSE: its content was not what was expected. */
gboolean pw_pdf_plant(qpdf_data q, const PwPdfStructure *structure);

/* archive.c: Cairo's file made PDF/A-1b. With `why` already set, or set on the way to what stands
 * in the way of it, the file makes no claim. */
GBytes *pw_pdf_archive(const PwPdf *pdf, char **why, GError **error);

#endif
