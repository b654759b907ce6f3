/* Style: pages, type, colours, hatches and words of all that is drawn, from styles/NAME.yaml. */
#ifndef PLATEWRIGHT_STYLE_H
#define PLATEWRIGHT_STYLE_H

#include <platewright/base.h>

PW_BEGIN_DECLS

typedef struct {
  double r, g, b; /* 0..1, sRGB */
} PwInk;

/* How text of one role is set. */
typedef struct {
  char *family;
  double size_pt;
  double leading_pt; /* baseline to baseline */
  gboolean bold, italic, tabular;
  PwInk ink;
} PwType;

/* Roles of text. */
typedef enum {
  PW_ROLE_TITLE,
  PW_ROLE_SUBTITLE,
  PW_ROLE_NUMBER,    /* a callout's number */
  PW_ROLE_HEAD,      /* its term and part */
  PW_ROLE_SIZE,
  PW_ROLE_NOTE,
  PW_ROLE_INFERRED,  /* what is interpretation, or according to the owner */
  PW_ROLE_STAGE,     /* "Before treatment" under a picture */
  PW_ROLE_CAPTION,
  PW_ROLE_FILE,      /* file facts */
  PW_ROLE_FOOT,
  PW_ROLE_KEY,
  PW_ROLE_SCALE,
  PW_ROLE_DOC_TITLE,   /* of a document: "Treatment report" */
  PW_ROLE_DOC_SUBJECT, /* which volume */
  PW_ROLE_DOC_WHO,     /* by whom and when, beside the title */
  PW_ROLE_DOC_HEAD_1,
  PW_ROLE_DOC_HEAD_2,
  PW_ROLE_DOC_HEAD_3,
  PW_ROLE_DOC_LEAD,    /* its first words */
  PW_ROLE_DOC_BODY,
  PW_ROLE_DOC_LABEL,   /* in the margin, beside a fact; under a line to sign on */
  PW_ROLE_DOC_NUMERAL, /* of a list */
  PW_ROLE_DOC_NOTE,
  PW_ROLE_DOC_CAPTION, /* of a table or a drawing */
  PW_ROLE_DOC_COLUMN,  /* head of a table's column */
  PW_ROLE_DOC_CELL,
  PW_ROLE_DOC_FIGURES, /* a cell of figures */
  PW_ROLE_DOC_DRAWING, /* words in a drawing */
  PW_N_ROLES
} PwRole;

/* How the marks of one group of terms are drawn. Lengths in mm on paper. */
typedef struct {
  char *name;          /* as in the terms: "missing" */
  char *label;         /* as printed in the key: "missing material" */
  PwInk ink;
  /* From level, against the clock as one looks at it: 45 rises to the right. Gap 0: no hatch. */
  double hatch_angle_deg, hatch_gap_mm;
  double hatch_dash_mm[4];              /* of the hatch lines, zeros: solid */
  double line_dash_mm[4];               /* of outlines and lines */
} PwGroupLook;

typedef struct PwStyle PwStyle;
/* `name` is a name ("plate", "plate-grey") or a path (it has a '/' or ends in .yaml). Names are
 * looked for in $PLATEWRIGHT_STYLES, the build tree, the installed folder, in this order.
 * NULL and a GError when it cannot be read, NULL and complaints of severity error when it may not
 * stand as it is written (the GError then stays unset). docs/styles.md has every key. */
PwStyle *pw_style_read(const char *name, PwComplaints *complaints, GError **error);
void pw_style_free(PwStyle *style);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwStyle, pw_style_free)
/* The folder the styles and terms lie in; yours. NULL with PW_ERROR_FILE if there is none. */
char *pw_style_dup_folder(GError **error);

void pw_style_page(const PwStyle *style, double *short_mm, double *long_mm); /* A4: 210 x 297 */
double pw_style_length(const PwStyle *style, const char *name); /* mm: "margin", ... */
PwInk pw_style_ink(const PwStyle *style, const char *name); /* "ink", "soft-ink", ... */
const PwType *pw_style_type(const PwStyle *style, PwRole role);
/* A group's look; groups the style does not name get the look of its entry "other". */
const PwGroupLook *pw_style_group(const PwStyle *style, const char *group);
/* A printed word or phrase by its key; the key itself when the style does not hold it (a test sees
 * that ours do). Phrases hold their blanks as {name}. */
const char *pw_style_word(const PwStyle *style, const char *key);
/* The phrase with {name} filled in from name, value pairs, NULL at the end. Yours. */
char *pw_style_dup_phrase(const PwStyle *style, const char *key, ...) G_GNUC_NULL_TERMINATED;
/* "{n} places": the phrase of KEY-one or KEY-many. Yours. */
char *pw_style_dup_count(const PwStyle *style, const char *key, guint n);
/* A date or a moment of the record, "2026-03-02T10:14:07+00:00", as a reader says it: "2 March
 * 2026, 10:14". Yours. */
char *pw_style_dup_date(const PwStyle *style, const char *iso);
gboolean pw_style_is_grey(const PwStyle *style); /* pictures printed without colour too */

PW_END_DECLS
#endif
