/* The head (title, what it shows, plate n of m, a hairline) and the foot (key, what ± means,
 * cautions, which volume this is, what was done to the pixels). */
#include "foot.h"

#include "ink.h"
#include "spacing.h"

/* ---- Head --------------------------------------------------------------------------------------
 */

static double
inner_width(const PwStyle *style, double page_width)
{
  return page_width - 2 * pw_style_length(style, "margin");
}

/* Beside the title where it fits on one line there, else below it. */
static void
set_subtitle(PwHead *head, PwPdf *pdf, const PwStyle *style, const char *words, double width)
{
  double title = pw_text_width(head->title), place = pw_text_width(head->place);
  head->subtitle_x = title + PW_APART;
  double beside = width - head->subtitle_x - place - PW_APART;
  head->subtitle = pw_plate_text_new(pdf, style, PW_ROLE_SUBTITLE, words, 0);
  head->subtitle_y = head->title_y;
  if (pw_text_n_lines(head->title) == 1 && pw_text_width(head->subtitle) <= beside)
    return;
  pw_text_free(head->subtitle);
  head->subtitle = pw_plate_text_new(pdf, style, PW_ROLE_SUBTITLE, words, width);
  head->subtitle_x = 0;
  double under = pw_text_height(head->title) - pw_text_first_baseline(head->title);
  head->subtitle_y = head->title_y + under + pw_text_first_baseline(head->subtitle);
}

PwHead *
pw_head_new(PwPdf *pdf, const PwStyle *style, const PwSheet *sheet, double page_width)
{
  PwHead *head = g_new0(PwHead, 1);
  double width = inner_width(style, page_width), margin = pw_style_length(style, "margin");
  head->place = pw_plate_text_new(pdf, style, PW_ROLE_SUBTITLE, sheet->place, 0);
  head->title = pw_plate_text_new(pdf, style, PW_ROLE_TITLE, sheet->title,
                                  width - pw_text_width(head->place) - PW_APART);
  head->title_y = margin + PW_TITLE_DROP;
  double end = head->title_y + pw_text_height(head->title) - pw_text_first_baseline(head->title);
  if (sheet->subtitle != NULL && *sheet->subtitle != '\0') {
    set_subtitle(head, pdf, style, sheet->subtitle, width);
    double below = pw_text_height(head->subtitle) - pw_text_first_baseline(head->subtitle);
    end = MAX(end, head->subtitle_y + below);
  }
  head->rule_y = end + PW_TITLE_RULE;
  head->height = head->rule_y + pw_style_length(style, "title-gap");
  return head;
}

void
pw_head_free(PwHead *head)
{
  if (head == NULL)
    return;
  pw_text_free(head->title);
  pw_text_free(head->subtitle);
  pw_text_free(head->place);
  g_free(head);
}

void
pw_head_draw(const PwHead *head, PwPdf *pdf, cairo_t *cr, const PwStyle *style, double page_width,
             PwElement heading)
{
  double margin = pw_style_length(style, "margin");
  PwElement rest = heading == PW_ELEMENT_ORNAMENT ? PW_ELEMENT_ORNAMENT : PW_ELEMENT_P;
  pw_plate_text_draw(pdf, heading, head->title, margin, head->title_y, 0);
  if (head->subtitle != NULL)
    pw_plate_text_draw(pdf, rest, head->subtitle, margin + head->subtitle_x, head->subtitle_y, 0);
  pw_plate_text_draw(pdf, rest, head->place, page_width - margin, head->title_y, 1);
  pw_ink_rule(cr, style, margin, page_width - margin, head->rule_y);
}

/* ---- Foot --------------------------------------------------------------------------------------
 */

/* One entry for each group that is drawn: as an area if any mark of it is, else a line, else a
 * point. On every page in one order, that of the style; at the end what was there before. */
static void
gather_entry(PwFoot *foot, const PwStyle *style, const PwSheetMark *mark)
{
  const PwGroupLook *look = mark->was ? NULL : pw_style_group(style, mark->group);
  PwKind kind = mark->was ? PW_KIND_AREA : mark->kind;
  guint at = 0;
  for (; at < foot->key->len; at++) {
    PwKeyEntry *entry = &g_array_index(foot->key, PwKeyEntry, at);
    if (entry->look == look) {
      entry->kind = MIN(entry->kind, kind);
      return;
    }
    if (entry->look == NULL || (look != NULL && look < entry->look)) /* both lie in one array */
      break;
  }
  PwKeyEntry entry = {.look = look, .kind = kind};
  g_array_insert_val(foot->key, at, entry);
}

static void
gather_key(PwFoot *foot, PwPdf *pdf, const PwStyle *style, const PwSheet *sheet,
           const GPtrArray *callouts)
{
  for (guint i = 0; i < callouts->len; i++) {
    const PwSheetMark *mark = pw_callout_peek_mark(sheet, callouts->pdata[i]);
    const PwSheetMark *earlier = pw_callout_peek_earlier(sheet, callouts->pdata[i]);
    if (mark != NULL)
      gather_entry(foot, style, mark);
    if (earlier != NULL)
      gather_entry(foot, style, earlier);
  }
  for (guint i = 0; i < foot->key->len; i++) {
    PwKeyEntry *entry = &g_array_index(foot->key, PwKeyEntry, i);
    const char *label = entry->look != NULL ? pw_words_peek_group(sheet->words, entry->look->name)
                                            : pw_words_peek(sheet->words, "earlier");
    entry->text = pw_plate_text_new(pdf, style, PW_ROLE_KEY, label, 0);
  }
}

static void
add_right(PwFoot *foot, PwPdf *pdf, const PwStyle *style, const char *words)
{
  g_ptr_array_add(foot->right, pw_plate_text_new(pdf, style, PW_ROLE_FOOT, words, 0));
}

static double
key_row(const PwStyle *style)
{
  return pw_style_type(style, PW_ROLE_KEY)->leading_pt * PW_MM_PER_PT;
}

static double
entry_width(const PwKeyEntry *entry, const PwStyle *style)
{
  return pw_style_length(style, "swatch-width") + PW_SWATCH_APART + pw_text_width(entry->text);
}

/* Sets the entries in rows of `most`, each under its like in the row above, `apart` from the widest
 * before it. The width that they take. */
static double
set_in_rows(PwFoot *foot, const PwStyle *style, double apart, guint most)
{
  double row = key_row(style), x = 0, end = 0;
  double step = MAX(row, pw_style_length(style, "swatch-height") + PW_SWATCHES_APART);
  for (guint column = 0; column < most; column++, x = end + apart)
    for (guint i = column; i < foot->key->len; i += most) {
      PwKeyEntry *entry = &g_array_index(foot->key, PwKeyEntry, i);
      entry->x = x;
      entry->y = row + i / most * step;
      end = MAX(end, x + entry_width(entry, style));
    }
  return end;
}

/* In one row where they fit, a little closer if need be; else about as many in each of as few rows
 * as will do, so that none stands alone. The height of the rows. */
static double
place_key(PwFoot *foot, const PwStyle *style, double width)
{
  guint n = foot->key->len;
  if (n == 0)
    return 0;
  if (set_in_rows(foot, style, PW_APART, n) > width &&
      set_in_rows(foot, style, PW_KEY_APART, n) > width)
    for (guint rows = 2; rows <= n; rows++)
      if (set_in_rows(foot, style, PW_APART, (n + rows - 1) / rows) <= width)
        break;
  return g_array_index(foot->key, PwKeyEntry, n - 1).y;
}

static double
set_key(PwFoot *foot, PwPdf *pdf, const PwStyle *style, const PwSheet *sheet,
        const GPtrArray *callouts, double width)
{
  gboolean sizes = FALSE, ids = FALSE;
  for (guint i = 0; i < callouts->len; i++) {
    const PwCallout *callout = callouts->pdata[i];
    sizes = sizes || callout->sized;
    ids = ids || callout->id != NULL;
  }
  gather_key(foot, pdf, style, sheet, callouts);
  if (sizes)
    add_right(foot, pdf, style, pw_words_peek(sheet->words, "uncertainty"));
  if (ids)
    add_right(foot, pdf, style, pw_words_peek(sheet->words, "id-in-sidecar"));
  double right = 0, row = key_row(style);
  for (guint i = 0; i < foot->right->len; i++)
    right = MAX(right, pw_text_width(foot->right->pdata[i]));
  double rows = place_key(foot, style, width - (right > 0 ? right + PW_APART : 0));
  foot->right_y = row;
  return MAX(rows, foot->right->len * row);
}

static GPtrArray *
gather_cautions(const PwWords *words, const GPtrArray *callouts)
{
  GPtrArray *cautions = g_ptr_array_new();
  for (guint i = 0; i < callouts->len; i++) {
    char *caution = ((PwCallout *)callouts->pdata[i])->caution;
    if (caution != NULL && !g_ptr_array_find_with_equal_func(cautions, caution, g_str_equal, NULL))
      g_ptr_array_add(cautions, caution);
  }
  if (cautions->len > 0)
    g_ptr_array_add(cautions, (char *)(gsize)pw_words_peek(words, "cautions-defer"));
  return cautions;
}

static double
set_cautions(PwFoot *foot, PwPdf *pdf, const PwStyle *style, const PwSheet *sheet,
             const GPtrArray *callouts, double width)
{
  g_autoptr(GPtrArray) cautions = gather_cautions(sheet->words, callouts);
  double height = 0;
  for (guint i = 0; i < cautions->len; i++) {
    PwText *text = pw_plate_text_new(pdf, style, PW_ROLE_FOOT, cautions->pdata[i], width);
    g_ptr_array_add(foot->notes, text);
    height += pw_text_height(text);
  }
  return height;
}

/* What was done to the pixels stands right of the volume's name where one line holds both, else in
 * a paragraph above it. The height of what stands above. */
static double
set_identity(PwFoot *foot, PwPdf *pdf, const PwStyle *style, const PwSheet *sheet, double width)
{
  foot->identity = pw_plate_text_new(pdf, style, PW_ROLE_KEY, sheet->identity, width);
  if (sheet->pixels == NULL)
    return 0;
  PwText *line = pw_plate_text_new(pdf, style, PW_ROLE_FOOT, sheet->pixels, 0);
  if (pw_text_width(foot->identity) + PW_APART + pw_text_width(line) <= width) {
    foot->pixels = line;
    return 0;
  }
  pw_text_free(line);
  line = pw_plate_text_new(pdf, style, PW_ROLE_FOOT, sheet->pixels, width);
  g_ptr_array_add(foot->notes, line);
  return pw_text_height(line);
}

PwFoot *
pw_foot_new(PwPdf *pdf, const PwStyle *style, const PwSheet *sheet, const GPtrArray *callouts,
            double page_width)
{
  PwFoot *foot = g_new0(PwFoot, 1);
  foot->key = g_array_new(FALSE, FALSE, sizeof(PwKeyEntry));
  foot->right = g_ptr_array_new_with_free_func((GDestroyNotify)pw_text_free);
  foot->notes = g_ptr_array_new_with_free_func((GDestroyNotify)pw_text_free);
  double width = inner_width(style, page_width);
  double y = set_key(foot, pdf, style, sheet, callouts, width);
  foot->notes_y = y + PW_FOOT_SPACE;
  double notes = set_cautions(foot, pdf, style, sheet, callouts, width);
  notes += set_identity(foot, pdf, style, sheet, width);
  y += notes > 0 ? notes + PW_FOOT_SPACE : 0;
  foot->identity_y = y + PW_FOOT_SPACE;
  foot->height = foot->identity_y + pw_text_height(foot->identity);
  return foot;
}

void
pw_foot_free(PwFoot *foot)
{
  if (foot == NULL)
    return;
  for (guint i = 0; i < foot->key->len; i++)
    pw_text_free(g_array_index(foot->key, PwKeyEntry, i).text);
  g_array_unref(foot->key);
  g_ptr_array_unref(foot->right);
  g_ptr_array_unref(foot->notes);
  pw_text_free(foot->identity);
  pw_text_free(foot->pixels);
  g_free(foot);
}

static void
draw_key(const PwFoot *foot, cairo_t *cr, const PwStyle *style, double x, double top)
{
  double width = pw_style_length(style, "swatch-width"),
         height = pw_style_length(style, "swatch-height");
  for (guint i = 0; i < foot->key->len; i++) {
    const PwKeyEntry *entry = &g_array_index(foot->key, PwKeyEntry, i);
    double rise = PW_RISE;
    PwBox box = {x + entry->x, top + entry->y - rise - height / 2, width, height};
    pw_ink_swatch(cr, style, entry->look, entry->kind, &box);
    pw_text_draw(entry->text, x + entry->x + width + PW_SWATCH_APART, top + entry->y, 0, 0, 0);
  }
}

void
pw_foot_draw(const PwFoot *foot, PwPdf *pdf, cairo_t *cr, const PwStyle *style, double page_width,
             double page_height)
{
  double margin = pw_style_length(style, "margin"), right = page_width - margin;
  double top = page_height - margin - foot->height;
  pw_ink_rule(cr, style, margin, right, top);
  draw_key(foot, cr, style, margin, top);
  for (guint i = 0; i < foot->right->len; i++)
    pw_plate_text_draw(pdf, PW_ELEMENT_P, foot->right->pdata[i], right,
                       top + foot->right_y + i * key_row(style), 1);
  double y = top + foot->notes_y;
  for (guint i = 0; i < foot->notes->len; i++) {
    const PwText *text = foot->notes->pdata[i];
    pw_plate_text_draw(pdf, PW_ELEMENT_P, text, margin, y + pw_text_first_baseline(text), 0);
    y += pw_text_height(text);
  }
  double base = top + foot->identity_y + pw_text_first_baseline(foot->identity);
  pw_text_draw(foot->identity, margin, base, 0, 0, 0);
  if (foot->pixels != NULL)
    pw_plate_text_draw(pdf, PW_ELEMENT_P, foot->pixels, right, base, 1);
}
