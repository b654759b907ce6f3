/* align: the photograph after laid over the one before, and how well it lies. */
#include "command.h"

#include <platewright/pair.h>

#include <math.h>
#include <string.h>

static const Option options[] = {
    {"--ties", NULL, "write the ties that are trusted into the text of the photograph after"},
    {"--json", NULL, "print as JSON, for a program"},
    {0}};

typedef struct {
  const PwModel *model;
  GPtrArray *pairs; /* PwPair: those whose photographs could be read */
  guint n_views;    /* photographed before and after */
  int status;
} Aligning;

static void
free_pair(gpointer pair)
{
  pw_pair_free(pair);
}

static void
take_status(Aligning *aligning, int status)
{
  aligning->status = MAX(aligning->status, status);
}

/* One after another: a pair is held whole in memory, and uses every core. */
static void
lay_pairs(Aligning *aligning)
{
  const PwProgress *progress = say_progress();
  guint n = (guint)pw_model_n_plates(aligning->model);
  for (guint i = 0; i < n; i++) {
    g_autoptr(GError) error = NULL;
    const PwModelPlate *plate = pw_model_peek_plate(aligning->model, i);
    pw_progress_step(progress, "pairs", i + 1, n);
    if (plate->before == NULL || plate->after == NULL)
      continue;
    aligning->n_views++;
    PwPair *pair = pw_pair_new(aligning->model, plate->before, plate->after, &error);
    if (pair == NULL)
      take_status(aligning, say_error(error));
    else
      g_ptr_array_add(aligning->pairs, pair);
    if (pair != NULL && !pair->is_laid)
      take_status(aligning, EXIT_FINDINGS);
  }
  say_progress_end();
}

/* ---- Ties ------------------------------------------------------------------------------ */

static void
write_ties(Aligning *aligning)
{
  for (guint i = 0; i < aligning->pairs->len; i++) {
    const PwPair *pair = aligning->pairs->pdata[i];
    g_autoptr(PwComplaints) complaints = pw_complaints_new();
    g_autoptr(GError) error = NULL;
    guint n = 0;
    if (pair->is_laid && !pw_pair_write_ties(pair, &n, complaints, &error)) {
      take_status(aligning, say_error(error));
      take_status(aligning, say_complaints(complaints, PW_SEVERITY_ERROR));
    } else if (n > 0) {
      say("%s.yaml: %u ties; look at them on the marking page", pair->after->file, n);
    } else if (pair->is_laid) {
      say("%s.yaml: has ties of its own, which stay", pair->after->file);
    }
  }
}

/* ---- What is printed ------------------------------------------------------------------- */

static char *
dup_how_well(const PwPair *pair)
{
  const PwAlignment *a = &pair->alignment;
  g_autofree char *px = pw_format_fixed(a->residual_px, 2);
  g_autofree char *mm = isnan(pair->residual_mm) ? NULL : pw_format_fixed(pair->residual_mm, 2);
  g_autofree char *correlation = pw_format_fixed(a->correlation, 2);
  return g_strdup_printf("laid from %s; off by %s px%s%s%s, correlation %s, %.0f %% of the places "
                         "agree, %.0f %% of the picture before is covered",
                         pw_pair_start_name(pair->start), px, mm ? " (" : "", mm ? mm : "",
                         mm ? " mm)" : "", correlation, 100 * a->agreement, 100 * a->overlap);
}

static char *
dup_text(const Aligning *aligning)
{
  const GPtrArray *pairs = aligning->pairs;
  GString *text =
      g_string_new(aligning->n_views == 0 ? "no view was photographed before and after\n" : "");
  for (guint i = 0; i < pairs->len; i++) {
    const PwPair *pair = pairs->pdata[i];
    g_autofree char *how =
        pair->is_laid ? dup_how_well(pair) : g_strconcat("not laid: ", pair->why, NULL);
    g_string_append_printf(text, "%s over %s\n  %s\n", pair->after->file, pair->before->file, how);
  }
  return g_string_free(text, FALSE);
}

/* A square of before; without texture it tells nothing. */
static void
put_cell(PwJson *json, const PwAlignCell *cell)
{
  const double where[] = {cell->from.x, cell->from.y, cell->to.x, cell->to.y};
  pw_json_begin_object(json);
  pw_json_key(json, "where");
  pw_json_begin_array(json);
  for (gsize i = 0; i < G_N_ELEMENTS(where); i++)
    pw_json_double(json, where[i]);
  pw_json_end(json);
  pw_json_key(json, "agrees");
  if (cell->has_texture)
    pw_json_bool(json, cell->agrees);
  else
    pw_json_null(json);
  pw_json_pair_double(json, "correlation", cell->has_texture ? cell->correlation : (double)NAN);
  pw_json_end(json);
}

static void
put_pair(PwJson *json, const PwPair *pair)
{
  pw_json_begin_object(json);
  pw_json_pair_string(json, "before", pair->before->file);
  pw_json_pair_string(json, "after", pair->after->file);
  pw_json_pair_string(json, "start", pw_pair_start_name(pair->start));
  pw_json_key(json, "homography");
  if (pair->is_laid) {
    pw_json_begin_array(json);
    for (int i = 0; i < 9; i++)
      pw_json_double(json, pair->alignment.h.m[i]);
    pw_json_end(json);
    pw_json_pair_double(json, "residual_px", pair->alignment.residual_px);
    pw_json_pair_double(json, "residual_mm", pair->residual_mm);
    pw_json_pair_double(json, "correlation", pair->alignment.correlation);
    pw_json_pair_double(json, "agreement", pair->alignment.agreement);
    pw_json_pair_double(json, "overlap", pair->alignment.overlap);
  } else {
    pw_json_null(json);
    pw_json_pair_string(json, "why", pair->why);
  }
  pw_json_key(json, "cells");
  pw_json_begin_array(json);
  for (gsize i = 0; i < pair->alignment.n_cells; i++)
    put_cell(json, &pair->alignment.cells[i]);
  pw_json_end(json);
  pw_json_end(json);
}

static char *
dup_json(const GPtrArray *pairs)
{
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_json_pair_string(json, "format", "platewright-align 1");
  pw_json_key(json, "pairs");
  pw_json_begin_array(json);
  for (guint i = 0; i < pairs->len; i++)
    put_pair(json, pairs->pdata[i]);
  pw_json_end(json);
  pw_json_end(json);
  return pw_json_take_text(json);
}

static int
run(const Invocation *invocation)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwModelOptions open = {.headers = TRUE, .progress = say_progress()};
  g_autoptr(PwModel) model = pw_model_open(invocation->folder, &open, complaints, &error);
  if (model == NULL)
    return say_error(error);
  g_autoptr(GPtrArray) pairs = g_ptr_array_new_with_free_func(free_pair);
  Aligning aligning = {model, pairs, 0, say_complaints(complaints, PW_SEVERITY_ERROR)};
  lay_pairs(&aligning);
  if (given_flag(invocation, "--ties"))
    write_ties(&aligning);
  g_autofree char *text = given_flag(invocation, "--json") ? dup_json(pairs) : dup_text(&aligning);
  int written = out_text(text, strlen(text));
  return MAX(aligning.status, written);
}

const Command command_align = {"align", "FOLDER",
                               "Lays photographs after treatment over those before, and tells how "
                               "well they lie",
                               options, run};
