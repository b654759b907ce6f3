/* The words of a plate's marks, by number, each number's stages together; below them how sizes were
 * got, the key, cautions, and what was done to the pixels. */
#include "set_html_private.h"

char *
pw_html_dup_mark_id(const PwHtmlPlate *plate, guint callout)
{
  return g_strdup_printf("plate-%u_on-%u", plate->number, callout + 1);
}

char *
pw_html_dup_words_id(const PwHtmlPlate *plate, guint number)
{
  return g_strdup_printf("plate-%u_mark-%u", plate->number, number);
}

static const PwCallout *
callout_at(const PwHtmlPlate *plate, guint i)
{
  return plate->sheet->callouts->pdata[i];
}

/* NULL: nothing. */
static const PwSheetMark *
mark_of(const PwHtmlPlate *plate, const PwCallout *callout, int mark)
{
  const PwSheetPicture *picture = &plate->sheet->pictures[callout->picture];
  return mark >= 0 ? &g_array_index(picture->marks, PwSheetMark, mark) : NULL;
}

/* ---- One number --------------------------------------------------------------------------------
 */

/* Words that lead to the mark on its picture, where it was drawn. */
static void
put_way(PwHtml *html, const PwHtmlPlate *plate, guint which, const char *words,
        const char *class_name)
{
  if (callout_at(plate, which)->mark < 0) {
    pw_markup_element(html->markup, "span", words, "class", class_name, NULL);
    return;
  }
  g_autofree char *id = pw_html_dup_mark_id(plate, which);
  g_autofree char *target = g_strconcat("#", id, NULL);
  pw_markup_element(html->markup, "a", words, "class", class_name, "href", target, NULL);
}

static const char *
class_of(PwRole role)
{
  switch (role) {
  case PW_ROLE_HEAD:
    return "head";
  case PW_ROLE_SIZE:
    return "size";
  case PW_ROLE_INFERRED:
    return "inferred";
  default:
    return "note";
  }
}

/* What it is, where the stage before has not said the same; where there are several stages, which
 * one it is. */
static void
put_callout(PwHtml *html, const PwHtmlPlate *plate, guint which, const char *head_before)
{
  const PwCallout *callout = callout_at(plate, which);
  const PwSheetPicture *picture = &plate->sheet->pictures[callout->picture];
  pw_markup_open(html->markup, "div", NULL);
  for (guint i = 0; i < callout->words->len; i++) {
    const PwSaid *said = callout->words->pdata[i];
    if (i > 0 || g_strcmp0(said->text, head_before) != 0)
      pw_markup_element(html->markup, "p", said->text, "class", class_of(said->role), NULL);
    if (i == 0 && plate->sheet->n_pictures > 1) {
      pw_markup_open(html->markup, "p", "class", "stage", NULL);
      put_way(html, plate, which, picture->label, NULL);
      pw_markup_close(html->markup);
    }
  }
  if (callout->id != NULL)
    pw_markup_element(html->markup, "p", callout->id, "class", "id", NULL);
  pw_markup_close(html->markup);
}

static const char *
head_of(const PwCallout *callout)
{
  return callout->words->len > 0 ? ((const PwSaid *)callout->words->pdata[0])->text : NULL;
}

/* Writes the callouts of one number; the first of the next. */
static guint
put_number(PwHtml *html, const PwHtmlPlate *plate, guint first)
{
  guint number = callout_at(plate, first)->number, n = plate->sheet->callouts->len, end = first;
  while (end < n && callout_at(plate, end)->number == number)
    end++;
  guint drawn = first;
  while (drawn + 1 < end && callout_at(plate, drawn)->mark < 0)
    drawn++;
  g_autofree char *id = pw_html_dup_words_id(plate, number);
  g_autofree char *figure = g_strdup_printf("%u", number);
  pw_markup_open(html->markup, "li", "id", id, NULL);
  put_way(html, plate, drawn, figure, "number");
  pw_markup_open(html->markup, "div", "class", "words", NULL);
  for (guint i = first; i < end; i++)
    put_callout(html, plate, i, i > first ? head_of(callout_at(plate, i - 1)) : NULL);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
  return end;
}

/* ---- The key -----------------------------------------------------------------------------------
 */

static gboolean
look_alike(const PwHtml *html, const PwSheetMark *a, const PwSheetMark *b)
{
  const PwStyle *style = html->options->style;
  return (a->was && b->was) ||
         (a->was == b->was && pw_style_group(style, a->group) == pw_style_group(style, b->group));
}

/* One mark for each look, an area rather than a line or a point. */
static void
gather_look(const PwHtml *html, GPtrArray *looks, const PwSheetMark *mark)
{
  guint k = 0;
  while (k < looks->len && !look_alike(html, looks->pdata[k], mark))
    k++;
  if (k == looks->len)
    g_ptr_array_add(looks, (gpointer)mark);
  else if (mark->kind < ((const PwSheetMark *)looks->pdata[k])->kind)
    looks->pdata[k] = (gpointer)mark;
}

static GPtrArray *
gather_looks(const PwHtml *html, const PwHtmlPlate *plate)
{
  GPtrArray *looks = g_ptr_array_new();
  for (guint i = 0; i < plate->sheet->callouts->len; i++) {
    const PwCallout *callout = callout_at(plate, i);
    const PwSheetMark *marks[] = {mark_of(plate, callout, callout->mark),
                                  mark_of(plate, callout, callout->earlier)};
    for (guint k = 0; k < G_N_ELEMENTS(marks); k++)
      if (marks[k] != NULL)
        gather_look(html, looks, marks[k]);
  }
  return looks;
}

static void
put_key(PwHtml *html, const PwHtmlPlate *plate)
{
  g_autoptr(GPtrArray) looks = gather_looks(html, plate);
  if (looks->len == 0)
    return;
  pw_markup_open(html->markup, "ul", "class", "key", NULL);
  for (guint i = 0; i < looks->len; i++) {
    const PwSheetMark *mark = looks->pdata[i];
    const PwGroupLook *look = pw_style_group(html->options->style, mark->group);
    g_autofree char *key = g_strconcat("group-", look->name, NULL);
    pw_markup_open(html->markup, "li", NULL);
    pw_html_swatch(html, mark);
    pw_markup_text(html->markup, pw_html_word(html, mark->was ? "earlier" : key));
    pw_markup_close(html->markup);
  }
  pw_markup_close(html->markup);
}

/* ---- All that stands beside the pictures -------------------------------------------------------
 */

static void
put_note(PwHtml *html, const char *words)
{
  if (words != NULL && *words != '\0')
    pw_markup_element(html->markup, "p", words, NULL);
}

static void
put_cautions(PwHtml *html, const PwHtmlPlate *plate)
{
  g_autoptr(GHashTable) said = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < plate->sheet->callouts->len; i++) {
    char *caution = callout_at(plate, i)->caution;
    if (caution != NULL && g_hash_table_add(said, caution))
      put_note(html, caution);
  }
  if (g_hash_table_size(said) > 0)
    put_note(html, pw_html_word(html, "cautions-defer"));
}

static void
put_notes(PwHtml *html, const PwHtmlPlate *plate)
{
  gboolean has_sizes = FALSE, has_ids = FALSE;
  for (guint i = 0; i < plate->sheet->callouts->len; i++) {
    has_sizes = has_sizes || callout_at(plate, i)->sized;
    has_ids = has_ids || callout_at(plate, i)->id != NULL;
  }
  pw_markup_open(html->markup, "div", "class", "notes", NULL);
  put_note(html, plate->sheet->scale);
  put_note(html, has_sizes ? pw_html_word(html, "uncertainty") : NULL);
  put_note(html, has_ids ? pw_html_word(html, "id-in-sidecar") : NULL);
  put_note(html, plate->sheet->pixels);
  put_cautions(html, plate);
  pw_markup_close(html->markup);
}

void
pw_html_callouts(PwHtml *html, const PwHtmlPlate *plate)
{
  pw_markup_open(html->markup, "div", "class", "beside", NULL);
  if (plate->sheet->callouts->len > 0) {
    pw_markup_open(html->markup, "ol", "class", "callouts", "aria-label",
                   pw_html_word(html, "html-marks"), NULL);
    for (guint next = 0; next < plate->sheet->callouts->len;)
      next = put_number(html, plate, next);
    pw_markup_close(html->markup);
  }
  pw_markup_open(html->markup, "div", "class", "legend", NULL);
  put_key(html, plate);
  put_notes(html, plate);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
}
