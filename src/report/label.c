/* One label: the code at the left; beside it, from the top, the volume and its owner, the piece's
 * id large, what it is, where it was, where it is kept. Words that find no room end in an ellipsis.
 */
#include "label.h"

#include <math.h>
#include <string.h>

/* mm from the label's edges and its top; type in points. */
static const double EDGE = 3.5, CODE = 30, CODE_GAP = 1.5, GAP = 2;
static const double VOLUME_Y = 7, ID_Y = 15.2, WHAT_Y = 20.6, LAST_Y = 34.4;
static const double SMALL_PT = 8, SMALL_LEADING_PT = 9.6, WHAT_PT = 9.5, WHAT_LEADING_PT = 11.4;
static const double ID_PT = 21, ID_LEAST_PT = 11;
/* Two pixels of a telephone that is held over a label, and what an office printer draws cleanly. */
static const double LEAST_MODULE = 0.3;

typedef struct {
  PwPdf *pdf;
  const PwLabelOptions *options;
  double x, y;        /* of the label */
  double left, right; /* of its words, on the page */
} Place;

static PwFace
face_of(const Place *place, double size_pt, double leading_pt, gboolean bold, const char *ink)
{
  const PwType *type = pw_style_type(place->options->style, PW_ROLE_HEAD);
  const PwInk colour = pw_style_ink(place->options->style, ink);
  return (PwFace){type->family, size_pt,  leading_pt, bold,    FALSE,
                  FALSE,        colour.r, colour.g,   colour.b};
}

/* ---- Words that fit ---------------------------------------------------------------- */

/* The first `n` characters and an ellipsis. */
static char *
dup_shortened(const char *text, glong n)
{
  g_autofree char *start = g_utf8_substring(text, 0, n);
  g_strchomp(start);
  return g_strconcat(start, "…", NULL);
}

/* At most `lines` lines of that width, as much of the text as they hold. */
static PwText *
new_fitting(const Place *place, const PwFace *face, const char *text, double width, guint lines)
{
  g_autofree char *printable = pw_dup_printable(text);
  PwText *set = pw_text_new(place->pdf, face, printable, width);
  glong fits = 0, over = g_utf8_strlen(printable, -1);
  if (pw_text_n_lines(set) <= lines)
    return set;
  while (over - fits > 1) {
    const glong middle = (fits + over) / 2;
    g_autofree char *shortened = dup_shortened(printable, middle);
    pw_text_free(set);
    set = pw_text_new(place->pdf, face, shortened, width);
    if (pw_text_n_lines(set) <= lines)
      fits = middle;
    else
      over = middle;
  }
  pw_text_free(set);
  g_autofree char *shortened = dup_shortened(printable, fits);
  return pw_text_new(place->pdf, face, shortened, width);
}

/* Draws a paragraph in the column; its height. */
static double
put(const Place *place, const PwFace *face, const char *text, double width, double align, double y,
    guint lines)
{
  g_autoptr(PwText) set = new_fitting(place, face, text, width, lines);
  pw_pdf_begin(place->pdf, PW_ELEMENT_P);
  pw_text_draw(set, align > 0 ? place->right - width : place->left, place->y + y, align, 0, 0);
  pw_pdf_end(place->pdf);
  return pw_text_height(set);
}

static double
width_of(const Place *place, const PwFace *face, const char *text)
{
  g_autoptr(PwText) set = pw_text_new(place->pdf, face, text, 0);
  return pw_text_width(set);
}

/* ---- What it says ------------------------------------------------------------------ */

static gboolean
begins_with_capital(const char *word)
{
  return g_unichar_isupper(g_utf8_get_char(word));
}

char *
pw_label_dup_initials(const char *name)
{
  enum { MOST = 4 };
  if (name == NULL)
    return NULL;
  g_auto(GStrv) parts = g_strsplit(name, ",", 2);
  g_auto(GStrv) words = g_strsplit_set(parts[0] ? parts[0] : "", " \t\n-", -1);
  gboolean capitals = FALSE;
  for (char **word = words; *word; word++)
    capitals = capitals || begins_with_capital(*word);
  GString *initials = g_string_new(NULL);
  guint n = 0;
  for (char **word = words; *word && n < MOST; word++)
    if (g_unichar_isalpha(g_utf8_get_char(*word)) && (!capitals || begins_with_capital(*word))) {
      g_string_append_unichar(initials, g_unichar_toupper(g_utf8_get_char(*word)));
      n++;
    }
  if (n > 0)
    return g_string_free(initials, FALSE);
  g_string_free(initials, TRUE);
  return NULL;
}

char *
pw_label_dup_code(const PwModel *model, const PwPiece *piece)
{
  return g_strdup_printf("%s#%s", pw_model_peek_id(model), piece->id);
}

static const char *
kind_words(const PwWords *words, const PwPiece *piece)
{
  static const char *const keys[] = {[PW_PIECE_PART] = "label-kind-part",
                                     [PW_PIECE_FOUND_INSIDE] = "label-kind-found-inside",
                                     [PW_PIECE_REMOVED] = "label-kind-removed"};
  return pw_words_peek(words, keys[piece->kind]);
}

/* The day of the photograph that shows it; NULL without one. */
static char *
dup_day(const PwWords *words, const PwModelPiece *piece)
{
  if (piece->photo == NULL || piece->photo->taken == NULL)
    return NULL;
  g_autofree char *day = g_strndup(piece->photo->taken, strlen("2026-03-02"));
  g_autofree char *date = pw_words_dup_date(words, day);
  return pw_words_dup_phrase(words, "label-photographed", "date", date, NULL);
}

static char *
dup_count(const PwWords *words, const PwPiece *piece)
{
  g_autofree char *n = g_strdup_printf("%d", piece->count);
  return piece->count > 1 ? pw_words_dup_phrase(words, "label-count", "n", n, NULL) : NULL;
}

static char *
dup_joined(const char *a, const char *b)
{
  return a && b ? g_strconcat(a, " · ", b, NULL) : g_strdup(a ? a : b);
}

/* ---- Drawing ----------------------------------------------------------------------- */

static gboolean
draw_code(const Place *place, cairo_t *cr, const char *code, GError **error)
{
  g_autoptr(GError) cause = NULL;
  g_autoptr(PwQr) qr = pw_qr_new(code, &cause);
  const double module = qr ? CODE / (qr->side + 2 * PW_QR_QUIET) : 0;
  if (module < LEAST_MODULE) {
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                "\"%s\" is too long for the code of a label; give the volume or the piece a "
                "shorter id",
                code);
    return FALSE;
  }
  const PwInk ink = pw_style_ink(place->options->style, "ink");
  const double x = place->x + EDGE + PW_QR_QUIET * module;
  const double y = place->y + (PW_LABEL_HEIGHT - CODE) / 2 + PW_QR_QUIET * module;
  pw_pdf_begin_figure(place->pdf, code, x, y, qr->side * module, qr->side * module);
  cairo_set_source_rgb(cr, ink.r, ink.g, ink.b);
  for (int row = 0; row < qr->side; row++) /* one path: no seams between what is one dark patch */
    for (int column = 0; column < qr->side; column++)
      if (pw_qr_is_dark(qr, column, row))
        cairo_rectangle(cr, x + column * module, y + row * module, module, module);
  cairo_fill(cr);
  pw_pdf_end(place->pdf);
  return TRUE;
}

/* The volume, and whose it is at the right. */
static void
draw_head(const Place *place, const PwModel *model)
{
  const PwVolume *volume = pw_model_peek_volume(model);
  const PwFace soft = face_of(place, SMALL_PT, SMALL_LEADING_PT, FALSE, "soft-ink");
  const PwFace strong = face_of(place, SMALL_PT, SMALL_LEADING_PT, TRUE, "ink");
  double width = place->right - place->left;
  g_autofree char *initials = pw_label_dup_initials(volume->owner_name);
  if (initials) {
    g_autofree char *owner =
        pw_words_dup_phrase(place->options->words, "label-owner", "initials", initials, NULL);
    const double wide = width_of(place, &soft, owner) + 0.1;
    put(place, &soft, owner, wide, 1, VOLUME_Y, 1);
    width -= wide + GAP;
  }
  put(place, &strong, pw_model_peek_id(model), width, 0, VOLUME_Y, 1);
}

/* Large, smaller where it is long; what kind it is at the right. */
static void
draw_id(const Place *place, const PwPiece *piece)
{
  const PwFace soft = face_of(place, SMALL_PT, SMALL_LEADING_PT, FALSE, "soft-ink");
  const char *kind = kind_words(place->options->words, piece);
  const double kind_width = width_of(place, &soft, kind) + 0.1;
  const double width = place->right - place->left - kind_width - GAP;
  PwFace face = face_of(place, ID_PT, 0, TRUE, "ink");
  const double wide = width_of(place, &face, piece->id);
  if (wide > width)
    face.size_pt = fmax(ID_LEAST_PT, floor(ID_PT * width / wide));
  put(place, &face, piece->id, width, 0, ID_Y, 1);
  put(place, &soft, kind, kind_width, 1, ID_Y, 1);
}

/* Where it was; then, from the foot up, when it was photographed (or a line to write the day of the
 * finding on) and where it is kept. */
static void
draw_places(const Place *place, const PwPiece *piece, const char *day, double y)
{
  const PwWords *words = place->options->words;
  const PwFace face = face_of(place, SMALL_PT, SMALL_LEADING_PT, FALSE, "ink");
  const PwFace soft = face_of(place, SMALL_PT, SMALL_LEADING_PT, FALSE, "soft-ink");
  const double width = place->right - place->left, line = SMALL_LEADING_PT * PW_MM_PER_PT;
  g_autofree char *from =
      piece->at ? pw_words_dup_phrase(words, "label-from", "place", piece->at, NULL) : NULL;
  g_autofree char *was = dup_joined(from, piece->found);
  g_autofree char *kept =
      piece->kept ? pw_words_dup_phrase(words, "label-kept", "place", piece->kept, NULL) : NULL;
  g_autofree char *count = dup_count(words, piece);
  g_autofree char *foot = dup_joined(kept, count);
  const double foot_y = LAST_Y - line;
  const guint room = (guint)fmax(0, floor((foot_y - y) / line + 0.05));
  if (was && room > 0)
    put(place, &soft, was, width, 0, y, MIN(room, 2));
  if (foot)
    put(place, &face, foot, width, 0, foot_y, 1);
  put(place, &soft, day ? day : pw_words_peek(words, "label-found-on"), width, 0, LAST_Y, 1);
}

static void
draw_line_to_write_on(const Place *place, cairo_t *cr)
{
  const PwFace soft = face_of(place, SMALL_PT, SMALL_LEADING_PT, FALSE, "soft-ink");
  const PwInk ink = pw_style_ink(place->options->style, "soft-ink");
  const char *words = pw_words_peek(place->options->words, "label-found-on");
  const double from = place->left + width_of(place, &soft, words) + GAP;
  cairo_set_source_rgb(cr, ink.r, ink.g, ink.b);
  cairo_set_line_width(cr, pw_style_length(place->options->style, "hairline"));
  cairo_move_to(cr, from, place->y + LAST_Y);
  cairo_line_to(cr, place->right, place->y + LAST_Y);
  cairo_stroke(cr);
}

gboolean
pw_label_draw(PwPdf *pdf, cairo_t *cr, const PwModel *model, const PwLabelOptions *options,
              const PwModelPiece *piece, double x_mm, double y_mm, GError **error)
{
  const Place place = {
      pdf, options, x_mm, y_mm, x_mm + EDGE + CODE + CODE_GAP, x_mm + PW_LABEL_WIDTH - EDGE};
  const PwFace what = face_of(&place, WHAT_PT, WHAT_LEADING_PT, FALSE, "ink");
  g_autofree char *code = pw_label_dup_code(model, piece->text);
  g_autofree char *day = dup_day(options->words, piece);
  pw_pdf_begin(pdf, PW_ELEMENT_SECTION);
  draw_head(&place, model);
  draw_id(&place, piece->text);
  const double height =
      put(&place, &what, piece->text->what, place.right - place.left, 0, WHAT_Y, 2);
  draw_places(&place, piece->text, day, WHAT_Y + height);
  if (day == NULL)
    draw_line_to_write_on(&place, cr);
  const gboolean drawn = draw_code(&place, cr, code, error);
  pw_pdf_end(pdf);
  return drawn;
}
