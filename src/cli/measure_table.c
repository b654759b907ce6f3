/* `measure` for people: a block a photograph, then totals and what changed. */
#include "measure.h"

#include <math.h>
#include <string.h>

enum { MAX_COLUMNS = 7 };

/* Rows of cells, aligned when they are written: a column is as wide as its widest cell. */
typedef struct {
  GPtrArray *rows; /* char ** of MAX_COLUMNS + 1, NULL-padded */
} Table;

static Table
table_new(void)
{
  return (Table){g_ptr_array_new_with_free_func(g_free)};
}

/* Takes the cells; what is not given is empty. */
static void
table_add(Table *table, char *const cells[MAX_COLUMNS])
{
  g_ptr_array_add(table->rows, g_memdup2(cells, MAX_COLUMNS * sizeof *cells));
}

#define CELLS(...) ((char *const[MAX_COLUMNS]){__VA_ARGS__})

static void
append_padded(GString *text, const char *cell, glong width, gboolean last)
{
  g_string_append(text, cell);
  for (glong n = g_utf8_strlen(cell, -1); !last && n < width + 2; n++)
    g_string_append_c(text, ' ');
}

static void
table_write(Table *table, GString *text)
{
  glong widths[MAX_COLUMNS] = {0};
  for (guint i = 0; i < table->rows->len; i++)
    for (int j = 0; j < MAX_COLUMNS; j++) {
      const char *cell = ((char **)table->rows->pdata[i])[j];
      widths[j] = MAX(widths[j], cell ? g_utf8_strlen(cell, -1) : 0);
    }
  for (guint i = 0; i < table->rows->len; i++) {
    char **row = table->rows->pdata[i];
    int last = MAX_COLUMNS - 1;
    while (last > 0 && (row[last] == NULL || *row[last] == '\0'))
      last--;
    g_string_append(text, "  ");
    for (int j = 0; j <= last; j++)
      append_padded(text, row[j] ? row[j] : "", widths[j], j == last);
    g_string_append_c(text, '\n');
    for (int j = 0; j < MAX_COLUMNS; j++)
      g_free(row[j]);
  }
  g_ptr_array_unref(table->rows);
}

/* ---- Words ------------------------------------------------------------------------- */

static char *
dup_what(const char *term, const char *part)
{
  return g_strconcat(term ? term : "no term", part ? ", " : "", part ? part : "", NULL);
}

static void
append_facts(GString *line, const PwScaleFacts *facts, double doubt_percent)
{
  g_autofree char *per_px = pw_format_fixed(facts->mm_per_px, 4);
  g_string_append_printf(line, ": %s mm/px", per_px);
  if (!isnan(doubt_percent)) {
    g_autofree char *doubt = pw_format_uncertainty(doubt_percent);
    g_string_append_printf(line, " \u00b1 %s %%", doubt);
  }
  if (!isnan(facts->camera_distance_mm)) {
    g_autofree char *distance = pw_format_fixed(facts->camera_distance_mm, 0);
    g_string_append_printf(line, ", camera %s mm away", distance);
  }
  if (!isnan(facts->tilt_deg)) {
    g_autofree char *tilt = pw_format_fixed(facts->tilt_deg, 1);
    g_string_append_printf(line, ", tilt %s\u00b0", tilt);
  }
  g_autofree char *offset = pw_format_double(facts->plane_offset_mm);
  g_string_append_printf(line, ", plane-offset %s mm", offset);
  if (facts->lens.f_px > 0)
    g_string_append(line, ", lens corrected");
}

/* ", 41 ± 6 mm nearer the camera than bench" */
static void
append_height(GString *line, const PwQuantity *nearer, const char *first)
{
  if (isnan(nearer->value))
    return;
  double U = nearer->u * pw_coverage_factor(nearer->dof);
  g_autofree char *height = pw_format_quantity(fabs(nearer->value), U);
  g_autofree char *within = pw_format_uncertainty(U);
  if (fabs(nearer->value) > U)
    g_string_append_printf(line, ", %s mm %s the camera than %s", height,
                           nearer->value > 0 ? "nearer" : "farther from", first);
  else
    g_string_append_printf(line, ", level with %s to %s mm", first, within);
}

static void
append_card(GString *text, const PwModelCard *card, const char **first)
{
  if (card->scale == NULL) {
    g_string_append_printf(text, "  no scale from card %s: %s\n", card->name, card->why);
    return;
  }
  PwScaleFacts facts;
  pw_scale_facts(card->scale, &facts);
  g_string_append_printf(text, "  scale from card %s (%s), %d tags", card->name, card->design,
                         card->n_tags);
  append_facts(text, &facts, card->doubt_percent);
  if (isnan(card->text->check_along) || isnan(card->text->check_across))
    g_string_append(text, ", check lines not measured");
  if (*first != NULL)
    append_height(text, &card->nearer_mm, *first);
  else
    *first = card->name;
  g_string_append_c(text, '\n');
}

static void
append_scale(GString *text, const PwModelPhoto *photo)
{
  static const char *const methods[] = {"nothing", "a rectangle", "a span", "a ruler's ticks",
                                        "a card's tags"};
  const char *first = NULL;
  if (photo->scale == NULL) {
    g_string_append_printf(text, "  no sizes: %s\n", photo->why);
    return;
  }
  for (gsize i = 0; i < photo->n_cards; i++)
    append_card(text, &photo->cards[i], &first);
  if (photo->n_cards > 0)
    return;
  PwScaleFacts facts;
  pw_scale_facts(photo->scale, &facts);
  g_string_append_printf(text, "  scale from %s", methods[facts.method]);
  if (photo->graduations > 0) {
    g_autofree char *read = pw_format_fixed(photo->graduations, 1);
    g_autofree char *pitch = pw_format_double(photo->sidecar->scale.pitch);
    g_string_append_printf(text, ", %s of %s mm along the line", read, pitch);
  }
  append_facts(text, &facts, (double)NAN);
  g_string_append_c(text, '\n');
}

/* ---- Marks ------------------------------------------------------------------------- */

static void
add_budget(Table *table, const PwModelMark *mark)
{
  gboolean area = mark->kind == PW_KIND_AREA;
  const PwSize *main_size = area ? &mark->sizes.area_mm2 : &mark->sizes.length_mm;
  for (int input = 0; input < PW_N_INPUTS; input++)
    for (int scope = PW_SCOPE_MARK; scope <= PW_SCOPE_VOLUME; scope++) {
      double u = pw_size_share_of(main_size, (PwInput)input, (PwScope)scope);
      if (!(u > 0))
        continue;
      double longest =
          area ? pw_size_share_of(&mark->sizes.longest_mm, (PwInput)input, (PwScope)scope) : 0;
      g_autofree char *u_text = pw_format_uncertainty(u);
      g_autofree char *longest_text = pw_format_uncertainty(longest);
      table_add(table, CELLS(NULL,
                             g_strdup_printf("  %s (%s)", pw_input_name((PwInput)input),
                                             pw_scope_name((PwScope)scope)),
                             g_strdup_printf("u %s %s", u_text, area ? "mm\u00b2" : "mm"),
                             area ? g_strdup_printf("u %s mm", longest_text) : NULL));
    }
}

static void
add_mark(Table *table, const PwWords *words, const PwModelMark *mark, gboolean budget)
{
  gboolean measured = mark->sized && !mark->text->gone;
  char *size = pw_model_mark_dup_shown(mark, words);
  gboolean seen = mark->text->basis == PW_BASIS_OBSERVED;
  table_add(table, CELLS(g_strdup_printf("#%s", mark->text->id ? mark->text->id : "?"),
                         dup_what(mark->text->term, mark->text->part),
                         size ? size : g_strdup("no size"), pw_model_mark_dup_longest(mark, words),
                         mark->has_share ? pw_size_dup_text(&mark->share_percent, "%") : NULL,
                         seen ? NULL : g_strdup(pw_basis_name(mark->text->basis)),
                         mark->sized && mark->card && mark->photo->n_cards > 1
                             ? g_strdup_printf("by card %s", mark->card->name)
                             : NULL));
  if (budget && measured)
    add_budget(table, mark);
}

static void
append_photo(GString *text, const PwWords *words, const PwModelPhoto *photo, gboolean budget)
{
  g_string_append_printf(text, "%s   %s%s%s\n", photo->file,
                         photo->sidecar->view ? photo->sidecar->view : "no view",
                         photo->stage ? ", " : "", pw_stage_name(photo->stage));
  append_scale(text, photo);
  Table table = table_new();
  for (gsize i = 0; i < photo->n_marks; i++)
    add_mark(&table, words, &photo->marks[i], budget);
  table_write(&table, text);
  g_string_append_c(text, '\n');
}

/* ---- Totals and changes ------------------------------------------------------------ */

static void
append_totals(GString *text, const PwModel *model)
{
  Table table = table_new();
  if (pw_model_n_totals(model) > 0)
    g_string_append(text, "In all (what is linked counts once, what overlaps is united)\n");
  for (gsize i = 0; i < pw_model_n_totals(model); i++) {
    const PwModelTotal *total = pw_model_peek_total(model, i);
    g_autofree char *area = total->has_area ? pw_size_dup_text(&total->area_mm2, "mm\u00b2") : NULL;
    g_autofree char *length = total->has_length ? pw_size_dup_text(&total->length_mm, "mm") : NULL;
    char *size =
        area && length ? g_strjoin("; ", area, length, NULL) : g_strdup(area ? area : length);
    table_add(&table,
              CELLS(g_strdup(pw_stage_name(total->stage)), dup_what(total->term, total->part),
                    g_strdup_printf("%u", total->count), size,
                    total->unsized ? g_strdup_printf("%u without a size", total->unsized) : NULL));
  }
  table_write(&table, text);
}

static char *
dup_colour(double difference)
{
  g_autofree char *figure = pw_format_fixed(difference, 1);
  return g_strconcat("colour ", figure, NULL);
}

static void
append_changes(GString *text, const PwWords *words, const PwModel *model, const double *colours)
{
  gboolean tells_colour = FALSE;
  Table table = table_new();
  if (pw_model_n_changes(model) > 0)
    g_string_append(text, "\nChanges (after less before)\n");
  for (gsize i = 0; i < pw_model_n_changes(model); i++) {
    const PwModelChange *change = pw_model_peek_change(model, i);
    char *delta = pw_model_change_dup_shown(change, words);
    table_add(&table, CELLS(g_strdup(change->before->reference),
                            dup_what(change->before->text->term, change->before->text->part),
                            delta ? delta : g_strdup("not told: a size is missing"),
                            change->gone ? g_strdup("made good") : NULL,
                            isnan(colours[i]) ? NULL : dup_colour(colours[i])));
    tells_colour = tells_colour || !isnan(colours[i]);
  }
  table_write(&table, text);
  if (tells_colour)
    g_string_append(text, "\nColour: the mean colour inside the mark before against that of the "
                          "same place after, CIEDE2000;\nlight and exposure of both photographs "
                          "enter it, and no uncertainty is told\n");
}

char *
measure_dup_table(const PwModel *model, const PwWords *words, const double *colours,
                  gboolean budget)
{
  GString *text = g_string_new(NULL);
  const PwVolume *volume = pw_model_peek_volume(model);
  g_string_append_printf(text, "%s%s%s\n\n", pw_model_peek_id(model),
                         volume && volume->title ? "  " : "",
                         volume && volume->title ? volume->title : "");
  for (gsize i = 0; i < pw_model_n_photos(model); i++)
    if (!measure_passes_over(model, pw_model_peek_photo(model, i)))
      append_photo(text, words, pw_model_peek_photo(model, i), budget);
  if (pw_model_peek_only(model) == NULL) {
    append_totals(text, model);
    append_changes(text, words, model, colours);
  }
  g_string_append(text, "\n\u00b1 is the expanded uncertainty, about 95 %\n");
  return g_string_free(text, FALSE);
}
