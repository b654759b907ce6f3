/* Sheets of labels: which pieces have one, and in which place of which sheet it stands. */
#include "label.h"
#include "told.h"

#include <string.h>

/* A4; two columns, seven rows, the grid in the middle of the sheet. */
static const double SHEET_WIDTH = 210, SHEET_HEIGHT = 297, COLUMN_GAP = 2.5;
enum { COLUMNS = 2, ROWS = PW_LABELS_A_SHEET / COLUMNS };

/* ---- Which pieces ------------------------------------------------------------------ */

static const PwModelPiece *
find_piece(const PwModelLedger *ledger, const char *id)
{
  for (gsize i = 0; i < ledger->n_pieces; i++)
    if (strcmp(ledger->pieces[i].text->id, id) == 0)
      return &ledger->pieces[i];
  return NULL;
}

/* Those asked for, in the order asked; or all that are still kept apart. */
static gboolean
choose(const PwModelLedger *ledger, const PwLabelOptions *options, GPtrArray *pieces,
       guint *n_not_kept, GError **error)
{
  for (const char *const *id = options->only; id && *id; id++) {
    const PwModelPiece *piece = find_piece(ledger, *id);
    if (piece == NULL) {
      g_set_error(error, PW_ERROR, PW_ERROR_USE, "there is no piece \"%s\" in " PW_VOLUME_FILE,
                  *id);
      return FALSE;
    }
    g_ptr_array_add(pieces, (gpointer)(gsize)piece);
  }
  for (gsize i = 0; options->only == NULL && i < ledger->n_pieces; i++)
    if (pw_model_piece_is_kept(ledger->pieces[i].text))
      g_ptr_array_add(pieces, &ledger->pieces[i]);
    else
      ++*n_not_kept;
  return TRUE;
}

static gboolean
choose_some(const PwModelLedger *ledger, const PwLabelOptions *options, GPtrArray *pieces,
            guint *n_not_kept, GError **error)
{
  if (options->start < 1 || options->start > PW_LABELS_A_SHEET) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "a sheet has labels 1 to %d", PW_LABELS_A_SHEET);
    return FALSE;
  }
  if (ledger->n_pieces == 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                "there are no pieces in " PW_VOLUME_FILE ", so that there is nothing to label; "
                "enter what came off and what lay inside under `pieces:`");
    return FALSE;
  }
  if (!choose(ledger, options, pieces, n_not_kept, error))
    return FALSE;
  if (pieces->len == 0)
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                "no piece is kept apart any longer; name those to label after `--only`");
  return pieces->len > 0;
}

/* ---- Drawing ----------------------------------------------------------------------- */

static guint
n_sheets_of(const PwLabelOptions *options, const GPtrArray *pieces)
{
  return (options->start - 1 + pieces->len + PW_LABELS_A_SHEET - 1) / PW_LABELS_A_SHEET;
}

/* Those of one sheet, from 1; 0: of all. */
static gboolean
draw_sheets(PwPdf *pdf, const PwModel *model, const PwLabelOptions *options,
            const GPtrArray *pieces, guint only, GError **error)
{
  const double left = (SHEET_WIDTH - COLUMNS * PW_LABEL_WIDTH - COLUMN_GAP) / 2;
  const double top = (SHEET_HEIGHT - ROWS * PW_LABEL_HEIGHT) / 2;
  cairo_t *cr = NULL;
  for (guint i = 0; i < pieces->len; i++) {
    const guint place = (options->start - 1 + i) % PW_LABELS_A_SHEET;
    if (only > 0 && (options->start - 1 + i) / PW_LABELS_A_SHEET != only - 1)
      continue;
    if (cr == NULL || place == 0)
      cr = pw_pdf_begin_page(pdf, SHEET_WIDTH, SHEET_HEIGHT);
    const double x = left + place % COLUMNS * (PW_LABEL_WIDTH + COLUMN_GAP);
    const double y = top + place / COLUMNS * PW_LABEL_HEIGHT;
    if (!pw_label_draw(pdf, cr, model, options, pieces->pdata[i], x, y, error))
      return FALSE;
  }
  return TRUE;
}

static PwPdf *
open_document(PwPdf *(*new_document)(const PwPdfInfo *info, GError **error), const PwModel *model,
              const PwWords *words, GError **error)
{
  const PwVolume *volume = pw_model_peek_volume(model);
  g_autofree char *title =
      pw_words_dup_phrase(words, "label-subject", "id", pw_model_peek_id(model), NULL);
  g_autofree char *date = pw_model_dup_date(model);
  const PwPdfInfo info = {title, volume->studio_name, NULL, pw_words_peek_language(words), date};
  return new_document(&info, error);
}

GBytes *
pw_labels_draw(const PwModel *model, const PwLabelOptions *options, PwLabelResult *result,
               GError **error)
{
  g_autoptr(GPtrArray) pieces = g_ptr_array_new();
  g_autoptr(PwModelLedger) ledger = pw_model_ledger_new(model, PW_FOR_STUDIO);
  *result = (PwLabelResult){0};
  if (!choose_some(ledger, options, pieces, &result->n_not_kept, error))
    return NULL;
  g_autoptr(PwPdf) pdf = open_document(pw_pdf_new, model, options->words, error);
  if (pdf == NULL || !draw_sheets(pdf, model, options, pieces, 0, error))
    return NULL;
  result->n_labels = pieces->len;
  result->n_sheets = n_sheets_of(options, pieces);
  return pw_pdf_finish(pdf, &result->archival, &result->why_not_archival, error);
}

GBytes *
pw_labels_draw_svg(const PwModel *model, const PwLabelOptions *options, guint sheet,
                   PwLabelResult *result, GError **error)
{
  g_autoptr(GPtrArray) pieces = g_ptr_array_new();
  g_autoptr(PwModelLedger) ledger = pw_model_ledger_new(model, PW_FOR_STUDIO);
  *result = (PwLabelResult){0};
  if (!choose_some(ledger, options, pieces, &result->n_not_kept, error))
    return NULL;
  result->n_labels = pieces->len;
  result->n_sheets = n_sheets_of(options, pieces);
  if (sheet < 1 || sheet > result->n_sheets) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "the labels stand on %u %s; there is no sheet %u",
                result->n_sheets, result->n_sheets == 1 ? "sheet" : "sheets", sheet);
    return NULL;
  }
  g_autoptr(PwPdf) svg = open_document(pw_pdf_new_svg, model, options->words, error);
  if (svg == NULL || !draw_sheets(svg, model, options, pieces, sheet, error))
    return NULL;
  return pw_pdf_finish_svg(svg, error);
}

char **
pw_labels_result_dup_told(const PwLabelResult *result, const PwWords *words)
{
  g_autoptr(GPtrArray) told = g_ptr_array_new();
  g_autofree char *labels = pw_words_dup_count(words, "told-labels", result->n_labels);
  g_autofree char *sheets = pw_words_dup_count(words, "told-sheets", result->n_sheets);
  pw_told_made(told, words,
               pw_words_dup_phrase(words, "told-labels", "labels", labels, "sheets", sheets, NULL),
               result->archival);
  g_ptr_array_add(told, g_strdup(pw_words_peek(words, "told-print")));
  if (result->n_not_kept > 0)
    g_ptr_array_add(told, pw_words_dup_count(words, "told-not-kept", result->n_not_kept));
  return pw_told_end(g_steal_pointer(&told), words, result->why_not_archival);
}
