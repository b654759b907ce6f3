/* Kept pairs, in words and numbers, which are told from damage and read alike on every machine:
 *
 *   START yes|no N           what it was laid from, whether it lies, how many cells there are
 *   H... RESIDUAL CORRELATION AGREEMENT OVERLAP
 *   WHY                      may be empty
 *   X Y X Y CORRELATION DX DY TEXTURE AGREES     N times
 *
 * Numbers are written so that they read back to the same double: what is recalled gives the same
 * bytes as what was just made.
 */
#include "pair_kept.h"

#include <string.h>

#include "model-private.h"

static const char KIND[] = "pairs";
enum { FIGURES = 13, CELL_FIGURES = 9, HEAD_LINES = 3 };

/* ---- What decides ---------------------------------------------------------------------- */

static void
append(GString *text, const double *figures, gsize n)
{
  for (gsize i = 0; i < n; i++) {
    g_autofree char *figure = pw_format_double(figures[i]);
    g_string_append_printf(text, "%s%s", i > 0 ? " " : "", figure);
  }
}

/* A field of the key, told apart from others by its name and its own line. */
static void
append_field(GString *key, const char *name, const double *figures, gsize n)
{
  g_string_append_printf(key, "\n%s ", name);
  append(key, figures, n);
}

static void
append_px(GString *key, const char *name, const PwPx *points, gsize n)
{
  for (gsize i = 0; i < n; i++)
    append_field(key, name, (const double[]){points[i].x, points[i].y}, 2);
}

static void
append_photo(GString *key, const PwModelPhoto *photo)
{
  const PwSidecar *text = photo->sidecar;
  PwScaleFacts facts;
  if (photo->scale != NULL) {
    pw_scale_facts(photo->scale, &facts);
    append_field(key, "scale", facts.homography.m, G_N_ELEMENTS(facts.homography.m));
  }
  if (text == NULL)
    return;
  append_px(key, "surface", text->surface.points, text->surface.n);
  for (gsize i = 0; i < text->n_ties; i++)
    append_px(key, "tie", (const PwPx[]){text->ties[i].here, text->ties[i].there}, 2);
}

char *
pw_pair_dup_key(const PwPair *pair, char *const sha256[2], const char *method)
{
  const PwModelPhoto *const photos[2] = {pair->before, pair->after};
  GString *key = g_string_new(PW_VERSION);
  g_string_append_printf(key, " %s", method);
  for (int i = 0; i < 2; i++) {
    g_string_append_printf(key, "\n%s", sha256[i]);
    append_photo(key, photos[i]);
  }
  return g_string_free(key, FALSE);
}

/* ---- To words -------------------------------------------------------------------------- */

void
pw_pair_keep(const PwPair *pair, const char *folder, const char *key)
{
  const PwAlignment *a = &pair->alignment;
  g_autoptr(GString) text = g_string_new(NULL);
  g_string_append_printf(text, "%d %s %" G_GSIZE_FORMAT "\n", (int)pair->start,
                         pair->is_laid ? "yes" : "no", a->n_cells);
  append(text, a->h.m, G_N_ELEMENTS(a->h.m));
  g_string_append_c(text, ' ');
  append(text, (const double[]){a->residual_px, a->correlation, a->agreement, a->overlap}, 4);
  g_string_append_printf(text, "\n%s\n", pair->why ? pair->why : "");
  for (gsize i = 0; i < a->n_cells; i++) {
    const PwAlignCell *cell = &a->cells[i];
    const double figures[CELL_FIGURES] = {
        cell->from.x, cell->from.y, cell->to.x,        cell->to.y,   cell->correlation,
        cell->dx,     cell->dy,     cell->has_texture, cell->agrees,
    };
    append(text, figures, CELL_FIGURES);
    g_string_append_c(text, '\n');
  }
  g_autoptr(GBytes) entry = g_bytes_new(text->str, text->len);
  pw_cache_put(folder, KIND, key, entry);
}

/* ---- From words ------------------------------------------------------------------------ */

static gboolean
read_figures(const char *line, double *figures, guint n)
{
  g_auto(GStrv) words = g_strsplit(line, " ", 0);
  if (g_strv_length(words) != n)
    return FALSE;
  for (guint i = 0; i < n; i++)
    if (!pw_parse_double(words[i], &figures[i]))
      return FALSE;
  return TRUE;
}

static gboolean
read_head(char **lines, PwPair *pair)
{
  PwAlignment *a = &pair->alignment;
  g_auto(GStrv) words = g_strsplit(lines[0], " ", 0);
  gint64 start, n;
  double figures[FIGURES];
  if (g_strv_length(words) != 3 || !pw_parse_int(words[0], &start) || start < PW_START_NONE ||
      pw_pair_start_name((PwPairStart)start) == NULL || !pw_parse_int(words[2], &n) || n < 0 ||
      !read_figures(lines[1], figures, FIGURES))
    return FALSE;
  pair->start = (PwPairStart)start;
  pair->is_laid = strcmp(words[1], "yes") == 0;
  pair->why = pair->is_laid ? NULL : g_strdup(lines[2]);
  memcpy(a->h.m, figures, sizeof a->h.m);
  a->residual_px = figures[9];
  a->correlation = figures[10];
  a->agreement = figures[11];
  a->overlap = figures[12];
  a->n_cells = (gsize)n;
  return TRUE;
}

static gboolean
read_cell(const char *line, PwAlignCell *cell)
{
  double f[CELL_FIGURES];
  if (!read_figures(line, f, CELL_FIGURES))
    return FALSE;
  *cell = (PwAlignCell){.from = {f[0], f[1]},
                        .to = {f[2], f[3]},
                        .correlation = f[4],
                        .dx = f[5],
                        .dy = f[6],
                        .has_texture = f[7] > 0,
                        .agrees = f[8] > 0};
  return TRUE;
}

gboolean
pw_pair_recall(PwPair *pair, const char *folder, const char *key)
{
  g_autoptr(GBytes) entry = pw_cache_get(folder, KIND, key);
  if (entry == NULL)
    return FALSE;
  g_autofree char *text = g_strndup(g_bytes_get_data(entry, NULL), g_bytes_get_size(entry));
  g_auto(GStrv) lines = g_strsplit(text, "\n", 0);
  PwPair found = {0};
  gboolean sound = g_strv_length(lines) > HEAD_LINES && read_head(lines, &found) &&
                   found.alignment.n_cells == g_strv_length(lines) - HEAD_LINES - 1;
  found.alignment.cells = sound ? g_new(PwAlignCell, found.alignment.n_cells) : NULL;
  for (gsize i = 0; sound && i < found.alignment.n_cells; i++)
    sound = read_cell(lines[HEAD_LINES + i], &found.alignment.cells[i]);
  if (!sound) {
    pw_alignment_clear(&found.alignment);
    g_free(found.why);
    return FALSE;
  }
  pair->start = found.start;
  pair->is_laid = found.is_laid;
  pair->alignment = found.alignment;
  pair->why = found.why;
  return TRUE;
}
