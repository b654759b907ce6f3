/* Tables: marks, pieces, hours and photographs of a record in rows.
 *
 * A photograph is told by its number in photographs.csv, and by its file where the audience may
 * know it. Words that the audience may not read are left out cell by cell; what may not be shown at
 * all has no row.
 */
#include "tables.h"

#include <math.h>

/* Of a scale: a part in a million of any length. */
enum { MM_PER_PX_FIGURES = 6 };

/* ---- What an audience may read ----------------------------------------------------- */

typedef struct {
  const PwModel *model;
  PwAudience audience;
  PwCsv *csv;
} Table;

static void
put_words(Table *table, const char *column, const char *text)
{
  if (pw_model_words_shown(table->model, text, table->audience))
    pw_csv_put_text(table->csv, column, text);
}

/* File names, references and dates of consents are nobody's business but the studio's and the
 * owner's. */
static gboolean
is_public(const Table *table)
{
  return table->audience == PW_FOR_PUBLIC;
}

/* From 1 among those that are shown; 0 for one that is not. */
static guint
number_of(const Table *table, const PwModelPhoto *photo)
{
  guint number = 0;
  for (gsize i = 0; i < pw_model_n_photos(table->model); i++) {
    const PwModelPhoto *other = pw_model_peek_photo(table->model, i);
    if (!pw_model_photo_shown(table->model, other, table->audience))
      continue;
    number++;
    if (other == photo)
      return number;
  }
  return 0;
}

static void
put_photo(Table *table, const PwModelPhoto *photo, guint number)
{
  pw_csv_put_int(table->csv, "photograph", number);
  if (!is_public(table))
    pw_csv_put_text(table->csv, "file", photo->file);
}

/* ---- Marks ------------------------------------------------------------------------- */

/* `place`: from 1 among those of the photograph that are shown, by which the public knows it: a gap
 * would tell of what is private. */
static void
put_mark(Table *table, const PwModelMark *mark, guint number, guint place)
{
  PwCsv *csv = table->csv;
  put_photo(table, mark->photo, number);
  pw_csv_put_text(csv, "stage", pw_stage_name(mark->photo->stage));
  put_words(table, "view", mark->photo->sidecar->view);
  put_words(table, "place", mark->photo->sidecar->place);
  if (is_public(table))
    pw_csv_put_int(csv, "id", place);
  else
    pw_csv_put_text(csv, "id", mark->text->id);
  put_words(table, "term", mark->text->term);
  put_words(table, "part", mark->text->part);
  pw_csv_put_text(csv, "kind", pw_kind_name(mark->kind));
  pw_csv_put_text(csv, "basis", pw_basis_name(mark->text->basis));
  if (mark->text->severity > 0)
    pw_csv_put_int(csv, "severity", mark->text->severity);
  pw_export_put_sizes(csv, mark);
  put_words(table, "note", mark->text->note);
  if (!is_public(table)) {
    pw_csv_put_text(csv, "no_size_because", mark->why);
    pw_csv_put_text(csv, "same_as", mark->text->same_as);
    pw_csv_put_text(csv, "earlier", mark->text->earlier);
    pw_csv_put_text(csv, "private", mark->text->private_ ? "yes" : "no");
  }
  pw_csv_put_text(csv, "gone", mark->text->gone ? "yes" : "no");
  pw_csv_end_row(csv);
}

static char *
dup_marks(const PwModel *model, PwAudience audience)
{
  static const char *const columns[] = {"photograph",
                                        "file",
                                        "stage",
                                        "view",
                                        "place",
                                        "id",
                                        "term",
                                        "part",
                                        "kind",
                                        "basis",
                                        "severity",
                                        "count",
                                        "area_mm2",
                                        "area_U_mm2",
                                        "perimeter_mm",
                                        "perimeter_U_mm",
                                        "longest_mm",
                                        "longest_U_mm",
                                        "length_mm",
                                        "length_U_mm",
                                        "share_percent",
                                        "share_U_percent",
                                        "no_size_because",
                                        "same_as",
                                        "earlier",
                                        "gone",
                                        "private",
                                        "note",
                                        NULL};
  g_autoptr(PwCsv) csv = pw_csv_new(columns);
  Table table = {model, audience, csv};
  for (gsize i = 0; i < pw_model_n_photos(model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(model, i);
    const guint number = number_of(&table, photo);
    guint place = 0;
    for (gsize j = 0; number > 0 && j < photo->n_marks; j++)
      if (pw_model_mark_shown(model, &photo->marks[j], audience))
        put_mark(&table, &photo->marks[j], number, ++place);
  }
  return pw_csv_take_text(csv);
}

/* ---- Pieces ------------------------------------------------------------------------ */

static void
put_piece(Table *table, const PwModelPiece *piece)
{
  PwCsv *csv = table->csv;
  const PwPiece *text = piece->text;
  const guint number = piece->photo ? number_of(table, piece->photo) : 0;
  if (number > 0)
    put_photo(table, piece->photo, number);
  pw_csv_put_text(csv, "id", text->id);
  pw_csv_put_text(csv, "kind", pw_piece_kind_name(text->kind));
  pw_csv_put_text(csv, "what", text->what);
  pw_csv_put_int(csv, "count", text->count);
  pw_csv_put_text(csv, "found", text->found);
  pw_csv_put_text(csv, "at", text->at);
  pw_csv_put_text(csv, "outcome", pw_outcome_name(text->outcome));
  pw_csv_put_date(csv, "on", &text->on);
  pw_csv_put_text(csv, "open", piece->is_open ? "yes" : "no");
  pw_csv_put_text(csv, "because", text->because);
  if (!is_public(table)) {
    pw_csv_put_text(csv, "kept", text->kept);
    pw_csv_put_date(csv, "agreed", &text->agreed);
  }
  pw_csv_end_row(csv);
}

static char *
dup_pieces(const PwModel *model, PwAudience audience)
{
  static const char *const columns[] = {"id",      "kind",   "what",       "count", "found",
                                        "at",      "kept",   "outcome",    "on",    "open",
                                        "because", "agreed", "photograph", "file",  NULL};
  g_autoptr(PwCsv) csv = pw_csv_new(columns);
  g_autoptr(PwModelLedger) ledger = pw_model_ledger_new(model, audience);
  Table table = {model, audience, csv};
  for (gsize i = 0; i < ledger->n_pieces; i++)
    put_piece(&table, &ledger->pieces[i]);
  return pw_csv_take_text(csv);
}

/* ---- Hours ------------------------------------------------------------------------- */

static void
put_estimate(PwCsv *csv, const PwEstimateLine *line, const char *currency)
{
  pw_csv_put_text(csv, "row", "estimated");
  pw_csv_put_text(csv, "what", line->what);
  pw_csv_put_decimal(csv, "hours", line->hours);
  pw_csv_put_decimal(csv, "rate", line->rate);
  pw_csv_put_decimal(csv, "cost", line->cost);
  pw_csv_put_text(csv, "currency", line->rate || line->cost ? currency : NULL);
  pw_csv_end_row(csv);
}

static void
put_treatment(PwCsv *csv, const PwTreatment *treatment)
{
  pw_csv_put_text(csv, "row", "actual");
  pw_csv_put_date(csv, "on", &treatment->on);
  pw_csv_put_text(csv, "by", treatment->by);
  pw_csv_put_text(csv, "part", treatment->part);
  pw_csv_put_text(csv, "what", treatment->did);
  pw_csv_put_double(csv, "hours", treatment->hours);
  pw_csv_end_row(csv);
}

static char *
dup_hours(const PwModel *model, PwAudience audience)
{
  static const char *const columns[] = {"row",   "on",   "by",   "part",     "what",
                                        "hours", "rate", "cost", "currency", NULL};
  g_autoptr(PwCsv) csv = pw_csv_new(columns);
  const PwVolume *volume = pw_model_peek_volume(model);
  g_assert(audience != PW_FOR_PUBLIC);
  for (gsize i = 0; volume && i < volume->n_estimate; i++)
    put_estimate(csv, &volume->estimate[i], volume->currency);
  for (gsize i = 0; volume && i < volume->n_treatment; i++)
    put_treatment(csv, &volume->treatment[i]);
  return pw_csv_take_text(csv);
}

/* ---- Photographs ------------------------------------------------------------------- */

static const char *
scale_word(const PwModelPhoto *photo)
{
  static const char *const words[] = {[PW_GIVEN_NONE] = NULL,
                                      [PW_GIVEN_TAGS] = "tags",
                                      [PW_GIVEN_RECTANGLE] = "rectangle",
                                      [PW_GIVEN_SPAN] = "span",
                                      [PW_GIVEN_TICKS] = "ticks"};
  return photo->scale ? words[photo->sidecar->scale.given] : NULL;
}

/* What the camera tells of itself, and the studio of its work. */
static void
put_studio_facts(PwCsv *csv, const PwModelPhoto *photo)
{
  const PwPhotoFacts *facts = &photo->facts;
  pw_csv_put_text(csv, "source", photo->sidecar->source);
  pw_csv_put_text(csv, "sha256", photo->sha256);
  pw_csv_put_date(csv, "privacy_checked", &photo->sidecar->privacy_checked);
  pw_csv_put_text(csv, "no_scale_because", photo->scale ? NULL : photo->why);
  if (!photo->readable)
    return;
  pw_csv_put_text(csv, "make", facts->make);
  pw_csv_put_text(csv, "model", facts->model);
  pw_csv_put_text(csv, "lens", facts->lens);
  pw_csv_put_double(csv, "focal_mm", facts->focal_mm);
  pw_csv_put_double(csv, "f_number", facts->f_number);
  pw_csv_put_double(csv, "exposure_s", facts->exposure_s);
  if (facts->iso > 0)
    pw_csv_put_int(csv, "iso", facts->iso);
}

static void
put_photograph(Table *table, const PwModelPhoto *photo, guint number)
{
  PwCsv *csv = table->csv;
  const PwSidecar *sidecar = photo->sidecar;
  put_photo(table, photo, number);
  pw_csv_put_text(csv, "stage", pw_stage_name(photo->stage));
  put_words(table, "step", sidecar->step);
  put_words(table, "view", sidecar->view);
  put_words(table, "place", sidecar->place);
  put_words(table, "light", sidecar->light);
  put_words(table, "caption", sidecar->caption);
  pw_csv_put_text(csv, "taken", photo->taken);
  if (photo->readable) {
    pw_csv_put_int(csv, "width_px", photo->facts.width);
    pw_csv_put_int(csv, "height_px", photo->facts.height);
  }
  pw_csv_put_text(csv, "scale", scale_word(photo));
  if (photo->scale) {
    PwScaleFacts facts;
    pw_scale_facts(photo->scale, &facts);
    pw_csv_put_fixed(csv, "mm_per_px", facts.mm_per_px,
                     MM_PER_PX_FIGURES - 1 - (int)floor(log10(facts.mm_per_px)));
  }
  if (!is_public(table))
    put_studio_facts(csv, photo);
  pw_csv_end_row(csv);
}

static char *
dup_photographs(const PwModel *model, PwAudience audience)
{
  static const char *const columns[] = {"photograph",
                                        "file",
                                        "stage",
                                        "step",
                                        "view",
                                        "place",
                                        "light",
                                        "caption",
                                        "taken",
                                        "width_px",
                                        "height_px",
                                        "scale",
                                        "mm_per_px",
                                        "no_scale_because",
                                        "source",
                                        "make",
                                        "model",
                                        "lens",
                                        "focal_mm",
                                        "f_number",
                                        "exposure_s",
                                        "iso",
                                        "privacy_checked",
                                        "sha256",
                                        NULL};
  g_autoptr(PwCsv) csv = pw_csv_new(columns);
  Table table = {model, audience, csv};
  guint number = 0;
  for (gsize i = 0; i < pw_model_n_photos(model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(model, i);
    if (pw_model_photo_shown(model, photo, audience))
      put_photograph(&table, photo, ++number);
  }
  return pw_csv_take_text(csv);
}

const PwTable pw_tables[PW_N_TABLES] = {
    {"marks.csv", dup_marks, FALSE},
    {"pieces.csv", dup_pieces, FALSE},
    {"hours.csv", dup_hours, TRUE}, /* the estimate, and who worked */
    {"photographs.csv", dup_photographs, FALSE},
};
