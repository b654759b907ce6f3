/* What the files of module model share. The model is filled in this order: folder, texts, facts,
 * looks, links, scales, sizes, totals, changes, plates, what is owed, discretion; each step reads
 * only what the steps before it made. */
#ifndef PW_MODEL_PRIVATE_H
#define PW_MODEL_PRIVATE_H

#include <platewright/card.h>
#include <platewright/model.h>

/* What lies in a folder, as paths relative to it, sorted; its folders as they come. */
typedef struct {
  GArray *folders;      /* PwModelFolder: itself, then those within it */
  GPtrArray *photos;    /* char * */
  GPtrArray *sidecars;  /* char *: "X.jpg.yaml", whether or not there is an X.jpg */
  GPtrArray *leftovers; /* char *: temporary files that a broken write left behind */
  GPtrArray *links;     /* char *: photographs and texts that are links, which are not followed */
} PwFolder;

/* What was seen in a photograph's picture that its scale asks for: `found` for tags, `ticks`, or
 * why neither: PW_ERROR_NUMERIC where the picture gives no answer, PW_ERROR_RECORD where it is not
 * the one that was taken in, others where it could not be read. */
struct PwLook {
  PwFound found;
  PwTicks ticks;
  GError *error;
};

/* What the public may read of volume.yaml. */
typedef struct PwDiscretion PwDiscretion;

struct PwModel {
  char *folder;
  char *only; /* the one photograph asked for, relative; or NULL */
  char *fallback_id;
  guint n_errors; /* complained of while it was opened */
  PwFolder found;
  PwVolume *volume;
  PwTerms *terms;
  PwCareRules *care;
  GPtrArray *photos;        /* PwModelPhoto *, in the order of pw_model_peek_photo */
  GHashTable *by_file;      /* file -> PwModelPhoto *, borrowed */
  GHashTable *by_reference; /* reference -> PwModelMark *, borrowed */
  PwLook *looks;            /* by the photographs' owner less 1 */
  GArray *totals;           /* PwModelTotal */
  GPtrArray *changes;       /* PwModelChange * */
  GPtrArray *plates;        /* PwModelPlate * */
  GArray *owed;             /* PwOwed */
  GPtrArray *row;           /* PwModelPhoto *, borrowed */
  PwDiscretion *discretion;
  PwModelEstimate *estimate; /* NULL: none that can be counted */
  PwModelHours hours;
  GPtrArray *subjects;      /* char *, borrowed: what consents are about */
};

/* Folders within a volume folder; deeper ones are refused, so that no photograph is passed over in
 * silence. */
enum { PW_DEEPEST_FOLDER = 8 };
gboolean pw_folder_scan(const char *folder, PwFolder *found, GError **error);
void pw_folder_clear(PwFolder *found);
/* The nearest folder upwards from an absolute path, itself included, that holds a volume.yaml;
 * yours. NULL when there is none. */
char *pw_folder_dup_volume(const char *folder);
/* FALSE (PW_ERROR_USE) for a folder that is only a part of a volume: what stands in its volume.yaml
 * would be lost. `folder` is absolute. */
gboolean pw_folder_is_whole(const char *folder, GError **error);

/* ISO 8601 of a photograph's EXIF time, its zone or its camera's; NULL without a time. Yours. */
char *pw_taken_of_facts(const PwPhotoFacts *facts, const PwVolume *volume);
/* The stage that a folder's name or the dates of `treated:` tell; PW_STAGE_NONE when neither
 * does. */
PwStage pw_stage_from_place(const char *file, const char *taken, const PwVolume *volume);
/* The date part of an ISO 8601 time. FALSE when there is none. */
gboolean pw_date_of_time(const char *taken, GDate *date);

/* Looks at the pictures whose scale is in the picture itself, on all cores. */
void pw_model_look(PwModel *model, const PwProgress *progress);
/* At one photograph, for what its scale asks for; `look` holds nothing yet. */
void pw_model_look_at(const PwModel *model, const PwModelPhoto *photo, PwLook *look);
void pw_look_clear(PwLook *look);
/* The cards in a photograph, through the cache of the folder; `found` is yours to clear. */
gboolean pw_look_for_cards(const char *folder, PwPhoto *photo, const char *sha256, PwFound *found,
                           GError **error);
/* The keys under which the cache, "cards" and "ticks", has what was seen. Yours. */
char *pw_look_dup_cards_key(const char *sha256);
char *pw_look_dup_ticks_key(const char *sha256, const PwScaleText *scale);
/* Names of the cards that intake finds, those of `volume` (or NULL) first. */
typedef struct PwCardNames PwCardNames;
PwCardNames *pw_card_names_new(const PwVolume *volume);
void pw_card_names_free(PwCardNames *names);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwCardNames, pw_card_names_free)
/* The names of the cards of one photograph, new ones made where none fits; yours. */
char **pw_card_names_dup_of(PwCardNames *names, const PwFound *found);
guint pw_card_names_n_new(const PwCardNames *names);
/* Whether one of those names is new; whether one has no plane-offset by volume.yaml. */
gboolean pw_card_names_has_new(const PwCardNames *names, char **of);
gboolean pw_card_names_lack_offset(const PwCardNames *names, char **of);
/* Enters the new ones under `cards:`; volume.yaml is not saved by this. */
gboolean pw_card_names_enter(const PwCardNames *names, PwYaml *yaml, GError **error);
void pw_card_names_tell(const PwCardNames *names, PwComplaints *complaints);

void pw_model_resolve_links(PwModel *model, PwComplaints *complaints);
/* By the terms themselves where both are known: a synonym is the same word. */
gboolean pw_model_same_term(const PwModelMark *a, const PwModelMark *b);
void pw_model_resolve_scales(PwModel *model, PwComplaints *complaints);
void pw_model_resolve_sizes(PwModel *model);
void pw_model_resolve_totals(PwModel *model);
void pw_model_resolve_changes(PwModel *model);
void pw_model_resolve_plates(PwModel *model, PwComplaints *complaints);
/* `complaints` are those of the steps before. */
void pw_model_resolve_row(PwModel *model);
void pw_model_resolve_owed(PwModel *model, const PwComplaints *complaints);
void pw_model_resolve_discretion(PwModel *model);
void pw_discretion_free(PwDiscretion *discretion);
void pw_model_resolve_estimate(PwModel *model, PwComplaints *complaints);
void pw_model_resolve_hours(PwModel *model);
void pw_model_resolve_consents(PwModel *model);
void pw_model_estimate_free(PwModelEstimate *estimate);
void pw_model_change_free(PwModelChange *change);
void pw_model_plate_free(PwModelPlate *plate);

/* Complains of designs in volume.yaml that are none of ours. */
void pw_model_check_designs(const PwModel *model, PwComplaints *complaints);
/* FALSE, with the photograph's `why`, when its picture did not give what its scale asks for. */
gboolean pw_model_take_look(PwModelPhoto *photo, PwComplaints *complaints);
/* Fills the photograph's cards, their scales aside. */
void pw_model_match_cards(const PwModel *model, PwModelPhoto *photo, PwComplaints *complaints);
/* Gives the mark the card it is measured by. */
void pw_model_choose_card(PwModelMark *mark, PwComplaints *complaints);
/* How sure each card's scale is, and how much higher it lies than the first. */
void pw_model_weigh_cards(const PwModel *model, PwModelPhoto *photo);
/* Warns where a card, or graduations, speak against the camera, a plane or themselves. */
void pw_model_judge_cards(const PwModelPhoto *photo, PwComplaints *complaints);
void pw_model_judge_ticks(const PwModel *model, const PwModelPhoto *photo,
                          PwComplaints *complaints);
/* The settings that hold for a photograph; names of no input are complained of where `complaints`
 * is given. */
void pw_model_uncertainty_of(const PwModel *model, const PwModelPhoto *photo,
                             PwUncertainty *uncertainty, PwComplaints *complaints);
/* As EXIF tells focal lengths. */
gboolean pw_is_same_focal(double a_mm, double b_mm);
/* Whether an entry under `lenses:` is of a photograph's camera, lens, focal length and size. */
gboolean pw_lens_text_fits(const PwLensText *lens, const PwPhotoFacts *facts);
/* The scale of one photograph, of its cards and what they say; `complaints` may not be NULL. */
void pw_model_resolve_scale(const PwModel *model, PwModelPhoto *photo, PwComplaints *complaints);
void pw_model_clear_scale(PwModelPhoto *photo);
/* Why there is none, for documents and for the bench. */
typedef struct {
  PwWhyNot kind;
  char *says; /* yours */
} PwWhy;
/* The scale that a mark is measured with; NULL with a reason in `why`. It is the photograph's, or
 * the mark's own_scale, which is made when it is first asked for. */
const PwScale *pw_model_scale_of(const PwModel *model, PwModelMark *mark, PwWhy *why);
/* Measures one mark that has its text, photograph, kind, owner and card. */
void pw_model_measure_mark(const PwModel *model, PwModelMark *mark);
/* A mark of that text, on that photograph, of which nothing is found out yet but its term. */
void pw_model_mark_init(const PwModel *model, PwModelPhoto *photo, const PwMark *text, guint owner,
                        PwModelMark *mark);
/* One size of many marks: of linked ones the surest, then united photograph by photograph and
 * plane-offset by plane-offset, then added. `marks` of one kind. Counts what could not be sized. */
typedef struct {
  guint count, unsized;
  gboolean sized;
  PwSize size;
} PwPooled;
void pw_model_pool(const PwModel *model, PwModelMark *const *marks, gsize n, PwPooled *pooled);
/* How many places they are: an area or a line is one, a point its count, linked ones are the same,
 * and one that is gone is none. */
guint pw_model_count_places(PwModelMark *const *marks, gsize n);
/* The last word of the log on `to` that is no question, said on the day `up_to` or earlier (NULL:
 * at any time); NULL when there is none. */
const PwConsent *pw_consent_last_answer(const PwVolume *volume, const char *to,
                                        const GDate *up_to);
/* The word that a mark's total goes by: its term's name, what its text says, or "". */
const char *pw_model_mark_word(const PwModelMark *mark);
/* The total of those of the marks that are at one stage; its term and part are the caller's. */
void pw_model_total_of(const PwModel *model, PwStage stage, PwModelMark *const *marks, gsize n,
                       PwModelTotal *total);
void pw_model_total_clear(PwModelTotal *total);
/* How it stood on that day with a word of the log that was the last then; NULL: today. A consent
 * that is NULL was never asked for. */
PwStanding pw_consent_standing(const PwConsent *consent, const GDate *on);
/* Whether a consent (may be NULL) excepts that word; NULL is excepted by none. */
gboolean pw_consent_excepts(const PwConsent *consent, const char *word);
/* Whether two hands wrote one thing: capitals and the width of spaces are passed over, since what
 * is to be kept back must not hang on them. */
gboolean pw_mean_the_same(const char *a, const char *b);
/* Whether the consent to show publicly excepts that photograph, mark, part, view or place. */
gboolean pw_model_is_excepted(const PwModel *model, const char *word);
/* The words after `except` of the consent that counts; NULL without one. */
char **pw_model_peek_excepted(const PwModel *model);
/* Complains of words after `except` that name nothing, for they would keep nothing back. */
void pw_model_check_consents(const PwModel *model, PwComplaints *complaints);
const PwSize *pw_model_mark_size(const PwModelMark *mark); /* area or length; NULL when unsized */

/* Complains of what is no longer kept as it was issued, and of what is kept and not on record. */
void pw_check_issued_files(const PwModel *model, PwComplaints *complaints);
void pw_check_words(const PwModel *model, PwComplaints *complaints);
/* Notes which marks of two photographs of one view are probably the same, and which nothing
 * follows; of a pair that was not laid yet only where `lay`. */
void pw_check_pair(const PwModel *model, PwModelPhoto *before, PwModelPhoto *after, gboolean lay,
                   PwComplaints *complaints);

/* The sha256 of a file, found again by its state in the folder's cache, hashed otherwise. */
char *pw_cache_dup_sha256(const char *folder, PwPhoto *photo, gboolean hash_again, GError **error);
/* A cached blob; NULL when there is none. Writing never fails the caller. */
GBytes *pw_cache_get(const char *folder, const char *kind, const char *key);
void pw_cache_put(const char *folder, const char *kind, const char *key, GBytes *data);
/* Where an entry of that kind and key lies or would lie, yours; NULL where a link leads out of the
 * folder. */
char *pw_cache_dup_path(const char *folder, const char *kind, const char *key);
gboolean pw_cache_make_room(const char *path); /* makes the folders that it lies in */
/* Deletes, of the files of tiles that are older than an hour, those that a killed build left and
 * those that this version did not make. Everything else in there stays. */
void pw_cache_sweep_tiles(const char *folder);
/* What the label of tiles begins with; the sha256 of the photograph follows. */
#define PW_TILES_MAKER "platewright " PW_VERSION " tiles of "
#define PW_CACHE_FOLDER ".platewright"

#endif
