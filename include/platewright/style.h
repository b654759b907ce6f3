/* Style: pages, type, colours and hatches of all that is drawn, from styles/NAME.yaml, and the
 * words of all that is printed, from styles/words/LANGUAGE.yaml. */
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
  PwInk ink;
  /* From level, against the clock as one looks at it: 45 rises to the right. Gap 0: no hatch. */
  double hatch_angle_deg, hatch_gap_mm;
  double hatch_dash_mm[4];              /* of the hatch lines, zeros: solid */
  double line_dash_mm[4];               /* of outlines and lines */
} PwGroupLook;

typedef struct PwStyle PwStyle;
typedef struct PwWords PwWords; /* told below */
/* `name` is a name ("plate", "plate-grey") or a path (it has a '/' or ends in .yaml). Names are
 * looked for in $PLATEWRIGHT_STYLES, the build tree, the installed folder, in this order.
 * NULL and a GError when it cannot be read, NULL and complaints of severity error when it may not
 * stand as it is written (the GError then stays unset). docs/styles.md has every key. */
PwStyle *pw_style_read(const char *name, PwComplaints *complaints, GError **error);
void pw_style_free(PwStyle *style);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwStyle, pw_style_free)
/* The styles that can be asked for by name, in order, NULL-terminated; yours. */
char **pw_styles_dup_names(void);
/* The folder the styles and terms lie in; yours. NULL with PW_ERROR_FILE if there is none. */
char *pw_style_dup_folder(GError **error);

/* The page a style tells, else the paper of the language; A4: 210 x 297. */
void pw_style_page(const PwStyle *style, const PwWords *words, double *short_mm, double *long_mm);
double pw_style_length(const PwStyle *style, const char *name); /* mm: "margin", ... */
PwInk pw_style_ink(const PwStyle *style, const char *name); /* "ink", "soft-ink", ... */
const PwType *pw_style_type(const PwStyle *style, PwRole role);
/* A group's look; groups the style does not name get the look of its entry "other". */
const PwGroupLook *pw_style_group(const PwStyle *style, const char *group);
gboolean pw_style_is_grey(const PwStyle *style); /* pictures printed without colour too */

/* ---- Words ------------------------------------------------------------------------- */

/* Everything that is printed, in one language: phrases by their keys, the trade's terms, dates,
 * figures. What a language lacks is printed in English, and remembered. Safe from several threads.
 */
/* `language` is a name ("en", "de") or a path (it has a '/' or ends in .yaml). Names are looked for
 * as words/NAME.yaml in the folders of styles. NULL as of pw_style_read; docs/words.md has every
 * key. English is read besides: a phrase whose key or blank that does not have is complained of. */
PwWords *pw_words_read(const char *language, PwComplaints *complaints, GError **error);
/* The languages that can be asked for by name, in order, NULL-terminated; yours. */
char **pw_words_dup_languages(void);
void pw_words_free(PwWords *words);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwWords, pw_words_free)
/* The language, a tag of BCP 47: "de". */
const char *pw_words_peek_language(const PwWords *words);

/* The phrase of a key; the key itself where English has none either (a test sees that ours do).
 * Phrases hold their blanks as {name}. */
const char *pw_words_peek(const PwWords *words, const char *key);
/* The phrase with {name} filled in from name, value pairs, NULL at the end. Yours. */
char *pw_words_dup_phrase(const PwWords *words, const char *key, ...) G_GNUC_NULL_TERMINATED;
/* "{n} places": the phrase of KEY-one or KEY-many. Yours. */
char *pw_words_dup_count(const PwWords *words, const char *key, guint n);
/* A date or a moment of the record, "2026-03-02T10:14:07+00:00", as a reader says it: "2 March
 * 2026, 10:14"; as it is written where it is no date. Yours. */
char *pw_words_dup_date(const PwWords *words, const char *iso);
/* Likewise; the phrase "date-none" where it is empty. Yours. */
char *pw_words_dup_gdate(const PwWords *words, const GDate *date);
/* Figures as base writes them, with the language's decimal sign and a minus as wide as a plus:
 * "-412.5 ± 1.5" becomes "−412,5 ± 1,5". A point between two digits is a decimal point, a
 * hyphen that begins a number a minus; all else stays. Yours. */
char *pw_words_dup_number(const PwWords *words, const char *plain);
/* "1234.50", "EUR" as "1.234,50 EUR", thousands in groups; the currency is its ISO 4217 code, or
 * NULL. Yours. */
char *pw_words_dup_money(const PwWords *words, const char *plain, const char *currency);

/* The language's word for one of the record's own, which is English or a person's: as written where
 * the language does not have it; NULL for NULL. */
const char *pw_words_peek_term(const PwWords *words, const char *english);
const char *pw_words_peek_part(const PwWords *words, const char *english);
const char *pw_words_peek_view(const PwWords *words, const char *english);
const char *pw_words_peek_light(const PwWords *words, const char *english);
/* A group of terms as the key of a plate calls it: "missing material". */
const char *pw_words_peek_group(const PwWords *words, const char *group);
/* What styles/terms.yaml says of a term; NULL where not told. */
const char *pw_words_peek_meaning(const PwWords *words, const char *term);
const char *pw_words_peek_caution(const PwWords *words, const char *term);
const char *pw_words_peek_caution_for_owner(const PwWords *words, const char *term);

/* All that another program needs to say things in the language, as pairs of a JSON object that is
 * open: "language", "decimal", "date" (a phrase), "months", "phrases" (those whose keys begin with
 * `prefix`, by the rest of the key), "missing" (of those, the ones that stand in English; they are
 * remembered as well), and by the record's own words "terms", "parts", "views" and, but for
 * English, "lights". */
void pw_words_put_json(const PwWords *words, const char *prefix, PwJson *json);

/* The English behind it: for what is told of what was made. Itself where it is English. */
const PwWords *pw_words_peek_english(const PwWords *words);

/* Keys of which the language had no phrase when they were asked for, each once and in order. */
gsize pw_words_n_missing(const PwWords *words);
const char *pw_words_peek_missing(const PwWords *words, gsize i);
/* What whoever printed something is told of them, in words of `in`; NULL: nothing is missing.
 * Yours. */
char *pw_words_dup_warning(const PwWords *words, const PwWords *in);

PW_END_DECLS
#endif
