/* Writer: what every part of a document is written with: the record and what the model computes of
 * it, the words, for whom, and the document under way. Each part (part_*.c) adds its blocks, or
 * none where there is nothing to say.
 *
 * What is owed is said: a fact that the record should hold by the time of this document and does
 * not stands as "not recorded". What this reader may not see is left out whole and counted.
 */
#ifndef PW_REPORT_WRITER_H
#define PW_REPORT_WRITER_H

#include <platewright/report.h>

#include "amendment.h"
#include "doc.h"

typedef struct PwAgreed PwAgreed; /* agreed.h */

typedef struct {
  const PwModel *model;
  const PwVolume *volume; /* an empty one where there is no volume.yaml */
  const PwWords *words;
  PwAudience audience;
  PwReportKind kind;
  const PwReportOptions *options;
  const char *const *only; /* photographs by their files, or NULL: all */
  const PwAmendment *amendment; /* NULL: it is not issued */
  const PwAgreed *agreed; /* a proposal: to which version the owner agreed; NULL: to none */
  PwDoc *doc;
  GDate day;             /* of which the document is; an invalid one: the record tells none */
  const PwModelSummary *summary;
  const PwModelLedger *ledger;
  GArray *plates;        /* PwModelPlate: the document's, in order; their numbers count from 1 */
  const char **owed;     /* keys of volume.yaml that the record owes by now */
  GHashTable *explained; /* terms that were explained */
  GHashTable *kept_back; /* entries of volume.yaml that are not for this reader */
} PwWriter;

/* ---- Who reads --------------------------------------------------------------------- */

static inline gboolean
pw_writer_is_public(const PwWriter *w)
{
  return w->audience == PW_FOR_PUBLIC;
}
/* Whether an entry of volume.yaml may be told: its texts (any may be NULL), and the pieces,
 * photographs and marks that it is about (NULL-terminated, or NULL). Counted, once, where not. */
gboolean pw_writer_may_tell(PwWriter *w, gconstpointer entry, const char *const *texts, gsize n,
                            char *const *about);
/* Likewise a step of treatment by its texts: a photograph that nobody has looked through is not
 * shown beside it, but keeps nothing of it back. */
gboolean pw_writer_may_tell_step(PwWriter *w, const PwTreatment *step, const char *const *texts,
                                 gsize n);
/* The text; NULL, and counted, where this reader may not read it. */
const char *pw_writer_peek_shown(PwWriter *w, const char *text);
/* Whether a photograph is in this document's plates and lists. */
gboolean pw_writer_shows(const PwWriter *w, const PwModelPhoto *photo);
/* Whether a document of that kind would, or count what it shows: an examination what was there
 * before treatment, of which a photograph of no stage may be too. */
gboolean pw_writer_is_of_kind(const PwWriter *w, const PwModelPhoto *photo);

/* ---- Of which day ------------------------------------------------------------------ */

/* The last day of which a document that looks ahead to the work speaks; NULL: it speaks of all. */
const GDate *pw_writer_peek_up_to(const PwWriter *w);
/* Whether it speaks of that day; of one that is not recorded it does. */
gboolean pw_writer_is_by_then(const PwWriter *w, const GDate *date);
/* Whether the studio's question of showing it publicly is still without an answer then. */
gboolean pw_writer_asks_to_show(const PwWriter *w);

/* ---- Words ------------------------------------------------------------------------- */

static inline const char *
pw_writer_word(const PwWriter *w, const char *key)
{
  return pw_words_peek(w->words, key);
}
/* A heading by its word; its anchor is the key. */
void pw_writer_heading(PwWriter *w, int level, const char *key);
void pw_writer_say(PwWriter *w, PwParagraphRole role, PwVoice voice, const char *key);
/* Yours; without a date NULL. */
char *pw_writer_dup_date(const PwWriter *w, const GDate *date);
/* "412 ± 14 mm²" in the language's figures. Yours. */
char *pw_writer_dup_size(const PwWriter *w, const PwSize *size, const char *unit);
/* Hours, plain decimal text, with as many decimals as their sum (NULL: none) and one at least, so
 * that they stand well under each other. Yours. */
char *pw_writer_dup_hours(const PwWriter *w, const char *plain, const char *sum);
/* Without white and a full stop at its end, to stand within a sentence; NULL for NULL. Yours. */
char *pw_writer_dup_unstopped(const char *text);
/* A number as it was written down. Yours. */
char *pw_writer_dup_number(const PwWriter *w, double value);
/* With a capital; NULL for NULL. Yours. */
char *pw_writer_dup_capital(const char *text);
/* The term, "undecided" for one that is none yet; with a capital, yours. */
const char *pw_writer_peek_term(const PwWriter *w, const char *term);
char *pw_writer_dup_term(const PwWriter *w, const char *term);
/* The first sentence, which is for readers of documents: what comes behind it in a meaning tells a
 * conservator how to draw or measure. Yours. */
char *pw_writer_dup_first_sentence(const char *text);
/* What the term means to a reader of documents; NULL: nothing is said of it. Yours. */
char *pw_writer_dup_meaning(const PwWriter *w, const char *term);
/* The part, with a capital; by the word `none` where it is NULL. Yours. */
char *pw_writer_dup_part(const PwWriter *w, const char *part, const char *none);
/* The word for a stage, a basis (NULL: observed), a severity (NULL: none said). */
const char *pw_writer_peek_stage(const PwWriter *w, PwStage stage);
const char *pw_writer_peek_basis(const PwWriter *w, PwBasis basis);
const char *pw_writer_peek_severity(const PwWriter *w, int severity);
/* Interpretation, or the owner's word: what must not be taken for an observation. */
gboolean pw_writer_is_aside(PwBasis basis);

/* Pointers to the `n` entries of a list of the record, each `size` bytes with its GDate at `on`, by
 * day; those without one last, and else as the record has them. Yours. */
GPtrArray *pw_entries_by_day(gconstpointer entries, gsize n, gsize size, gsize on);
/* The steps of treatment, PwTreatment, likewise. */
GPtrArray *pw_writer_steps_by_day(const PwWriter *w);

/* ---- Prose ------------------------------------------------------------------------- */

/* The text; "not recorded" in the soft voice where there is none. */
void pw_writer_add_text(const PwWriter *w, PwProse *prose, const char *text);
/* What stands where nothing of a kind is told: that `n_left_out` entries of it are left out here;
 * for 0 the word `none`. Of what is withheld nobody is told that nothing is recorded. */
void pw_writer_say_none(PwWriter *w, guint n_left_out, const char *none);
void pw_writer_add_none(const PwWriter *w, PwProse *prose, guint n_left_out, const char *none);
/* Below what is told of a kind, that some entries of it are left out here; nothing for 0. */
void pw_writer_say_left_out(PwWriter *w, guint n_left_out);
/* Likewise where no damage is told: private marks stand in no count. */
const char *pw_writer_peek_no_damage(const PwWriter *w);
/* The text behind the word for its basis; what is no observation is an aside. */
void pw_writer_add_known(const PwWriter *w, PwProse *prose, PwBasis basis, const char *text);
/* A run on a new line where something stands already. */
void pw_writer_add_line(PwProse *prose, PwVoice voice, const char *text);
/* "label: text" on a new line; nothing without a text. */
void pw_writer_add_labelled(const PwWriter *w, PwProse *prose, const char *key, const char *text);
/* What an answer holds for, excepts and until when, each on a new line where the record says it. */
void pw_writer_add_limits(const PwWriter *w, PwProse *prose, const PwConsent *consent);
/* A point of the list for each PwChangedPart, leading to the anchor where that is not NULL. */
void pw_writer_list_changes(const PwWriter *w, PwBlock *list, const GArray *parts,
                            const char *anchor);
/* What the term means, once in a document, on a new line in the soft voice. */
void pw_writer_explain(PwWriter *w, PwProse *prose, const char *term);
/* Likewise the part, where a reader may not know it. */
void pw_writer_explain_part(PwWriter *w, PwProse *prose, const char *part);
/* A fact under the word `label`: the text where there is one; "not recorded" where the record owes
 * its `key`; else no fact. */
void pw_writer_fact(PwWriter *w, PwBlock *facts, const char *label, const char *key,
                    const char *text);
void pw_writer_fact_date(PwWriter *w, PwBlock *facts, const char *label, const char *key,
                         const GDate *date);

/* ---- Plates ------------------------------------------------------------------------ */

/* The first plate that shows a photograph whole, else in part; 0: none does. */
guint pw_writer_plate_of(const PwWriter *w, const PwModelPhoto *photo);
/* "Plate 3", leading there, once each and in order, in one line of the prose; nothing without a
 * plate. */
void pw_writer_add_plates(const PwWriter *w, PwProse *prose, const PwModelPhoto *const *photos,
                          gsize n);
/* Likewise those of the photographs that marks stand on, and those that show one of them large. */
void pw_writer_add_plates_of_marks(const PwWriter *w, PwProse *prose,
                                   const PwModelMark *const *marks, gsize n);

/* "Stain, cloth side"; "Opening, pp. 12-13", NULL where neither view nor place is told. Yours. */
char *pw_writer_dup_mark(const PwWriter *w, const PwModelMark *mark);
char *pw_writer_dup_view(const PwWriter *w, const PwModelPhoto *photo);
/* The mark, and "Plate 3" behind it. */
void pw_writer_add_mark(const PwWriter *w, PwProse *prose, const PwModelMark *mark);

#endif
