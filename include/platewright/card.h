/* Card: the printed reference card. What it looks like, drawn and found again in a picture, and the
 * graduations of any ruler read along a line. Works on grey planes; knows no files.
 *
 * A card is known by its tags, square codes of the family tag36h11 (E. Olson, AprilTag: a robust
 * and flexible visual fiducial system, ICRA 2011), whose ids tell its size and its copy. Points on
 * a card are mm from its upper left corner as printed, x to the right ("along"), y down ("across").
 */
#ifndef PLATEWRIGHT_CARD_H
#define PLATEWRIGHT_CARD_H

#include <cairo.h>
#include <platewright/geometry.h>
#include <platewright/pdf.h>

PW_BEGIN_DECLS

/* ---- Designs ----------------------------------------------------------------------- */

typedef enum {
  PW_CARD_ID1,   /* 85.60 x 53.98 mm: ISO/IEC 7810 ID-1, lies beside a board */
  PW_CARD_A6,    /* 148 x 105 mm, for large volumes */
  PW_CARD_STRIP, /* 150 x 22 mm, for spines and details */
  PW_CARD_SHEET, /* a page of tags, for `lens` */
  PW_N_CARD_SIZES
} PwCardSize;

typedef struct {
  const char *name; /* "id1": the word in volume.yaml and after --size */
  double width_mm, height_mm;
  double tag_mm; /* edge of a tag's black square, whose corners are found */
  int n_tags;    /* on one copy */
  int first_id;  /* tag t of copy c has the id first_id + c * n_tags + t */
  int n_copies;  /* told apart by their ids and a letter, "a" for copy 0 */
} PwCardDesign;
const PwCardDesign *pw_card_design(PwCardSize size);
#define PW_CARD_CHECK_MM 100.0 /* length of a check line as it was drawn */
/* The upper left corner of tag t's black square on the card. */
PwMm pw_card_tag_place(PwCardSize size, int tag);
/* Corner 0..3 of tag t: upper left, upper right, lower right, lower left as printed. */
PwMm pw_card_corner(PwCardSize size, int tag, int corner);
/* "a6" (any copy: `copy` -1) or "a6 b". FALSE for other words. */
gboolean pw_card_parse(const char *word, PwCardSize *size, int *copy);
/* "a6 b". Yours. */
char *pw_card_dup_name(PwCardSize size, int copy);
/* The card, the copy and the tag of an id; FALSE for ids that none of ours bears. */
gboolean pw_card_of_id(int id, PwCardSize *size, int *copy, int *tag);

/* ---- Drawing ----------------------------------------------------------------------- */

/* Draws one copy, white paper and all, with its upper left corner at the origin of user space,
 * which is in mm. Black, white and greys only. `pdf` gives the fonts; `cr` may be a page of it or
 * any other surface, such as a picture. */
void pw_card_draw(PwPdf *pdf, cairo_t *cr, PwCardSize size, int copy);
/* A page of as many copies as it holds, with cutting marks, check lines and instructions, as
 * PDF/A-1b. Paper in mm. NULL with the reason when no copy fits on it or no font is here. */
GBytes *pw_card_make_pdf(PwCardSize size, double paper_width_mm, double paper_height_mm,
                         GError **error);

/* ---- Finding ----------------------------------------------------------------------- */

/* A tag in a picture: corners in upright px, in the order of pw_card_corner. */
typedef struct {
  int id;
  PwPx corners[4];
} PwTag;

typedef struct {
  PwCardSize size;
  int copy;
  /* The corners that were kept: where they are seen, but for the one distance by which light or ink
   * spills over all edges of black, which is taken off; and where they lie on the card. */
  PwPx *px;
  PwMm *mm;
  gsize n;
  int n_tags;       /* that the corners belong to */
  PwHomography h;   /* px to mm on the card, without lens */
  double rms_px;    /* of the fit, in the picture */
} PwFoundCard;

/* What was seen and not used, in words for a person ("the tags of card a6 a are mirrored"). */
typedef struct {
  PwFoundCard *cards; /* by size, then copy */
  gsize n_cards;
  char **refused; /* NULL-terminated; never NULL after a find */
} PwFound;
void pw_found_clear(PwFound *found);

/* Finds every card of ours in a grey plane. No card is no error: then n_cards is 0. Tags of other
 * makers are passed over; mirrored and doubled tags, and a card of which fewer than two tags agree
 * on one plane, are refused with a reason. FALSE (PW_ERROR_LIMIT) for a plane that has more than
 * one channel or is too small or large to be a photograph. */
gboolean pw_card_find(const PwPlane *grey, PwFound *found, GError **error);

/* ---- Graduations ------------------------------------------------------------------- */

/* Graduations along a line from `from` to `to`: the graduation's number t (0 at `from`, a fraction
 * at most places) seen at distance s px from it is t = (a s) / (1 + c s). */
typedef struct {
  double a, c;
  double count;       /* t at `to`: how many pitches the line is long */
  double u_count;     /* standard uncertainty of `count` from the fit */
  double dof;
  double residual;    /* RMS of the phase about the fit, in pitches */
  double drift;       /* how much wider the pitch is seen at `to` than at `from`, as a part */
} PwTicks;

/* Reads the graduations that cross the line. The unit is the caller's: only the pitch in px is
 * told. Refuses (PW_ERROR_NUMERIC, with the reason a person can act on) rather than guesses: too
 * few, too fine, two pitches that are equally likely, a line that strays off them, a residual above
 * the gate. FALSE (PW_ERROR_LIMIT) for planes and lines out of bounds. */
gboolean pw_ticks_read(const PwPlane *grey, PwPx from, PwPx to, PwTicks *ticks, GError **error);

PW_END_DECLS
#endif
