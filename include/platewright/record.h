/* Record: volume.yaml, sidecars and terms, read into structs, checked, edited. Knows no pixels.
 *
 * Strings are NULL, numbers NAN, dates empty where the text does not say. Every struct that stands
 * for something in a text carries `node`, its place there, for complaints; nodes live as long as
 * the owner's `yaml` and until it is edited. The format, key by key: docs/formats.md.
 */
#ifndef PLATEWRIGHT_RECORD_H
#define PLATEWRIGHT_RECORD_H

#include <platewright/geometry.h>
#include <platewright/yaml.h>

PW_BEGIN_DECLS

typedef enum { PW_STAGE_NONE, PW_STAGE_BEFORE, PW_STAGE_DURING, PW_STAGE_AFTER } PwStage;
typedef enum { PW_BASIS_OBSERVED, PW_BASIS_TESTED, PW_BASIS_INFERRED, PW_BASIS_REPORTED } PwBasis;
const char *pw_stage_name(PwStage stage); /* "before"; "" for none */
const char *pw_basis_name(PwBasis basis);

/* A number of the record that a name goes with, as under `uncertainty:`. */
typedef struct {
  const PwYamlNode *node;
  char *name;
  double value;
} PwNamed;

/* ---- Sidecar ----------------------------------------------------------------------- */

/* A plane-offset: mm by which the measured surface stands nearer the camera than the card, or the
 * word `thickness`, or not stated. */
typedef struct {
  const PwYamlNode *node; /* NULL: not stated */
  gboolean thickness;
  double mm; /* NAN when `thickness`, not stated, or stated and not understood */
} PwPlaneOffset;

typedef enum {
  PW_GIVEN_NONE,
  PW_GIVEN_TAGS,
  PW_GIVEN_RECTANGLE,
  PW_GIVEN_SPAN,
  PW_GIVEN_TICKS
} PwGiven;

typedef struct {
  const PwYamlNode *node; /* NULL: no `scale:` at all */
  PwGiven given;
  char **tags;            /* names of cards, NULL-terminated */
  PwPx corners[4];        /* rectangle */
  double width, height, tolerance;
  PwPx from, to;          /* span, ticks */
  double length, pitch;
  double count;           /* of graduations along the line, by eye; NAN */
  PwPlaneOffset plane_offset;
  double camera_distance;
} PwScaleText;

typedef struct {
  const PwYamlNode *node;
  char *id;
  char *term, *part;
  PwKind kind;
  PwPxPath path;
  PwPxPath *holes;
  gsize n_holes;
  int severity;  /* 1..3, 0: not said */
  int count;     /* points: 1 when left out */
  char *note;
  PwBasis basis;
  gboolean private_, gone;
  char *same_as, *earlier; /* references FILE#ID */
  char *card;
  PwPlaneOffset plane_offset;
  double outline_px; /* `uncertainty: {outline: ...}` of its own; NAN */
} PwMark;

typedef struct {
  const PwYamlNode *node;
  PwPx here, there;
} PwTie;

typedef struct {
  PwYaml *yaml;  /* owned */
  char *file;    /* the photograph's path relative to the volume folder */
  char *name;    /* the sidecar's own */
  char *taken, *sha256, *source; /* taken: ISO 8601 with zone, as written */
  int width, height;             /* `size`; 0: not said */
  PwStage stage;
  char *step, *view, *place, *light, *caption;
  GDate privacy_checked;
  PwScaleText scale;
  PwPxPath surface;
  gboolean curved;
  PwPxPath neutral;
  char *chart_lab;
  PwPxPath chart_corners;
  PwNamed *uncertainty;
  gsize n_uncertainty;
  PwTie *ties;
  gsize n_ties;
  PwMark *marks;
  gsize n_marks;
} PwSidecar;

/* Reads one sidecar. `file` is the photograph's path relative to the folder; the sidecar is
 * `path`. What is wrong goes to `complaints`; a sidecar with complaints of severity error is still
 * returned as far as it could be read, so that all faults of a folder are found in one run. NULL
 * when it could not be read (GError) or is no YAML (complaints). Outlines that cross themselves
 * are complained of here, naming the crossing; references and terms are the model's to check. */
PwSidecar *pw_sidecar_read(const char *path, const char *file, PwComplaints *complaints,
                           GError **error);
void pw_sidecar_free(PwSidecar *sidecar);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwSidecar, pw_sidecar_free)
/* The text of a new sidecar for `intake`; NULL arguments are left out. `cards`: names of those that
 * give its scale, NULL-terminated, or NULL. Yours. */
char *pw_sidecar_dup_new(const char *taken, const char *sha256, int width, int height,
                         const char *source, PwStage stage, const char *const *cards);
/* pw_yaml_dup_tag of its text. */
char *pw_sidecar_dup_tag(const PwSidecar *sidecar);

/* One edit of a sidecar. `key` as in the text, nested ones with "/": "scale/rectangle/corners".
 * `values` are texts as the reader takes them, NULL-terminated: one for a single value, several
 * where there may be a list; of `ties` each is "x,y x,y", here and there. How they are quoted is
 * the writer's business; coordinates are written with two decimals at most. `values` NULL: the key
 * goes; `key` NULL too: the whole mark goes. What goes and is not there is no error. */
typedef struct {
  const char *mark; /* the id of a mark, a new one where there is none of that id; NULL: the key is
                       the photograph's own */
  const char *key;
  const char *const *values;
} PwSidecarEdit;
/* Edits the sidecar at `path`, all edits or none, leaving every byte that they do not change. `tag`
 * is that of the text they were made for: where another stands there nothing is written
 * (PW_ERROR_STALE). The result is read again first: an error that was not there before is refused
 * (PW_ERROR_RECORD, complained of). A key that is none, or that is set at intake (`format`,
 * `photo/sha256`, `size`, `taken`), is PW_ERROR_USE; more than PW_LIMIT_EDITS are PW_ERROR_LIMIT.
 * `new_tag`, yours, is that of the text now. */
gboolean pw_sidecar_edit(const char *path, const char *file, const char *tag,
                         const PwSidecarEdit *edits, gsize n, char **new_tag,
                         PwComplaints *complaints, GError **error);
/* A sidecar of the same photograph, in memory only, that says its size and what the edits say and
 * nothing else: a mark or a scale that is being drawn. Complaints are of a text of its own. NULL
 * for keys that are none (PW_ERROR_USE). */
PwSidecar *pw_sidecar_new_draft(const PwSidecar *sidecar, const PwSidecarEdit *edits, gsize n,
                                PwComplaints *complaints, GError **error);
/* The mark in whose text a place of the sidecar lies (from 1, as complaints have it); NULL where it
 * is none's. */
const PwMark *pw_sidecar_mark_at(const PwSidecar *sidecar, guint line, guint column);
/* "IMG_1.jpg#3" into file and id, split at the last '#'. FALSE when there is none. */
gboolean pw_reference_split(const char *reference, char **file, char **id);

/* ---- volume.yaml ------------------------------------------------------------------- */

typedef struct {
  const PwYamlNode *node;
  char *name, *design;
  double check_along, check_across, tolerance;
  GDate measured;
  PwPlaneOffset plane_offset;
  double (*greys_lab)[3];
  gsize n_greys;
} PwCard;
typedef struct {
  const PwYamlNode *node;
  char *make, *model, *lens, *from;
  double focal;
  int width, height;
  double f_px, cx, cy, k1, k2, residual_px;
} PwLensText;
typedef struct {
  const PwYamlNode *node;
  char *name;     /* "MAKE MODEL" */
  int clock_offset_s; /* seconds east of Greenwich */
  char *clock_offset; /* as written, "+01:00" */
} PwCamera;
typedef struct {
  const PwYamlNode *node;
  char *title, *before, *during, *after, *detail; /* PHOTO, detail PHOTO or PHOTO#ID */
} PwPlateText;
typedef struct {
  const PwYamlNode *node;
  char *part, *place, *term, *says;
  PwBasis basis;
  GDate on;
} PwObservation;
typedef struct {
  const PwYamlNode *node;
  char *what, *unit, *with;
  double value, tolerance;
  PwStage stage;
} PwHandMeasure;
typedef struct {
  const PwYamlNode *node;
  GDate on, agreed;
  char *place, *method, *result, *kept;
  int consumed; /* 1 yes, 0 no, -1 not said */
} PwTest;
typedef enum { PW_PIECE_PART, PW_PIECE_FOUND_INSIDE, PW_PIECE_REMOVED } PwPieceKind;
typedef enum {
  PW_OUTCOME_NONE,
  PW_OUTCOME_REATTACHED,
  PW_OUTCOME_REPLACED,
  PW_OUTCOME_RETURNED,
  PW_OUTCOME_HOUSED,
  PW_OUTCOME_DISCARDED
} PwOutcome;
const char *pw_piece_kind_name(PwPieceKind kind); /* as written: "found inside" */
const char *pw_outcome_name(PwOutcome outcome);   /* "replaced in position"; "" for none */
typedef struct {
  const PwYamlNode *node;
  char *id, *what, *found, *at, *photo, *kept, *because;
  PwPieceKind kind;
  int count; /* 1 when left out */
  PwOutcome outcome;
  GDate on, agreed;
} PwPiece;
typedef struct {
  const PwYamlNode *node;
  GDate on;
  char **about, **options;
  char *question, *chosen, *because, *risk;
  PwBasis basis;
} PwDecision;
typedef struct {
  const PwYamlNode *node;
  char *part, *do_, *risk, *alternative;
} PwProposal;
typedef struct {
  const PwYamlNode *node;
  GDate on;
  char *by, *part, *did, *materials, *differs;
  double hours;
  char **photos;
} PwTreatment;
typedef struct {
  const PwYamlNode *node;
  char *what;
  char *hours, *rate, *cost; /* decimal text, checked: money is never a double */
} PwEstimateLine;
typedef enum {
  PW_CONSENT_ASKED,
  PW_CONSENT_GIVEN,
  PW_CONSENT_LIMITED,
  PW_CONSENT_WITHDRAWN
} PwConsentIs;
typedef struct {
  const PwYamlNode *node;
  GDate on, until;
  char *by, *to, *scope, *how; /* to: "treatment", "show publicly", ... */
  PwConsentIs is;
  char **except;
} PwConsent;
typedef struct {
  const PwYamlNode *node;
  char *document, *to, *sha256;
  int version;
  GDate on;
} PwIssued;

typedef struct {
  PwYaml *yaml; /* owned */
  char *id, *title, *maker, *date, *binding, *collation, *numbering, *description;
  double size_mm[3]; /* height, width, thickness; NAN */
  double mass_kg;
  char *owner_name, *owner_contact;
  char *studio_name, *studio_by, *studio_contact;
  GDate received, examined, returned, treated_from, treated_to;
  char *language; /* of what is printed: the name of a file of words */
  char *purpose, *lamps;
  char **views;
  PwPlaneOffset plane_offset;   /* for every photograph that states none */
  PwNamed *uncertainty;         gsize n_uncertainty;
  PwCard *cards;                gsize n_cards;
  PwLensText *lenses;           gsize n_lenses;
  PwCamera *cameras;            gsize n_cameras;
  PwPlateText *plates;          gsize n_plates;
  PwObservation *observations;  gsize n_observations;
  PwHandMeasure *measurements;  gsize n_measurements;
  PwTest *tests;                gsize n_tests;
  PwPiece *pieces;              gsize n_pieces;
  PwDecision *decisions;        gsize n_decisions;
  PwProposal *proposal;         gsize n_proposal;
  PwTreatment *treatment;       gsize n_treatment;
  char *currency, *tax;         /* of the estimate; tax in % as decimal text */
  PwEstimateLine *estimate;     gsize n_estimate;
  PwConsent *consents;          gsize n_consents;
  PwIssued *issued;             gsize n_issued;
  char **care, **notes;
} PwVolume;

/* As pw_sidecar_read. */
PwVolume *pw_volume_read(const char *path, PwComplaints *complaints, GError **error);
void pw_volume_free(PwVolume *volume);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwVolume, pw_volume_free)
/* pw_yaml_dup_tag of its text. */
char *pw_volume_dup_tag(const PwVolume *volume);

/* One edit of volume.yaml. `list` NULL: `key` is the volume's own, nested ones with "/":
 * "volume/title", "received"; a list of texts as "care" takes all its values. Else the key is of an
 * entry of `list`, which may be nested too: "estimate/lines". `entry` calls it by its id in
 * "pieces" and by its name in "cards" and "cameras", where one that is not there is new; in every
 * other list by its place, from 0, as the text was read before the first edit of the call, and one
 * that is new by "+" and whatever tells it from another new one. What is new comes last, written as
 * the last entry there is, else on one line. `values` as in PwSidecarEdit: NULL, and the key goes;
 * `key` NULL too, and the whole entry goes. Of "greys-lab" each value is "L a b". */
typedef struct {
  const char *list;
  const char *entry;
  const char *key;
  const char *const *values;
} PwVolumeEdit;
/* As pw_sidecar_edit; set at intake is only `format`. What an entry that goes is told after that is
 * PW_ERROR_USE, as is a place where there is none. */
gboolean pw_volume_edit(const char *path, const char *tag, const PwVolumeEdit *edits, gsize n,
                        char **new_tag, PwComplaints *complaints, GError **error);
/* The text of a new volume.yaml for `intake`, with comments that say what to fill in. Yours. */
char *pw_volume_dup_new(const char *id);
#define PW_VOLUME_FILE "volume.yaml"
#define PW_SIDECAR_ENDING ".yaml"

/* ---- Terms ------------------------------------------------------------------------- */

typedef struct {
  char *name;
  char **synonyms, **parts;
  gboolean as_area, as_line, as_point; /* what it may be drawn as */
  char *group;   /* a group of styles/terms.yaml */
  char *meaning, *caution, *source;    /* caution and source may be NULL */
  char *caution_for_owner;             /* what a reader who is no conservator is told in its place;
                                          NULL: the caution itself */
  gboolean ends_when_gone; /* what it calls for stands no longer where it was made good */
  gboolean is_own; /* of the volume's own terms.yaml */
} PwTerm;
typedef struct PwTerms PwTerms;
/* Reads `path`, and `own` over it when not NULL (entries of a volume's own terms.yaml). */
PwTerms *pw_terms_read(const char *path, const char *own, PwComplaints *complaints, GError **error);
void pw_terms_free(PwTerms *terms);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwTerms, pw_terms_free)
/* By name or synonym; NULL when unknown. */
const PwTerm *pw_terms_find(const PwTerms *terms, const char *word);
const char *pw_terms_nearest(const PwTerms *terms, const char *word); /* or NULL */
guint pw_terms_n(const PwTerms *terms);
const PwTerm *pw_terms_peek(const PwTerms *terms, guint i);
/* The word for a mark whose term is not decided yet. */
#define PW_TERM_UNDECIDED "undecided"

/* ---- Rules of care ----------------------------------------------------------------- */

typedef enum { PW_CARE_OWN, PW_CARE_HOUSING, PW_CARE_HANDLING, PW_CARE_CAUTION } PwCareKind;
/* What has to be in a record, all of it together; what is not said is not asked for. */
typedef struct {
  const PwYamlNode *node;
  double height_over, height_up_to, thickness_over, thickness_up_to; /* mm */
  char **terms;           /* one of them was found */
  char **binding;         /* one of them stands in `binding` */
  char **pieces;          /* one of them was found inside */
  int made_from, made_to; /* years, inclusive; 0: any. A volume of no date may be of any */
} PwCareWhen;
typedef struct {
  const PwYamlNode *node;
  char *id; /* its words are "care-ID" in styles/words */
  PwCareKind kind;
  char *source;
  PwCareWhen *when; /* any one of them */
  gsize n_when;
} PwCareRule;
typedef struct PwCareRules PwCareRules;
/* styles/care.yaml; complaints as of pw_terms_read. */
PwCareRules *pw_care_rules_read(const char *path, PwComplaints *complaints, GError **error);
void pw_care_rules_free(PwCareRules *rules);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwCareRules, pw_care_rules_free)
gsize pw_care_rules_n(const PwCareRules *rules);
const PwCareRule *pw_care_rules_peek(const PwCareRules *rules, gsize i);

PW_END_DECLS
#endif
