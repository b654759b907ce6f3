/* Setting: a document under way from blocks to pages. Blocks are measured and cut into strips, each
 * as wide as the page and never broken; strips are dealt to pages; only then is anything drawn.
 * Where everything stands is a pure function of the document, the style and the words.
 *
 * Lengths are mm. On a page x counts from the paper's left edge, y from its top; on a strip y
 * counts from the strip's top.
 */
#ifndef PW_REPORT_SET_PDF_SETTING_H
#define PW_REPORT_SET_PDF_SETTING_H

#include <platewright/pdf.h>

#include "doc.h"

/* ---- The grid of a page of text ---------------------------------------------------- */

/* A margin column for labels and side heads, a column of text, and both together. */
typedef struct {
  double width, height;    /* of the paper */
  double left, side_width; /* the margin column; also where what is as wide as both begins */
  double text, measure;    /* the column of text */
  double full;             /* both columns and the white between them */
  double top, bottom;      /* strips stand between them */
  double step;             /* of the baselines; strips begin on half steps */
} PwSetGrid;

/* ---- Strips ------------------------------------------------------------------------ */

typedef enum {
  PW_PART_BEGIN,    /* an element of the structure */
  PW_PART_END,
  PW_PART_TEXT,     /* lines first..first+n-1; y is the first baseline */
  PW_PART_RULE,     /* level, from x to x2 at y */
  PW_PART_BAR,      /* upright at x, from y to y2 */
  PW_PART_DRAWING,  /* its top left corner at x, y */
  PW_PART_PLACE,    /* what links lead to */
  PW_PART_BOOKMARK
} PwPartKind;

typedef struct {
  PwPartKind kind;
  PwElement element;
  const PwText *text;
  guint first, n;
  double x, y, x2, y2;
  double align;             /* of text in its column */
  double width;             /* of a rule or a bar */
  gboolean is_hung;         /* text that takes the baseline of what it stands beside */
  const PwDrawing *drawing;
  double scale;             /* of a drawing */
  const char *name;         /* of a place; words of a bookmark */
  int level;                /* of a bookmark, from 0 */
} PwPart;

typedef struct PwStrip {
  double above;        /* white above it, none at the head of a page */
  double height;
  gboolean is_tied;    /* on the page of the strip before it */
  gboolean is_aligned; /* begins on a half step of the grid */
  gboolean ends_page;  /* nothing follows it on its page */
  int head;            /* the strip repeated above it where it begins a page; -1: none */
  double below_head;   /* white between that and it */
  const PwText *again; /* over the page there: what it is that goes on; or NULL */
  guint block;         /* of the document, from 1; 0: its title */
  GArray *parts;       /* PwPart, in the order they are read */
  GPtrArray *plates;   /* PwBlock: mentioned on it, to stand on pages after it */
  /* Where it stands. */
  guint page;          /* among the pages of text, from 0 */
  double y;
} PwStrip;

/* A page of strips, or the pages of a plate. */
typedef struct {
  guint first, end;    /* strips */
  const PwText *again; /* over its top, or NULL */
  int head;            /* repeated at its top, or -1 */
  const PwBlock *plate; /* or NULL */
} PwSetPage;

typedef struct {
  PwPdf *pdf;
  const PwDoc *doc;
  const PwStyle *style;
  const PwWords *words;
  PwSetGrid grid;
  GPtrArray *texts;    /* PwText: all that strips show */
  GPtrArray *strips;   /* PwStrip */
  const PwText *again;    /* of the next strip */
  const PwText *under[3]; /* of what stands under the last heading of each level */
  GArray *pending;     /* PwPart: to stand on the next strip */
  double hung_height;  /* of what hangs in the margin beside the strips from `hung_from` on */
  guint hung_from;
  gboolean is_keeping; /* the next strip is tied */
  PwText *side_head;   /* a heading that waits, pending, for what it hangs beside; or NULL */
  const PwText *side_again; /* of the strip that it hangs beside */
  double side_space;   /* white above it */
  guint block;         /* under way, from 1; 0: the title */
  GArray *pages;       /* PwSetPage */
} PwSetting;

/* The document laid out; drawn on pages of `pdf` later, or never. */
PwSetting *pw_setting_new(PwPdf *pdf, const PwDoc *doc, const PwStyle *style,
                          const PwWords *words);
void pw_setting_free(PwSetting *setting);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwSetting, pw_setting_free)

static inline PwStrip *
pw_setting_peek_strip(const PwSetting *s, guint i)
{
  return s->strips->pdata[i];
}

/* ---- set_pdf_type.c -------------------------------------------------------------------- */

/* Words of one role; prose with its voices, each at least as strong as `least`. `width` 0: one line
 * as long as it is. The setting's. */
PwText *pw_set_words(PwSetting *s, PwRole role, const char *words, double width);
PwText *pw_set_link(PwSetting *s, PwRole role, const char *words, const char *anchor, double width);
PwText *pw_set_prose(PwSetting *s, PwRole role, const PwProse *prose, PwVoice least, double width);
double pw_set_leading(const PwSetting *s, PwRole role);
/* 1 for a text that begins at the right. */
double pw_set_align(const PwText *text);

/* ---- set_pdf_strip.c ------------------------------------------------------------------- */

/* A strip at the end, with what was pending on it; its baseline is where what hangs beside it
 * stands. */
PwStrip *pw_set_strip(PwSetting *s, double above, double height, double baseline);
/* An element that begins with the next strip, and the end of the one begun last. */
void pw_set_begin(PwSetting *s, PwElement element);
void pw_set_end(PwSetting *s);
/* The next strip is where links to `name` lead; NULL: nothing. */
void pw_set_place(PwSetting *s, const char *name);
void pw_set_bookmark(PwSetting *s, int level, const char *words);
/* Hangs a text beside what comes next, on its baseline and in an element of its own: in the margin
 * column from `x` on, or, with align 1 and a text without a column, ending there. What stands
 * beside it is made as high as it is, and kept together, by pw_set_settle. */
void pw_set_hang(PwSetting *s, PwElement element, const PwText *text, double x, double align);
void pw_set_settle(PwSetting *s);
/* Whether it is short enough to hang. */
gboolean pw_set_may_hang(const PwSetting *s, const PwText *text);
/* A strip a line, at least two of them together; `pad` is white on the first, over its line. */
void pw_set_lines(PwSetting *s, PwRole role, const PwText *text, double x, double above,
                  double pad);
/* From the top of a strip to the bottom of the one before `end`, with the white between them. */
double pw_set_height(const PwSetting *s, guint first, guint end);
/* The next strip stands on the page of the last one. */
void pw_set_keep(PwSetting *s);

/* "Ledger of pieces (continued)", for pages that begin inside of what is so named; on one line,
 * with no more of its words than that takes. The setting's. */
const PwText *pw_set_again(PwSetting *s, const char *what);
/* The strips from `first` on go on with a part of what stands under the nearest heading: "The
 * volume: Description (continued)". */
void pw_set_again_within(PwSetting *s, const char *part, guint first);

/* On a strip. */
void pw_strip_begin(PwStrip *strip, PwElement element);
void pw_strip_end(PwStrip *strip);
void pw_strip_text(PwStrip *strip, const PwText *text, double x, double baseline, double align);
void pw_strip_lines(PwStrip *strip, const PwText *text, double x, double baseline, double align,
                    guint first, guint n);
void pw_strip_rule(PwStrip *strip, double x, double x2, double y, double width);
void pw_strip_bar(PwStrip *strip, double x, double y, double y2, double width);
void pw_strip_free(PwStrip *strip);

/* ---- Blocks to strips -------------------------------------------------------------- */

void pw_set_title(PwSetting *s);                        /* set_pdf_title.c */
void pw_set_block(PwSetting *s, const PwBlock *block);  /* set_pdf_block.c */
void pw_set_heading(PwSetting *s, const PwBlock *block); /* set_pdf_heading.c */
void pw_set_table(PwSetting *s, const PwBlock *block);  /* set_pdf_table.c */
void pw_set_sign(PwSetting *s, const PwBlock *block);   /* set_pdf_sign.c */
void pw_set_drawing(PwSetting *s, const PwBlock *block); /* set_pdf_drawing.c */
/* White above the block under way, by what stands before it. */
double pw_set_space(const PwSetting *s);
/* The nearest block before or after it that says something; NULL: none. */
const PwBlock *pw_set_peek_before(const PwSetting *s);
const PwBlock *pw_set_peek_after(const PwSetting *s);
/* For a block that leaves no room in the margin column: a heading that waits stands over it. */
void pw_set_stand(PwSetting *s);

/* ---- set_pdf_section.c ----------------------------------------------------------------- */

/* What the strips from `first` to the end, a section of the document, keep together. */
void pw_set_section(PwSetting *s, guint first, gboolean is_signed);

/* ---- Strips to pages: set_pdf_pages.c -------------------------------------------------- */

void pw_set_pages(PwSetting *s);

/* ---- Pages to paper: set_pdf_draw.c ---------------------------------------------------- */

void pw_set_draw_page(const PwSetting *s, const PwSetPage *page);
/* Which document this is, at the left, and "page n of m", from 1, at the right. */
void pw_set_draw_foot(PwSetting *s, guint page, guint n_pages, double left, double right,
                      double y);
void pw_set_draw_shapes(const PwSetting *s, cairo_t *cr, const PwDrawing *drawing, double x,
                        double y, double scale);

#endif
