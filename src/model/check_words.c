/* Words of the record that may be slips: terms of observations, the language, and parts, which are
 * free text: of these only what all but matches another is told, as a hint. And names that the
 * public would read. */
#include "model-private.h"

#include <string.h>

/* A word with a number ("board 2") is meant as it stands. */
static const char DIGITS[] = "0123456789";

/* ---- Terms and language ------------------------------------------------------------ */

static void
check_observed_terms(const PwModel *model, PwComplaints *complaints)
{
  const PwVolume *volume = model->volume;
  for (gsize i = 0; i < volume->n_observations; i++) {
    const PwObservation *observation = &volume->observations[i];
    const char *word = observation->term;
    if (word == NULL || strcmp(word, PW_TERM_UNDECIDED) == 0 ||
        pw_terms_find(model->terms, word) != NULL)
      continue;
    const char *near = pw_terms_nearest(model->terms, word);
    pw_yaml_complain(volume->yaml, observation->node, complaints, "unknown term",
                     PW_SEVERITY_WARNING,
                     "the term \"%s\" is not known%s%s; it is printed as it is written, without a "
                     "meaning or caution; terms.yaml in the volume folder may add it",
                     word, near ? "; did you mean " : "", near ? near : "");
  }
}

/* A path to a file of words is nobody's slip: whoever prints is told when it is not there. */
static void
check_language(const PwModel *model, PwComplaints *complaints)
{
  const PwVolume *volume = model->volume;
  const char *language = volume->language;
  g_auto(GStrv) known = pw_words_dup_languages();
  if (language == NULL || strchr(language, '/') != NULL || g_str_has_suffix(language, ".yaml") ||
      g_strv_contains((const char *const *)known, language))
    return;
  g_autofree char *all = g_strjoinv(", ", known);
  pw_yaml_complain(volume->yaml, pw_yaml_node_get(pw_yaml_peek_root(volume->yaml), "language"),
                   complaints, "unknown language", PW_SEVERITY_WARNING,
                   "there are no words in the language \"%s\", so nothing can be printed in it; "
                   "there are: %s",
                   language, all);
}

/* ---- Parts ------------------------------------------------------------------------- */

/* A part as it is written, wherever it first stands and how often. */
typedef struct {
  const char *word;
  const PwYaml *yaml;
  const PwYamlNode *node;
  guint n;
} Part;

static void
meet(GArray *parts, const char *word, const PwYaml *yaml, const PwYamlNode *node)
{
  if (word == NULL)
    return;
  for (guint i = 0; i < parts->len; i++) {
    Part *part = &g_array_index(parts, Part, i);
    if (strcmp(part->word, word) == 0) {
      part->n++;
      return;
    }
  }
  const Part part = {word, yaml, node, 1};
  g_array_append_val(parts, part);
}

static GArray *
parts_of(const PwModel *model)
{
  const PwVolume *volume = model->volume;
  GArray *parts = g_array_new(FALSE, FALSE, sizeof(Part));
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *photo = model->photos->pdata[i];
    for (gsize j = 0; j < photo->n_marks; j++)
      meet(parts, photo->marks[j].text->part, photo->sidecar->yaml, photo->marks[j].text->node);
  }
  for (gsize i = 0; i < volume->n_observations; i++)
    meet(parts, volume->observations[i].part, volume->yaml, volume->observations[i].node);
  for (gsize i = 0; i < volume->n_proposal; i++)
    meet(parts, volume->proposal[i].part, volume->yaml, volume->proposal[i].node);
  for (gsize i = 0; i < volume->n_treatment; i++)
    meet(parts, volume->treatment[i].part, volume->yaml, volume->treatment[i].node);
  return parts;
}

/* Parts that terms.yaml names, each as often as it does. */
static GPtrArray *
parts_known(const PwModel *model)
{
  GPtrArray *known = g_ptr_array_new();
  for (guint i = 0; i < pw_terms_n(model->terms); i++)
    for (char **part = pw_terms_peek(model->terms, i)->parts; part && *part; part++)
      g_ptr_array_add(known, *part);
  return known;
}

/* The words that may have been meant: the known, and those that the record has oftener, or as often
 * and earlier. NULL at its end; the words are borrowed. */
static GPtrArray *
likelier(const GArray *parts, guint at, GPtrArray *known)
{
  GPtrArray *words = g_ptr_array_copy(known, NULL, NULL);
  for (guint i = 0; i < parts->len; i++) {
    const Part *part = &g_array_index(parts, Part, i);
    const guint n = g_array_index(parts, Part, at).n;
    if (i != at && (part->n > n || (part->n == n && i < at)))
      g_ptr_array_add(words, (gpointer)(gsize)part->word);
  }
  g_ptr_array_add(words, NULL);
  return words;
}

/* "boards" beside "board" is no slip. */
static gboolean
is_longer_by_an_end(const char *word, const char *other)
{
  return g_str_has_prefix(word, other) || g_str_has_prefix(other, word);
}

static void
check_parts(const PwModel *model, PwComplaints *complaints)
{
  g_autoptr(GArray) parts = parts_of(model);
  g_autoptr(GPtrArray) known = parts_known(model);
  for (guint i = 0; i < parts->len; i++) {
    const Part *part = &g_array_index(parts, Part, i);
    if (g_ptr_array_find_with_equal_func(known, part->word, g_str_equal, NULL) ||
        strpbrk(part->word, DIGITS) != NULL)
      continue;
    g_autoptr(GPtrArray) words = likelier(parts, i, known);
    const char *near = pw_nearest_slip(part->word, (const char *const *)words->pdata);
    if (near != NULL && !is_longer_by_an_end(part->word, near))
      pw_yaml_complain(part->yaml, part->node, complaints, "part nearly known", PW_SEVERITY_NOTE,
                       "the part \"%s\" is nearly \"%s\"; if the same is meant, write it the same, "
                       "or they are counted and added up apart",
                       part->word, near);
  }
}

/* ---- Names ------------------------------------------------------------------------- */

static void
check_public_words(const PwModel *model, const PwYaml *yaml, const PwYamlNode *node,
                   const char *what, const char *text, PwComplaints *complaints)
{
  if (pw_model_words_shown(model, text, PW_FOR_PUBLIC))
    return;
  pw_yaml_complain(yaml, node, complaints, "name before the public", PW_SEVERITY_WARNING,
                   "the %s, \"%s\", holds a name that the record keeps from the public, and the "
                   "public would read it here; write it without, or take `privacy-checked` away",
                   what, text);
}

/* Whoever dated `privacy-checked` vouched for the words beside a photograph; what they overlooked
 * is told. */
static void
check_names(const PwModel *model, const PwModelPhoto *photo, PwComplaints *complaints)
{
  const PwSidecar *sidecar = photo->sidecar;
  if (sidecar == NULL || !pw_model_photo_shown(model, photo, PW_FOR_PUBLIC))
    return;
  const PwYamlNode *root = pw_yaml_peek_root(sidecar->yaml);
  const char *keys[] = {"view", "place", "step", "caption"};
  const char *texts[] = {sidecar->view, sidecar->place, sidecar->step, sidecar->caption};
  for (gsize i = 0; i < G_N_ELEMENTS(keys); i++)
    check_public_words(model, sidecar->yaml, pw_yaml_node_get(root, keys[i]), keys[i], texts[i],
                       complaints);
  for (gsize i = 0; i < photo->n_marks; i++) {
    const PwMark *mark = photo->marks[i].text;
    if (photo->marks[i].withheld)
      continue;
    check_public_words(model, sidecar->yaml, mark->node, "term", mark->term, complaints);
    check_public_words(model, sidecar->yaml, mark->node, "part", mark->part, complaints);
    check_public_words(model, sidecar->yaml, mark->node, "note", mark->note, complaints);
  }
}

void
pw_check_words(const PwModel *model, PwComplaints *complaints)
{
  check_observed_terms(model, complaints);
  check_language(model, complaints);
  check_parts(model, complaints);
  for (guint i = 0; i < model->photos->len; i++)
    check_names(model, model->photos->pdata[i], complaints);
}
