/* Cards: which of the cards that were found in a picture a sidecar's names mean, which of them a
 * mark is measured by, and what speaks against them. */
#include "model-private.h"

#include <math.h>
#include <string.h>

/* ---- Names ------------------------------------------------------------------------- */

static const PwCard *
card_named(const PwModel *model, const char *name)
{
  for (gsize i = 0; model->volume && i < model->volume->n_cards; i++)
    if (strcmp(model->volume->cards[i].name, name) == 0)
      return &model->volume->cards[i];
  return NULL;
}

static const char *
nearest_name(const PwModel *model, const char *name)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();
  for (gsize i = 0; model->volume && i < model->volume->n_cards; i++)
    g_ptr_array_add(names, model->volume->cards[i].name);
  g_ptr_array_add(names, NULL);
  return pw_nearest_word(name, (const char *const *)names->pdata);
}

static void
complain_of_name(const PwModel *model, const PwModelPhoto *photo, const char *name,
                 PwComplaints *complaints)
{
  const char *near = nearest_name(model, name);
  const PwYamlNode *tags = pw_yaml_node_get(photo->sidecar->scale.node, "tags");
  pw_yaml_complain(photo->sidecar->yaml, tags, complaints, "unknown card", PW_SEVERITY_ERROR,
                   near ? "volume.yaml has no card \"%s\"; did you mean \"%s\"?"
                        : "volume.yaml has no card \"%s\"; enter it there under `cards:`",
                   name, near);
}

void
pw_model_check_designs(const PwModel *model, PwComplaints *complaints)
{
  for (gsize i = 0; model->volume && i < model->volume->n_cards; i++) {
    const PwCard *card = &model->volume->cards[i];
    PwCardSize size;
    int copy;
    if (card->design == NULL || pw_card_parse(card->design, &size, &copy))
      continue;
    g_autoptr(GString) known = g_string_new(NULL);
    for (int s = 0; s < PW_N_CARD_SIZES; s++)
      g_string_append_printf(known, "%s%s", s > 0 ? ", " : "", pw_card_design((PwCardSize)s)->name);
    pw_yaml_complain(model->volume->yaml, pw_yaml_node_get(card->node, "design"), complaints,
                     "unknown design", PW_SEVERITY_ERROR,
                     "no card of ours is \"%s\"; they are %s, with the letter printed on them "
                     "where there are several: a6 b",
                     card->design, known->str);
  }
}

/* ---- Which found card is meant ----------------------------------------------------- */

/* A name of the sidecar while its card is looked for. */
typedef struct {
  PwModelCard *card;
  gboolean has_design;
  PwCardSize size;
  int copy; /* -1: any */
} Wanted;

static Wanted
wanted_of(PwModelCard *card)
{
  Wanted wanted = {.card = card};
  if (card->text == NULL)
    card->why = g_strdup_printf("volume.yaml has no card %s", card->name);
  else if (card->text->design == NULL)
    card->why = g_strdup_printf("volume.yaml does not say which design card %s is", card->name);
  else
    wanted.has_design = pw_card_parse(card->text->design, &wanted.size, &wanted.copy);
  if (!wanted.has_design && card->why == NULL)
    card->why = g_strdup_printf("the design of card %s in volume.yaml is not known", card->name);
  return wanted;
}

static gboolean
asks_for_copy(const Wanted *wanted, const PwFoundCard *found)
{
  return wanted->has_design && wanted->size == found->size && wanted->copy == found->copy;
}

/* Whether the name may mean that card: its very copy, or any that no other name asks for. */
static gboolean
may_mean(const Wanted *all, gsize n, const Wanted *wanted, const PwFoundCard *found)
{
  if (wanted->copy >= 0 || wanted->size != found->size)
    return asks_for_copy(wanted, found);
  for (gsize i = 0; i < n; i++)
    if (asks_for_copy(&all[i], found))
      return FALSE;
  return TRUE;
}

static const Wanted *
twin_of(const Wanted *all, gsize n, const Wanted *wanted)
{
  for (gsize i = 0; i < n; i++)
    if (&all[i] != wanted && all[i].has_design && all[i].size == wanted->size &&
        all[i].copy == wanted->copy)
      return &all[i];
  return NULL;
}

/* "; a6 a is": cards that lie in the picture and that none of the names may mean. */
static void
append_others(GString *why, const Wanted *all, gsize n, const PwFound *found)
{
  for (gsize i = 0; i < found->n_cards; i++) {
    gboolean meant = FALSE;
    for (gsize j = 0; j < n; j++)
      meant = meant || (all[j].has_design && may_mean(all, n, &all[j], &found->cards[i]));
    if (meant)
      continue;
    g_autofree char *name = pw_card_dup_name(found->cards[i].size, found->cards[i].copy);
    g_string_append_printf(why, "; %s is", name);
  }
}

static char *
dup_not_found(const Wanted *all, gsize n, const Wanted *wanted, const PwFound *found)
{
  g_autoptr(GString) why = g_string_new(NULL);
  g_string_append_printf(why, "card %s (%s) is not in the picture", wanted->card->name,
                         wanted->card->text->design);
  append_others(why, all, n, found);
  for (char **refused = found->refused; *refused; refused++)
    g_string_append_printf(why, "; %s", *refused);
  return g_strdup(why->str);
}

/* The one card in the picture that the name means; NULL with the reason in the card's `why`. */
static const PwFoundCard *
card_meant(const Wanted *all, gsize n, const Wanted *wanted, const PwFound *found)
{
  const PwFoundCard *meant = NULL;
  const Wanted *twin = twin_of(all, n, wanted);
  gsize candidates = 0;
  for (gsize i = 0; i < found->n_cards; i++)
    if (may_mean(all, n, wanted, &found->cards[i])) {
      meant = &found->cards[i];
      candidates++;
    }
  if (candidates == 0)
    wanted->card->why = dup_not_found(all, n, wanted, found);
  else if (twin != NULL && strcmp(twin->card->name, wanted->card->name) == 0)
    wanted->card->why =
        g_strdup_printf("card %s is named twice; name it once under `tags`", twin->card->name);
  else if (twin != NULL)
    wanted->card->why =
        g_strdup_printf("cards %s and %s cannot be told apart: give the letter printed on each as "
                        "its design, as in a6 b",
                        wanted->card->name, twin->card->name);
  else if (candidates > 1)
    wanted->card->why =
        g_strdup_printf("%u cards of size %s are in the picture: give the letter printed on card "
                        "%s as its design, as in %s b",
                        (guint)candidates, pw_card_design(wanted->size)->name, wanted->card->name,
                        pw_card_design(wanted->size)->name);
  return wanted->card->why ? NULL : meant;
}

static void
take_found(PwModelCard *card, const PwFoundCard *found)
{
  const PwCardDesign *design = pw_card_design(found->size);
  const double w = design->width_mm, h = design->height_mm;
  const PwMm corners[4] = {{0, 0}, {w, 0}, {w, h}, {0, h}};
  PwHomography back;
  if (!pw_homography_invert(&found->h, &back)) {
    card->why = g_strdup_printf("the tags of card %s give no plane", card->name);
    return;
  }
  for (int i = 0; i < 4; i++)
    pw_homography_apply(&back, corners[i].x, corners[i].y, &card->outline[i].x,
                        &card->outline[i].y);
  card->design = pw_card_dup_name(found->size, found->copy);
  card->n_tags = found->n_tags;
  card->px = found->px;
  card->mm = found->mm;
  card->n = found->n;
}

static void
match_cards(PwModelPhoto *photo, const PwFound *found)
{
  g_autofree Wanted *wanted = g_new0(Wanted, photo->n_cards);
  for (gsize i = 0; i < photo->n_cards; i++)
    wanted[i] = wanted_of(&photo->cards[i]);
  for (gsize i = 0; i < photo->n_cards; i++) {
    if (wanted[i].card->why != NULL)
      continue;
    const PwFoundCard *meant = card_meant(wanted, photo->n_cards, &wanted[i], found);
    if (meant != NULL)
      take_found(wanted[i].card, meant);
  }
  for (gsize i = 0; i < photo->n_cards; i++)
    if (photo->cards[i].why != NULL)
      photo->cards[i].why_not = PW_WHY_NOT_CARD;
}

/* ---- What was seen and not used ---------------------------------------------------- */

/* A card that is described and not found is told, with what was refused, even where no mark waits
 * for its scale. */
static void
complain_of_missing(const PwModelPhoto *photo, const PwLook *look, PwComplaints *complaints)
{
  const PwYaml *yaml = photo->sidecar->yaml;
  const PwYamlNode *tags = pw_yaml_node_get(photo->sidecar->scale.node, "tags");
  gboolean missing = FALSE;
  for (gsize i = 0; i < photo->n_cards; i++) {
    const PwModelCard *card = &photo->cards[i];
    if (card->design != NULL || card->text == NULL || card->text->design == NULL)
      continue;
    missing = TRUE;
    pw_yaml_complain(yaml, tags, complaints, "card not found", PW_SEVERITY_WARNING, "%s",
                     card->why);
  }
  for (char **refused = look->found.refused; !missing && *refused; refused++)
    pw_yaml_complain(yaml, tags, complaints, "tags refused", PW_SEVERITY_WARNING, "%s", *refused);
}

/* Whether the picture was read, and what was said of it names no file. */
static gboolean
gives_no_answer(const GError *error)
{
  return g_error_matches(error, PW_ERROR, PW_ERROR_NUMERIC) ||
         g_error_matches(error, PW_ERROR, PW_ERROR_LIMIT);
}

static void
complain_of_look(const PwModelPhoto *photo, const GError *error, PwComplaints *complaints)
{
  if (gives_no_answer(error) && photo->sidecar->scale.given == PW_GIVEN_TICKS)
    pw_yaml_complain(photo->sidecar->yaml, pw_yaml_node_get(photo->sidecar->scale.node, "ticks"),
                     complaints, "ticks refused", PW_SEVERITY_WARNING, "%s", error->message);
  else if (!gives_no_answer(error) && !g_error_matches(error, PW_ERROR, PW_ERROR_RECORD))
    pw_complaints_add(complaints, photo->file, 0, 0, "unreadable", PW_SEVERITY_ERROR, NULL, "%s",
                      error->message);
}

/* In words that may stand on a plate for the public: no path, no file's name. */
static char *
dup_why_not_looked(const PwLook *look)
{
  if (look->error == NULL)
    return g_strdup("the picture was not looked at");
  if (g_error_matches(look->error, PW_ERROR, PW_ERROR_RECORD))
    return g_strdup("this is not the file that was taken in: its sha256 is another");
  if (gives_no_answer(look->error))
    return g_strdup(look->error->message);
  return g_strdup("the picture could not be read");
}

gboolean
pw_model_take_look(PwModelPhoto *photo, PwComplaints *complaints)
{
  const PwLook *look = photo->look;
  gboolean tags = photo->sidecar->scale.given == PW_GIVEN_TAGS;
  photo->graduations = look->ticks.count;
  if (tags ? look->found.refused != NULL : look->ticks.count > 0)
    return TRUE;
  photo->why = dup_why_not_looked(look);
  photo->why_not = tags ? PW_WHY_NOT_CARD : PW_WHY_NOT_GRADUATIONS;
  if (look->error != NULL)
    complain_of_look(photo, look->error, complaints);
  return FALSE;
}

void
pw_model_match_cards(const PwModel *model, PwModelPhoto *photo, PwComplaints *complaints)
{
  char **names = photo->sidecar->scale.tags;
  const PwLook *look = photo->look;
  photo->n_cards = g_strv_length(names);
  photo->cards = g_new0(PwModelCard, photo->n_cards);
  for (gsize i = 0; i < photo->n_cards; i++) {
    PwModelCard *card = &photo->cards[i];
    *card = (PwModelCard){.name = names[i],
                          .text = card_named(model, names[i]),
                          .doubt_percent = (double)NAN,
                          .nearer_mm = {(double)NAN, (double)NAN, (double)NAN}};
    if (card->text == NULL)
      complain_of_name(model, photo, card->name, complaints);
  }
  if (photo->why != NULL || !pw_model_take_look(photo, complaints))
    return;
  match_cards(photo, &look->found);
  complain_of_missing(photo, look, complaints);
}

/* ---- The card of a mark ------------------------------------------------------------ */

static PwPx
middle_of(const PwPxPath *path)
{
  PwPx low = path->points[0], high = path->points[0];
  for (gsize i = 1; i < path->n; i++) {
    low = (PwPx){fmin(low.x, path->points[i].x), fmin(low.y, path->points[i].y)};
    high = (PwPx){fmax(high.x, path->points[i].x), fmax(high.y, path->points[i].y)};
  }
  return (PwPx){(low.x + high.x) / 2, (low.y + high.y) / 2};
}

/* In px, from a point to a card's outline. On a card that is the nearest one too: the way to any
 * other crosses it. */
static double
distance_to_card(PwPx at, const PwModelCard *card)
{
  double nearest = HUGE_VAL;
  for (int i = 0; i < 4; i++)
    nearest =
        fmin(nearest, pw_px_distance_to_edge(at, card->outline[i], card->outline[(i + 1) % 4]));
  return nearest;
}

static const PwModelCard *
card_called(const PwModelPhoto *photo, const char *name)
{
  for (gsize i = 0; i < photo->n_cards; i++)
    if (strcmp(photo->cards[i].name, name) == 0)
      return &photo->cards[i];
  return NULL;
}

/* Of cards equally near the one that is named first; the first of all where none was found. */
static const PwModelCard *
nearest_card(const PwModelPhoto *photo, PwPx at)
{
  const PwModelCard *nearest = &photo->cards[0];
  double least = HUGE_VAL;
  for (gsize i = 0; i < photo->n_cards; i++) {
    if (photo->cards[i].design == NULL)
      continue;
    double distance = distance_to_card(at, &photo->cards[i]);
    if (distance < least) {
      least = distance;
      nearest = &photo->cards[i];
    }
  }
  return nearest;
}

static void
complain_of_card(const PwModelMark *mark, PwComplaints *complaints)
{
  const PwYamlNode *node = pw_yaml_node_get(mark->text->node, "card");
  pw_yaml_complain(mark->photo->sidecar->yaml, node ? node : mark->text->node, complaints,
                   "unknown card", PW_SEVERITY_ERROR,
                   mark->photo->n_cards > 0
                       ? "\"%s\" is not among the cards that this photograph's `tags` name"
                       : "this photograph's scale is no card's; `tags:` names cards, so that "
                         "\"%s\" means nothing here",
                   mark->text->card);
}

void
pw_model_choose_card(PwModelMark *mark, PwComplaints *complaints)
{
  const PwModelPhoto *photo = mark->photo;
  if (mark->text->card != NULL) {
    mark->card = card_called(photo, mark->text->card);
    if (mark->card == NULL)
      complain_of_card(mark, complaints);
  } else if (photo->n_cards > 0 && mark->text->path.n > 0) {
    mark->card = nearest_card(photo, middle_of(&mark->text->path));
  }
}
