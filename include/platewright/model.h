/* Model: a folder becomes one resolved, read-only model, and everything that is drawn, printed or
 * checked is read off it. The one place that joins record, photographs and measuring.
 *
 * What a model holds lives until pw_model_free and does not change. Numbers are computed here and
 * only formatted elsewhere.
 */
#ifndef PLATEWRIGHT_MODEL_H
#define PLATEWRIGHT_MODEL_H

#include <platewright/measure.h>
#include <platewright/photo.h>
#include <platewright/record.h>
#include <platewright/style.h>
#include <platewright/trace.h>

PW_BEGIN_DECLS

typedef enum { PW_FOR_STUDIO, PW_FOR_OWNER, PW_FOR_PUBLIC } PwAudience;
gboolean pw_audience_parse(const char *word, PwAudience *audience);
const char *pw_audience_name(PwAudience audience);

typedef struct PwModel PwModel;
typedef struct PwModelPhoto PwModelPhoto;
typedef struct PwModelMark PwModelMark;
typedef struct PwModelChange PwModelChange;
typedef struct PwLook PwLook; /* the model's own */

/* Why there is no scale, or no size: what documents say of it, in the reader's language. */
typedef enum {
  PW_WHY_NOT_NONE,        /* there is one, or none is needed */
  PW_WHY_NOT_CURVED,      /* the surface is counted, not measured */
  PW_WHY_NOT_GIVEN,       /* no scale is recorded */
  PW_WHY_NOT_CARD,        /* no card was read */
  PW_WHY_NOT_GRADUATIONS, /* the rule was not read */
  PW_WHY_NOT_LEVEL,       /* no plane-offset */
  PW_WHY_NOT_DISTANCE,    /* no camera distance, where the plane-offset is not 0 */
  PW_WHY_NOT_OUTLINE,     /* it crosses itself */
  PW_WHY_NOT_ANSWER       /* the figures give none */
} PwWhyNot;

/* A card that a photograph's scale names, and the plane it lies in. */
typedef struct {
  const char *name;         /* as volume.yaml and the sidecar call it */
  const PwCard *text;       /* its entry in volume.yaml; NULL: there is none */
  char *design;             /* "a6 b", as found; NULL: not found in the picture */
  int n_tags;               /* found, of its tags; their corners as seen and on the card: */
  const PwPx *px;
  const PwMm *mm;
  gsize n;
  PwPx outline[4];          /* its corners as seen, from its upper left as printed */
  PwScale *scale;           /* at its plane-offset; NULL: `why`, in English, for the bench */
  char *why;
  PwWhyNot why_not;
  double doubt_percent;     /* U, about 95 %, of a length across the card but for the hand that
                               marks it; NAN without a scale */
  PwQuantity nearer_mm;     /* how much nearer the camera it lies than the card of the photograph's
                               scale, the two taken as level; NAN where that is not known */
} PwModelCard;

struct PwModelMark {
  PwModelPhoto *photo;
  const PwMark *text;       /* as the sidecar says it */
  char *reference;          /* "before/IMG_2041.jpg#3" */
  const PwTerm *term;       /* NULL: undecided or unknown */
  const char *group;        /* of the term; "other" without one */
  guint owner;              /* its number among all marks of the model, from 1 */
  PwModelMark *same_as;     /* the mark it points at, or NULL */
  PwModelMark *earlier;     /* what it was before treatment, or NULL */
  PwModelMark *family;      /* the first mark of all that are this damage, by same-as and earlier;
                               itself when it stands alone */
  PwKind kind;              /* of a mark that is gone, what it was */
  gboolean sized;           /* the sizes of its kind are filled */
  PwShapeSizes sizes;       /* a mark that is gone: 0, nothing uncertain */
  gboolean has_share;
  PwSize share_percent;     /* of the face */
  double area_px, length_px;
  const PwModelCard *card;  /* it is measured by: its own `card`, else the one that is seen nearest
                               to its middle; NULL where the scale is no card's */
  double plane_offset_mm;   /* where it was measured; NAN without */
  PwScale *own_scale;       /* where it stands on a level of its own */
  char *why;                /* why it has no size, in English, for the bench; NULL when it has, or
                               is a point */
  PwWhyNot why_not;
  gboolean withheld;        /* private or excepted from the consent to show, or the same damage as a
                               mark that is: never for the public */
  gboolean followed;        /* a mark after treatment says what became of this damage */
  const PwModelChange *change; /* of an after mark that takes part in one */
};

struct PwModelPhoto {
  char *file;               /* relative to the folder */
  char *path;
  const PwSidecar *sidecar; /* NULL: none, or none that can be read; then it has no marks */
  gboolean taken_in;        /* a sidecar lies beside it, readable or not */
  PwStage stage;
  gboolean readable;        /* facts are filled */
  PwPhotoFacts facts;       /* of the file as it is now; the strings are the model's */
  char *sha256;             /* as taken in, else as found; NULL when neither is known */
  char *taken;              /* ISO 8601 with zone where one is known; NULL */
  guint owner;
  guint lens_owner;         /* of its camera and lens as set; 0 when it could not be read */
  const PwLook *look;       /* what was seen in it */
  PwScale *scale;           /* at the photograph's plane-offset, by the first of its cards that
                               gives one; NULL: `why`, in English, for the bench */
  char *why;
  PwWhyNot why_not;
  double graduations;       /* how many of `ticks` the line was read to be long; 0 without */
  PwModelCard *cards;       /* in the order of the sidecar's `tags` */
  gsize n_cards;
  gboolean has_surface;
  PwSize surface_mm2;       /* the face less nothing */
  PwModelMark *marks;
  gsize n_marks;
};

/* All damage of one term and part at one stage, linked marks counted once, overlaps united. */
typedef struct {
  PwStage stage;
  const char *term, *part;  /* part may be NULL */
  guint count, unsized;     /* areas and lines 1 each, points their count; how many lack mm */
  guint points;             /* of `count`, those that are points and never have a size */
  gboolean has_area, has_length;
  PwSize area_mm2, length_mm;
} PwModelTotal;

/* After minus before, for one before mark and the after marks that say they are what it became. */
struct PwModelChange {
  PwModelMark *before;
  PwModelMark **after;
  gsize n_after;
  gboolean sized;           /* `delta` and `after_size` are filled, in mm2 or mm */
  PwSize delta, after_size;
  int count_delta;          /* points */
  gboolean gone;            /* every after mark says `gone: yes` */
};

/* One plate to draw: photographs by stage (any may be NULL), or a detail. */
typedef struct {
  char *title;              /* in the record's own words; pw_model_plate_dup_title prints it */
  gboolean is_named;        /* the title is volume.yaml's, not made from the first photograph */
  char *view, *place;
  PwModelPhoto *before, *during, *after;
  PwModelPhoto *detail;     /* a single photograph, or the one enlarged */
  PwModelMark *detail_mark; /* enlarge this one; NULL: the whole photograph */
} PwModelPlate;

typedef struct {
  gboolean headers;         /* open every photograph for its facts (measure, plates, check) */
  const PwProgress *progress;
} PwModelOptions;

/* Reads the folder (or the folder of one photograph, whose plates and sizes alone are then given).
 * What is wrong with the record goes to `complaints`; the model is returned all the same as far as
 * it could be made, so callers ask pw_complaints_count(..., PW_SEVERITY_ERROR). NULL and a GError
 * when there is no such folder or nothing in it. */
PwModel *pw_model_open(const char *path, const PwModelOptions *options, PwComplaints *complaints,
                       GError **error);
void pw_model_free(PwModel *model);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwModel, pw_model_free)

const char *pw_model_peek_folder(const PwModel *model); /* absolute */
const PwVolume *pw_model_peek_volume(const PwModel *model); /* NULL: no volume.yaml */
const PwTerms *pw_model_peek_terms(const PwModel *model); /* the volume's own among them */
/* The volume's id, else the folder's name. */
const char *pw_model_peek_id(const PwModel *model);
/* What a file or folder made of the record is called where nobody says otherwise:
 * "ID-MADE[-KIND][-WHOM][.ENDING]", the studio's without WHOM. `kind` and `ending` may be NULL.
 * Yours. */
char *pw_model_dup_file_name(const PwModel *model, const char *made, const char *kind,
                             PwAudience audience, const char *ending);
const char *pw_model_peek_only(const PwModel *model); /* the one photograph asked for, or NULL */
/* Whether that path is, by device and inode, a photograph or a text of the record or a document
 * that was issued, or bears a name that would be taken for one of the record. */
gboolean pw_model_holds(const PwModel *model, const char *path);
/* What of that can be told by the path alone, where no record is open. */
gboolean pw_model_may_hold(const char *path);
/* The folders that were looked through for photographs, the volume's own first: one that is in
 * another state by now may hold others. Paths are
 * absolute; the state is that from just before the look. */
typedef struct {
  char *path;
  PwFileState state;
} PwModelFolder;
/* Of what was complained of when it was opened, how many were errors. */
guint pw_model_n_errors(const PwModel *model);
gsize pw_model_n_folders(const PwModel *model);
const PwModelFolder *pw_model_peek_folder_seen(const PwModel *model, gsize i);
/* Photographs without a sidecar, and sidecars whose photograph is gone: no size shows them. */
gsize pw_model_n_apart(const PwModel *model);
gsize pw_model_n_photos(const PwModel *model);
PwModelPhoto *pw_model_peek_photo(const PwModel *model, gsize i); /* by stage, time taken, name */
PwModelPhoto *pw_model_find_photo(const PwModel *model, const char *file);
PwModelMark *pw_model_find_mark(const PwModel *model, const char *reference);
gsize pw_model_n_totals(const PwModel *model);
const PwModelTotal *pw_model_peek_total(const PwModel *model, gsize i);
gsize pw_model_n_changes(const PwModel *model);
const PwModelChange *pw_model_peek_change(const PwModel *model, gsize i);
gsize pw_model_n_plates(const PwModel *model);
const PwModelPlate *pw_model_peek_plate(const PwModel *model, gsize i);
/* Of which day a document is, so that two runs over one record give one file. */
typedef enum {
  PW_DAY_RECEIVED, /* the receipt */
  PW_DAY_EXAMINED, /* the latest of receipt, examination, observations, tests and photographs of
                    * the volume as it came, no later than the work began */
  PW_DAY_PROPOSED, /* when agreement to treatment was last asked for; else as examined, no later
                    * than the first answer */
  PW_DAY_LAST      /* the latest that the record speaks of, issued documents aside */
} PwModelDay;
/* FALSE, and `day` cleared, where the record speaks of no such day. Without a volume.yaml every day
 * is the last of the photographs. */
gboolean pw_model_day(const PwModel *model, PwModelDay which, GDate *day);
/* PW_DAY_LAST, ISO 8601; 1970-01-01 where the record speaks of none. Yours. */
char *pw_model_dup_date(const PwModel *model);
/* The language that volume.yaml prints in, as pw_words_read takes it; "en" where it names none. */
const char *pw_model_peek_language(const PwModel *model);
/* "View, place" with a capital, yours; NULL when its sidecar tells neither. */
char *pw_model_photo_dup_title(const PwModelPhoto *photo, const PwWords *words);
/* Likewise of a photograph of the plate: "Front board, detail" where it is one. */
char *pw_model_plate_dup_view(const PwModelPlate *plate, const PwModelPhoto *photo,
                              const PwWords *words);
/* What volume.yaml calls it, as it is written there, else what its first photograph shows, else
 * "Photograph LF24_0412", which is not for the public. Yours. */
char *pw_model_plate_dup_title(const PwModelPlate *plate, const PwWords *words);

/* ---- What is owed ------------------------------------------------------------------ */

typedef enum {
  PW_OWED_PHOTOGRAPH,      /* of a view that volume.yaml wants */
  PW_OWED_TAKING_IN,       /* it has no sidecar */
  PW_OWED_MENDING,         /* n errors in its text or file */
  PW_OWED_STAGE,
  PW_OWED_VIEW,
  PW_OWED_MARKS,           /* nothing is marked */
  PW_OWED_SCALE,           /* n marks have no size, for there is no scale */
  PW_OWED_SIZE,            /* n marks have no size, for another reason */
  PW_OWED_TERM,            /* n marks are undecided */
  PW_OWED_LOOKING_THROUGH, /* for names and faces */
  PW_OWED_PIECE            /* the volume has gone back, and it is not accounted for */
} PwOwedWhat;
/* "no photograph", "not taken in", "fault", "no stage", "no view", "not marked", "no scale",
 * "no size", "undecided", "not looked through", "piece open" */
const char *pw_owed_name(PwOwedWhat what);
typedef struct {
  const char *view, *place; /* NULL where not told */
  PwStage stage;
  PwModelPhoto *photo;      /* NULL: it is the photograph that is owed, or a piece */
  const PwPiece *piece;     /* NULL of others */
  guint lacks;              /* of a piece: PwLacks together */
  PwOwedWhat what;
  guint n;
  const char *why;          /* in English, the first of those marks has no size; NULL of others */
  PwWhyNot why_not;
  char *says;               /* in plain words, for a person */
} PwOwed;
/* View by view, those that are wanted first, then the others; of each what was taken before, during
 * and after treatment; then pieces, as the ledger has them. */
/* The i-th of all photographs in that order. */
PwModelPhoto *pw_model_peek_row(const PwModel *model, gsize i);
gsize pw_model_n_owed(const PwModel *model);
const PwOwed *pw_model_peek_owed(const PwModel *model, gsize i);

/* How well a hand is taken to place a point of an outline on that photograph, which has a sidecar:
 * its `outline`, else the volume's, else the default; px each coordinate, standard uncertainty. */
double pw_model_outline_px(const PwModel *model, const PwModelPhoto *photo);

/* ---- While something is drawn ------------------------------------------------------ */

/* Measures a mark that stands in no sidecar yet, as it would be on that photograph, by the code
 * that measures all: where it is saved and the model opened again, every figure is the same. `text`
 * and the model must outlive `mark`, which is overwritten; what marks say of each other is not
 * resolved. Safe from several threads. */
void pw_model_size_draft(const PwModel *model, const PwModelPhoto *photo, const PwMark *text,
                         PwModelMark *mark);
void pw_model_mark_clear(PwModelMark *mark);
/* The photograph as it would be with the scale that `draft` gives (pw_sidecar_new_draft; used up),
 * without marks. What is in the picture itself, tags and ticks, is looked for in it. The model must
 * outlive it. Safe from several threads. */
PwModelPhoto *pw_model_new_draft_scale(const PwModel *model, const PwModelPhoto *photo,
                                       PwSidecar *draft);
void pw_model_free_draft_scale(PwModelPhoto *draft);

/* ---- What is printed of it --------------------------------------------------------- */

/* What is wrong there, "undecided" where that is so. A synonym is printed as it is written, but in
 * a language that has it only under the term's name by that. */
const char *pw_model_mark_peek_term(const PwModelMark *mark, const PwWords *words);
/* "stain, cloth side": that and the part, which is left out where the term ends with its word, as
 * "loose sewing" does. Yours. */
char *pw_model_mark_dup_head(const PwModelMark *mark, const PwWords *words);
/* What terms.yaml says of a term, in the language where it is ours; the second may be NULL, and
 * speaks to a conservator or, where it can, to a reader who is none. */
const char *pw_model_term_peek_meaning(const PwTerm *term, const PwWords *words);
const char *pw_model_term_peek_caution(const PwTerm *term, const PwWords *words,
                                       PwAudience audience);

/* As in `measure --json`: the mark's whole object; the pairs "scale" (with "why" where there is
 * none), "graduations" and "cards", as they apply, of an object that is open; a size's pair. */
void pw_model_put_mark_json(PwJson *json, const PwModelMark *mark);
void pw_model_put_scale_json(PwJson *json, const PwModelPhoto *photo);
void pw_model_put_size_json(PwJson *json, const char *key, const PwSize *size);
/* "412 ± 14 mm²", "2 places", "made good"; NULL where there is no size. Yours. */
char *pw_model_mark_dup_shown(const PwModelMark *mark, const PwWords *words);
/* "longest 34.2 ± 1.0 mm" of an area; NULL for others. Yours. */
char *pw_model_mark_dup_longest(const PwModelMark *mark, const PwWords *words);
/* After less before: "−38.4 ± 1.2 mm²", "+2"; NULL where a size is missing. Yours. */
char *pw_model_change_dup_shown(const PwModelChange *change, const PwWords *words);
/* What the before mark has become in all: "140 ± 12 mm²", "2 places", "made good", "closed"; NULL
 * where a size is missing. Yours. */
char *pw_model_change_dup_after(const PwModelChange *change, const PwWords *words);
/* Whether a sized change is more than its own uncertainty: a difference within that is none that
 * could be measured. */
gboolean pw_model_change_is_measurable(const PwModelChange *change);
/* What has become of it, for a reader: "140 ± 12 mm² (− 161 ± 22)", "no measurable change", "made
 * good: 0 of 52.4 mm²", "closed"; NULL where nothing is known of that, and for all but the first of
 * several marks that one has become. Yours. */
char *pw_model_mark_dup_change(const PwModelMark *mark, const PwWords *words);
/* Whether that tells the mark's own size too. */
gboolean pw_model_mark_change_tells_size(const PwModelMark *mark);
/* "no card was read in the picture"; "" for none. Names nothing of the record. */
const char *pw_why_not_peek(PwWhyNot why_not, const PwWords *words);
/* "11.8 px/mm from the card · tilt 6°"; NULL where there is no scale. Yours. */
char *pw_model_scale_dup_shown(const PwModelPhoto *photo, const PwWords *words);
/* How far what is written may lie from what was drawn, `px` above 0: "0.5 mm", in whole steps of
 * its first figure and never less than it is; "4.7 px" where there is no scale. Yours. */
char *pw_model_within_dup_shown(const PwModelPhoto *photo, double px, const PwWords *words);
/* "0.36 ± 0.01 % of the face"; NULL without an outline of the face, or
 * without a size. Yours. */
char *pw_model_mark_dup_share(const PwModelMark *mark, const PwWords *words);
/* Of the whole face; NULL where it is not outlined or has no scale. Yours. */
char *pw_model_surface_dup_shown(const PwModelPhoto *photo, const PwWords *words);

/* ---- Who may see what -------------------------------------------------------------- */

/* PW_ERROR_RECORD with the reason when nothing may be shown to them at all (public: no consent). */
gboolean pw_model_may_show(const PwModel *model, PwAudience audience, GError **error);
/* Whether a photograph, a mark may be shown to them. */
gboolean pw_model_photo_shown(const PwModel *model, const PwModelPhoto *photo, PwAudience audience);
gboolean pw_model_mark_shown(const PwModel *model, const PwModelMark *mark, PwAudience audience);
/* Whether a text of volume.yaml may be read by them; NULL may. For the public, none that holds a
 * name the record knows (owner, studio, maker, whoever worked or photographed), a photograph's file
 * name, a word excepted from the consent, or a name that stands in a note or caption which is
 * itself withheld. A word of such a note counts as a name when it begins with a capital there and
 * the record nowhere writes it small. */
gboolean pw_model_words_shown(const PwModel *model, const char *text, PwAudience audience);
/* Whether a piece may be told of: its words, and the photograph that shows it. */
gboolean pw_model_piece_shown(const PwModel *model, const PwPiece *piece, PwAudience audience);
/* Whether what an entry is about, or shows, may be told of: the id of a piece, PHOTO or PHOTO#ID.
 * For the public nothing that is unknown. */
gboolean pw_model_about_shown(const PwModel *model, const char *about, PwAudience audience);
/* Outlines to fill before anything else happens to its pixels, grown already; yours to free with
 * pw_model_masks_free. Empty for the studio; for the owner too. */
PwPxPath *pw_model_dup_masks(const PwModel *model, const PwModelPhoto *photo, PwAudience audience,
                             gsize *n);
void pw_model_masks_free(PwPxPath *masks, gsize n);

/* ---- What documents compute: money and hours ---------------------------------------- */

/* Sums are plain decimal text with the decimals of the currency, "1234.50", each line rounded half
 * away from zero by itself, so that what is printed adds up. */
typedef struct {
  const PwEstimateLine *text;
  char *sum;
} PwModelEstimateLine;
typedef struct {
  const char *currency; /* ISO 4217 */
  PwModelEstimateLine *lines;
  gsize n_lines;
  char *hours;    /* of all lines that count hours, "32.0" as they were written; NULL: none does */
  char *subtotal; /* of all lines */
  char *tax;      /* NULL: none is said */
  char *total;
} PwModelEstimate;
/* NULL where there is none, where a sum is too large (an error among the complaints of
 * pw_model_open), and for the public. */
const PwModelEstimate *pw_model_peek_estimate(const PwModel *model, PwAudience audience);

/* What the steps of treatment took in all. */
typedef struct {
  guint n_unsaid; /* steps that do not say their hours */
  char *hours;    /* plain decimal, exact; NULL where no step says its hours */
} PwModelHours;
const PwModelHours *pw_model_peek_hours(const PwModel *model);

/* ---- What documents compute: consents ------------------------------------------------ */

#define PW_CONSENT_TO_TREATMENT "treatment"
#define PW_CONSENT_TO_SHOW "show publicly"

/* How it stands with a consent by the last word on it; the clock decides expiry alone. */
typedef enum {
  PW_STANDING_NEVER_ASKED,
  PW_STANDING_ASKED, /* and not answered */
  PW_STANDING_GIVEN,
  PW_STANDING_LIMITED, /* as said, or given with exceptions */
  PW_STANDING_WITHDRAWN,
  PW_STANDING_EXPIRED
} PwStanding;
/* "never-asked", "asked", "given", "limited", "withdrawn", "expired" */
const char *pw_standing_name(PwStanding standing);
gboolean pw_standing_holds(PwStanding standing); /* given, all or in part */
typedef struct {
  const char *to;
  PwStanding standing;
  const PwConsent *word;   /* the last; its `except`, `scope`, `until` hold; NULL: never asked */
  const PwConsent *before; /* the last but one on the same, which it took the place of, or NULL */
} PwModelConsent;
/* To treatment and to show publicly first, said or not, then what else the log is about, in its
 * order. */
gsize pw_model_n_consents(const PwModel *model);
PwModelConsent pw_model_consent(const PwModel *model, gsize i);
PwModelConsent pw_model_consent_to(const PwModel *model, const char *to);
/* As it stood on a day, by the words of that day and earlier; NULL: today. */
PwModelConsent pw_model_consent_by(const PwModel *model, const char *to, const GDate *day);
/* Likewise by the last answer: a question that was asked again since takes nothing back. `before`
 * is the answer before it. */
PwModelConsent pw_model_answer_by(const PwModel *model, const char *to, const GDate *day);

/* Whether a step of treatment was agreed to on its day. */
typedef enum {
  PW_STEP_AGREED,
  PW_STEP_NOT_AGREED, /* no consent to treatment of that day or earlier held then */
  PW_STEP_EXCEPTED    /* the consent excepts its part */
} PwStepAgreed;
PwStepAgreed pw_model_step_agreed(const PwModel *model, const PwTreatment *step);

/* What left the studio, and how it stands with the consent that it left under: to show publicly,
 * for whatever did not go to the owner or stay in the studio. */
typedef enum {
  PW_ISSUED_STANDS,
  PW_ISSUED_WITHOUT,   /* no consent held on that day */
  PW_ISSUED_WITHDRAWN, /* it was withdrawn since */
  PW_ISSUED_NARROWED,  /* more was excepted since */
  PW_ISSUED_EXPIRED,   /* it has run out since */
  PW_ISSUED_REPLACED   /* by a later version; it would stand */
} PwIssuedStanding;
/* "stands", "without", "withdrawn", "narrowed", "expired", "replaced" */
const char *pw_issued_standing_name(PwIssuedStanding standing);
typedef struct {
  const PwIssued *text;
  const PwConsent *under; /* NULL: none is asked for, or none held */
  const PwConsent *since; /* the word that changed it, or NULL */
  PwIssuedStanding standing;
} PwModelIssued;
gsize pw_model_n_issued(const PwModel *model); /* in the order of the log */
/* The folder, in the volume's own, that keeps the very files, and how large one may be. */
#define PW_ISSUED_FOLDER "issued"
enum { PW_LIMIT_ISSUED_BYTES = 1024 * 1024 * 1024 };
/* What one is called, relative to the volume folder: "issued/ID-proposal-v1-owner.pdf"; yours. */
char *pw_model_dup_issued_file(const PwModel *model, const char *document, int version,
                               const char *to, const char *ending);
/* One of those files: which of the record's it is, its checksum alone tells, whatever it is called.
 */
typedef struct {
  const char *name;    /* in the folder */
  const char *sha256;  /* NULL: it could not be read, for `why_not` */
  const char *why_not;
  const void *data;
  gsize length;
} PwKept;
gboolean pw_kept_is(const PwKept *kept, const char *sha256);
/* Shows every file there, by name, each read whole; until `func` returns FALSE. A folder that is a
 * link is not followed, and so keeps nothing. */
typedef gboolean (*PwKeptFunc)(void *user, const PwKept *kept);
void pw_model_each_kept(const PwModel *model, PwKeptFunc func, void *user);
PwModelIssued pw_model_issued(const PwModel *model, gsize i);

/* ---- What documents compute: the ledger of pieces ------------------------------------ */

/* What a piece still lacks. The first four keep it open: nobody could say that it is accounted
 * for. */
typedef enum {
  PW_LACKS_OUTCOME = 1 << 0,
  PW_LACKS_REASON = 1 << 1,  /* discarded, and not told why */
  PW_LACKS_CONSENT = 1 << 2, /* discarded, and no consent to it was given that held then */
  PW_LACKS_PLACE = 1 << 3,   /* housed, and not told where */
  PW_LACKS_DATE = 1 << 4     /* not told when its outcome came about */
} PwLacks;
enum { PW_LACKS_WHAT_CLOSES = (1 << 4) - 1, PW_N_LACKS = 5 };
/* "outcome", "reason", "consent", "place", "date": of one bit */
const char *pw_lacks_name(PwLacks lack);

typedef struct {
  const PwPiece *text;
  PwModelPhoto *photo;     /* of it, where there is one; NULL */
  PwModelMark *mark;       /* on that photograph, or NULL */
  const PwConsent *agreed; /* given on the day that its `agreed` names; NULL where none was */
  PwStanding standing;     /* of that consent today; PW_STANDING_NEVER_ASKED without one */
  guint lacks;             /* PwLacks together */
  gboolean is_open;        /* the record is not complete */
} PwModelPiece;
typedef struct {
  PwModelPiece *pieces; /* open ones first, then by kind, then by id, 2 before 10 */
  gsize n_pieces;
  guint n_open;
  guint count, count_open; /* of single things: a piece may be five pressed leaves */
  guint by_kind[3];        /* pieces, by PwPieceKind */
  guint by_outcome[6];     /* pieces, by PwOutcome */
  guint n_withheld;        /* pieces that this audience is not told of, counted nowhere else */
} PwModelLedger;
/* Pieces that are excepted from the consent to show, or whose photograph or mark may not be shown,
 * are not for the public. Yours to free. */
PwModelLedger *pw_model_ledger_new(const PwModel *model, PwAudience audience);
void pw_model_ledger_free(PwModelLedger *ledger);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwModelLedger, pw_model_ledger_free)

/* Whether words that go with a photograph may be told as far as it goes: one that nobody has looked
 * through yet keeps its picture back, not them; what is withheld on it, or a photograph that is
 * excepted or not known, keeps them back too. */
gboolean pw_model_beside_shown(const PwModel *model, const char *file, PwAudience audience);

/* Which of two ids stands first, as strcmp: 2 before 10; NULL before all. */
int pw_model_compare_piece_ids(const char *a, const char *b);

/* Whether it, or of what was thrown away some of it, is still kept apart from the volume: what went
 * back to its place or to the owner is where `kept` says no longer. */
gboolean pw_model_piece_is_kept(const PwPiece *piece);

/* Whether a piece was known of on a day, as far as the record tells: by the day of its photograph
 * or its outcome, by the stage of the photograph, or since the record speaks of no later day. */
typedef enum {
  PW_KNOWN_NOT_TOLD, /* also where `day` is no day */
  PW_KNOWN_BY_THEN,
  PW_KNOWN_LATER
} PwKnown;
PwKnown pw_model_piece_known(const PwModel *model, const PwPiece *piece, const GDate *day);

/* ---- What documents compute: care ---------------------------------------------------- */

/* What in the record a rule goes by. */
typedef enum {
  PW_REASON_TERM,       /* `what` the term, `value` its parts, "leaf, spine" */
  PW_REASON_TERM_ALONE, /* `what` the term, of which no part is told; `value` "" */
  PW_REASON_HEIGHT,     /* `value` in mm, plain; `what` NULL */
  PW_REASON_THICKNESS,  /* the same */
  PW_REASON_BINDING,    /* `what` the word that was found, `value` the binding as recorded */
  PW_REASON_DATE,       /* `value` the date as recorded */
  PW_REASON_PIECE       /* `what` the piece's id, `value` what it is */
} PwReasonKind;
/* "term", "term-alone", "height", "thickness", "binding", "date", "piece": the key of the phrase
 * that prints it is "care-because-" and that, its blanks {what} and {value} */
const char *pw_reason_name(PwReasonKind kind);
typedef struct {
  PwReasonKind kind;
  char *what, *value;
} PwReason;
typedef struct {
  PwCareKind kind;
  const char *rule;   /* "store-flat": printed by the word "care-store-flat"; NULL: by `text` */
  const char *text;   /* the conservator's own words, or a term's caution; NULL for a rule */
  const PwTerm *term; /* whose caution it is, or NULL */
  const char *source; /* NULL: the conservator */
  PwReason *reasons;  /* none for the conservator's own */
  gsize n_reasons;
} PwModelCare;
/* The conservator's own `care:` first, as written, then what the rules of styles/care.yaml propose
 * from the record, housing before handling before cautions, then the cautions of the terms that
 * were found. For the owner and the public only what has a source that was seen; for the public
 * nothing is reasoned from what is withheld. `as_it_came`: nothing is reasoned from photographs
 * during and after treatment; else a term that ends when it is gone is reasoned from nowhere where
 * a mark after treatment says that. Nor from what is known to be later than `day`, unless that is
 * NULL. `n` of them, yours to free. */
PwModelCare *pw_model_dup_care(const PwModel *model, PwAudience audience, gboolean as_it_came,
                               const GDate *day, gsize *n);
void pw_model_care_free(PwModelCare *care, gsize n);

/* ---- What documents compute: condition ------------------------------------------------ */

/* Damage of one term on one part. What is counted, here and below, are places: an area or a line is
 * one, a point as many as its count; linked marks are one damage and count once; what an audience
 * may not see counts nowhere. */
typedef struct {
  const char *part;  /* NULL: not said */
  const char *term;  /* as in PwModelTotal */
  const char *group; /* of the term */
  PwModelTotal before, after; /* count 0, nothing sized: none */
  guint n_followed;  /* of those before, how many a mark after treatment says what became of */
  gboolean has_change; /* each damage before was followed, every one is sized: `change` is after
                          less before, in mm2 or in mm by `is_length`, new damage included */
  gboolean is_length;
  PwSize change;
  int severity;      /* the strongest that a mark before treatment says; 0: none says */
} PwModelCondition;
typedef struct {
  const char *part; /* NULL: not said */
  PwModelCondition *terms; /* the strongest first, then by name */
  gsize n_terms;
  guint n_before, n_after; /* that were damaged before, that are damaged after */
  guint n_followed;        /* of those before, as of a condition */
  guint n_noted;           /* before, of a term that is noted and no damage: an inscription */
  int severity;
} PwModelPart;
/* One face of the volume, for the map of its faces. */
typedef struct {
  const char *view;        /* NULL: photographs whose view is not told */
  guint n_photos;          /* shown of it, at any stage */
  guint n_before, n_after; /* damaged on it; a damage that is seen from two sides counts on both */
  guint n_followed;        /* of those before, by a mark after treatment on whatever face */
  gboolean has_before, has_after; /* photographed then: 0 says that nothing was found */
  int severity;
} PwModelFace;
typedef struct {
  PwModelPart *parts; /* in the order of a volume from the outside in, others by name after them */
  gsize n_parts;
  PwModelFace *faces; /* as `views` asks for them, then those it does not name */
  gsize n_faces;
  guint n_before, n_after; /* damaged, in all */
  guint n_followed;        /* of those before, as of a condition */
  guint n_noted;           /* as of a part */
} PwModelSummary;
/* Whether a term of that group is damage: one that is only noted is none. */
gboolean pw_model_is_damage(const char *group);
/* Whether this reader is told by a mark after treatment that a damage was made good, and by none
 * that some of it is left. */
gboolean pw_model_mark_is_made_good(const PwModel *model, const PwModelMark *mark,
                                    PwAudience audience);
/* Whether what is counted after treatment is a figure: nothing is one only where a mark says of
 * each place before what became of it. */
gboolean pw_model_after_is_told(guint n_before, guint n_followed, guint n_after);
/* Yours to free; the model must outlive it. */
PwModelSummary *pw_model_summary_new(const PwModel *model, PwAudience audience);
void pw_model_summary_free(PwModelSummary *summary);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwModelSummary, pw_model_summary_free)

/* When a document owes a thing. */
typedef enum {
  PW_DUE_RECEIVED = 1 << 0, /* a receipt */
  PW_DUE_EXAMINED = 1 << 1, /* a report on condition */
  PW_DUE_PROPOSED = 1 << 2, /* a proposal */
  PW_DUE_TREATED = 1 << 3   /* a report on treatment */
} PwDue;
/* What the record owes by then and does not say: keys as in volume.yaml, "volume/title",
 * "consents/treatment", NULL at the end; the names are static, the list is yours (g_free). */
const char **pw_model_dup_unrecorded(const PwModel *model, guint due);

/* Opens a photograph that is the one that was taken in, PW_ERROR_RECORD where the sidecar names
 * another sha256: nothing is read from other pixels. `sha256` (or NULL) is yours, like the
 * photograph. */
PwPhoto *pw_model_open_original(const PwModel *model, const PwModelPhoto *photo, char **sha256,
                                GError **error);

/* ---- Rendered pictures, cached ----------------------------------------------------- */

/* pw_photo_render_jpeg through the cache of the folder (keyed by the file's sha256 and everything
 * in `render`); without a cache when the folder cannot be written. Safe from several threads. */
GBytes *pw_model_render_jpeg(const PwModel *model, const PwModelPhoto *photo,
                             const PwRender *render, int quality, int *width, int *height,
                             GError **error);

/* The tiles of a photograph from the cache of the folder, yours to free, safe from several threads.
 * Without `build`: NULL, and no error, where there are none yet. With it every tile there is
 * checked, and where one is damaged or there are none they are made, one photograph at a time in
 * this process; another that does the same does no harm. PW_ERROR_RECORD when the photograph is not
 * the one that was taken in. The cache may go at any time: tiles that are open stay readable. */
PwTiles *pw_model_open_tiles(const PwModel *model, const PwModelPhoto *photo, gboolean build,
                             const gint *stop, GError **error);

/* ---- Proposed from the pixels ------------------------------------------------------ */

/* pw_trace_follow on a photograph at full resolution (where the patch is larger than is followed at
 * once, at half, a quarter, ...): everything in upright px. `tiles`: the photograph's, or NULL, and
 * the file itself is decoded, which takes longer. Where the patch leaves a window of 2048 px, and
 * the whole picture at half its pixels and 0.7 of the tolerance shows nothing that holds it back,
 * it is refused by that. Given up, PW_ERROR_USE, once `*stop` (atomic; or NULL) is not 0. Safe from
 * several threads. */
gboolean pw_model_follow_edge(const PwModel *model, const PwModelPhoto *photo, const PwTiles *tiles,
                              PwPx at, double tolerance, const gint *stop, PwTrace *trace,
                              GError **error);
/* pw_trace_corners, and pw_trace_end for both ends of a line; `doubt_px` of the worst. `reach_px`:
 * how far from a place its edge is sought, 8 to 100; NAN: what a hand misses by that sees the whole
 * photograph. PW_ERROR_BUSY for a large one of which no tiles are there yet. */
gboolean pw_model_improve_corners(const PwModel *model, const PwModelPhoto *photo,
                                  const PwTiles *tiles, const PwPx corners[4], double reach_px,
                                  PwPx improved[4], double *doubt_px, GError **error);
gboolean pw_model_improve_ends(const PwModel *model, const PwModelPhoto *photo,
                               const PwTiles *tiles, const PwPx ends[2], double reach_px,
                               PwPx improved[2], double *doubt_px, GError **error);

/* ---- Intake and check -------------------------------------------------------------- */

typedef struct {
  guint n_new;       /* sidecars written */
  guint n_kept;      /* photographs that had one */
  guint n_relinked;
  gboolean wrote_volume;
  GPtrArray *without_card; /* char *: the new ones in which no card was found */
} PwIntakeResult;
void pw_intake_result_clear(PwIntakeResult *result);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(PwIntakeResult, pw_intake_result_clear)
/* Reads all photographs of `folder` and its subfolders; writes volume.yaml and a sidecar where
 * there is none, never over anything. Cards that lie in new photographs become their scale, by the
 * name of the entry in volume.yaml whose design fits; where none does one is entered, and a note
 * among the complaints says so. Renamed photographs (a sidecar whose photograph is gone, a
 * photograph without sidecar, the same sha256) are complained of, or with `relink` get their
 * sidecar renamed. */
gboolean pw_intake(const char *folder, gboolean relink, const PwProgress *progress,
                   PwIntakeResult *result, PwComplaints *complaints, GError **error);

typedef struct {
  gboolean full;     /* hash every photograph again, and lay pairs that were not laid yet */
  const PwProgress *progress;
} PwCheckOptions;
/* What is missing, wrong or changed since intake, beyond what reading the model complained of. */
void pw_check(const PwModel *model, const PwCheckOptions *options, PwComplaints *complaints);

/* ---- A lens that is known ---------------------------------------------------------- */

/* The photographs of the printed sheet that one camera took with one lens at one focal length. */
typedef struct {
  char *make, *model, *lens; /* as EXIF has them; NULL where it is silent */
  double focal_mm;           /* NAN where EXIF is silent */
  int width, height;         /* px as stored, not turned upright */
  guint n_photos;
  char *from;                /* "9 photographs of the sheet, 2026-03-01" */
  char *why;                 /* why there is no calibration; NULL when there is one */
  PwCalibration calibration; /* in stored px */
  char *entry;               /* for `lenses:`, flow text on one line; NULL without a calibration */
} PwLensGroup;
typedef struct {
  PwLensGroup *groups; /* in the order of their first photographs' names */
  gsize n_groups;
  guint n_photos; /* that were looked at */
  guint n_sheets; /* that the sheet was found in */
} PwLensResult;
/* Looks for the sheet in every photograph of `folder` (its subfolders not), on all cores, and
 * calibrates each lens (pw_lens_calibrate). What could not be used is complained of, a group
 * without a calibration as an error. FALSE and a GError when there is no such folder. */
gboolean pw_lens_read(const char *folder, const PwProgress *progress, PwLensResult *result,
                      PwComplaints *complaints, GError **error);
void pw_lens_result_clear(PwLensResult *result);
/* Writes the entries under `lenses:` of the folder's volume.yaml, one of the same make, model,
 * lens, focal length and size being replaced. Complains of an entry further up that would be used
 * instead. FALSE, and nothing written, when there is no volume.yaml (PW_ERROR_USE), when it has
 * errors (complained of; PW_ERROR_RECORD) or could not be written. */
gboolean pw_lens_write(const char *folder, const PwLensResult *result, PwComplaints *complaints,
                       GError **error);

PW_END_DECLS
#endif
