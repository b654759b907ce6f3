/* Doc: a document as what it says and in what order, before it is set. The one description that the
 * PDF and the HTML are made from: the parts of a document (part_*.c) write it off a model, in the
 * words of its language and for one audience; what sets it (set_*.c) lays out and decides nothing
 * that is said.
 *
 * A doc owns all that is put into it and copies every text. Pointers to its parts are its own and
 * good until it is freed. Text is plain UTF-8 without markup, with every number, size, date and sum
 * already as it is printed; a line feed in it begins a new line. Anchors are names within the
 * document, "plate-3", "piece-P1".
 */
#ifndef PW_REPORT_DOC_H
#define PW_REPORT_DOC_H

#include "drawing.h"
#include <platewright/model.h>

/* ---- Prose: runs of text ----------------------------------------------------------- */

typedef enum {
  PW_VOICE_PLAIN,
  PW_VOICE_STRONG, /* what must not be missed */
  PW_VOICE_SOFT,   /* grey: beside the point, but there: "not recorded", a source */
  PW_VOICE_ASIDE   /* italic: interpretation, according to the owner */
} PwVoice;

typedef struct {
  char *text;
  PwVoice voice;
  char *anchor; /* it leads there; NULL: nowhere */
} PwRun;

typedef struct {
  GArray *runs; /* PwRun */
} PwProse;

void pw_prose_add(PwProse *prose, PwVoice voice, const char *text);
/* As pw_prose_add in PW_VOICE_PLAIN, leading to an anchor. */
void pw_prose_add_link(PwProse *prose, const char *text, const char *anchor);
gboolean pw_prose_is_empty(const PwProse *prose);

/* ---- Blocks ------------------------------------------------------------------------ */

typedef enum {
  PW_BLOCK_HEADING,
  PW_BLOCK_PARAGRAPH,
  PW_BLOCK_LIST,    /* points, or numbered */
  PW_BLOCK_FACTS,   /* labels, each with prose beside it */
  PW_BLOCK_TABLE,
  PW_BLOCK_PLATE,   /* a plate of the model */
  PW_BLOCK_DRAWING, /* a chart or a map, from its one description */
  PW_BLOCK_SIGN,    /* lines to sign on */
  PW_BLOCK_BREAK    /* a new page, where there are pages */
} PwBlockKind;

typedef enum {
  PW_PARAGRAPH_BODY,
  PW_PARAGRAPH_LEAD,   /* the first words of a document, larger */
  PW_PARAGRAPH_NOTE,   /* small: how sizes are got, what was left out */
  PW_PARAGRAPH_CAUTION /* set apart; begins with its own word for it */
} PwParagraphRole;

typedef enum {
  PW_COLUMN_WORDS,   /* wraps; shares the width by weight */
  PW_COLUMN_NARROW,  /* a number, a date, a short word: as wide as its widest, not wrapped */
  PW_COLUMN_FIGURES  /* as narrow, to the right, tabular figures */
} PwColumnKind;

typedef struct {
  const char *title; /* copied */
  PwColumnKind kind;
  double weight;     /* of PW_COLUMN_WORDS; 0: 1 */
} PwColumn;

typedef struct {
  PwProse *cells;   /* one a column */
  gboolean is_open; /* a line that cannot be missed: a piece without an outcome */
  gboolean is_sum;  /* a total under a rule */
  char *anchor;     /* of the row, or NULL */
} PwRow;

typedef struct {
  PwBlockKind kind;
  int level;                 /* headings: 1 parts of the document, 2, 3 below */
  char *anchor;              /* or NULL */
  PwProse prose;             /* of a heading, a paragraph; the caption of a table or drawing */
  PwParagraphRole role;
  gboolean is_numbered;      /* list */
  GPtrArray *items;          /* PwProse: of a list, of facts */
  GPtrArray *labels;         /* char *: of facts, beside items; of a PW_BLOCK_SIGN, one a line */
  PwColumn *columns;         /* table */
  gsize n_columns;
  GPtrArray *rows;           /* PwRow */
  PwModelPlate *plate;       /* the block's own; its photographs are the model's */
  guint number;              /* of a plate in this document, from 1; its anchor is "plate-N" */
  PwDrawing *drawing;
} PwBlock;

typedef struct {
  char *title;      /* "Treatment report" */
  char *subject;    /* which volume: its title, or id */
  char *foot;       /* left at the foot of each page: id and document */
  char *language;   /* BCP 47 */
  char *author;     /* the studio, or NULL */
  char *date;       /* ISO 8601, of the record; NULL where it speaks of none */
  PwAudience audience;
  GPtrArray *blocks; /* PwBlock */
  guint n_plates;
  guint n_left_out; /* photographs that this audience may not see */
} PwDoc;

PwDoc *pw_doc_new(const char *title, const char *language, PwAudience audience);
void pw_doc_free(PwDoc *doc);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwDoc, pw_doc_free)

/* `anchor` may be NULL. Headings of level 1 and 2 are the document's bookmarks too. */
void pw_doc_heading(PwDoc *doc, int level, const char *text, const char *anchor);
/* Empty, to be added to. */
PwProse *pw_doc_paragraph(PwDoc *doc, PwParagraphRole role);
/* A paragraph of one run. */
void pw_doc_say(PwDoc *doc, PwParagraphRole role, PwVoice voice, const char *text);
PwBlock *pw_doc_list(PwDoc *doc, gboolean is_numbered);
PwProse *pw_list_item(PwBlock *list);
PwBlock *pw_doc_facts(PwDoc *doc);
PwProse *pw_facts_add(PwBlock *facts, const char *label);
/* `caption` may be NULL. */
PwBlock *pw_doc_table(PwDoc *doc, const char *caption, const PwColumn *columns, gsize n);
PwRow *pw_table_row(PwBlock *table);
PwProse *pw_row_cell(PwRow *row, gsize column);
/* Takes a column away in which no row says anything; where some do, the others get a dash. */
void pw_table_tidy(PwBlock *table, gsize column);
/* Its number in the document. The plate is copied: one of the model's, or some stages of it. */
guint pw_doc_plate(PwDoc *doc, const PwModelPlate *plate);
/* Takes the drawing. */
void pw_doc_drawing(PwDoc *doc, PwDrawing *drawing, const char *caption);
/* Each label stands under a line to sign on; place and date have a line of their own. */
PwBlock *pw_doc_sign(PwDoc *doc);
void pw_sign_line(PwBlock *sign, const char *label);
void pw_doc_break(PwDoc *doc);

/* All that it says, a line a paragraph, a point, a fact, a row; headings begin with a "#" a level,
 * and what else would begin with one with a space before it. Pictures by their titles. Yours. */
#define PW_DOC_NO_HEADING " #"
char *pw_doc_dup_text(const PwDoc *doc);

#endif
