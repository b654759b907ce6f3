/* Names for the cards that intake found: that of the entry in volume.yaml whose design fits, else a
 * new one, which is entered there. */
#include "model-private.h"

#include <string.h>

/* The card that lies on the bench comes first, and most have no other. */
static const char *const WORDS[] = {"bench", "second", "third", "fourth", "fifth", "sixth"};

typedef struct {
  char *name;
  PwCardSize size;
  int copy;
} NewCard;

struct PwCardNames {
  const PwVolume *volume; /* or NULL: there is none yet */
  GArray *added;          /* NewCard */
};

static void
new_card_clear(gpointer data)
{
  g_free(((NewCard *)data)->name);
}

PwCardNames *
pw_card_names_new(const PwVolume *volume)
{
  PwCardNames *names = g_new0(PwCardNames, 1);
  names->volume = volume;
  names->added = g_array_new(FALSE, FALSE, sizeof(NewCard));
  g_array_set_clear_func(names->added, new_card_clear);
  return names;
}

void
pw_card_names_free(PwCardNames *names)
{
  g_array_unref(names->added);
  g_free(names);
}

static gboolean
is_taken(const PwCardNames *names, const char *word)
{
  for (gsize i = 0; names->volume && i < names->volume->n_cards; i++)
    if (strcmp(names->volume->cards[i].name, word) == 0)
      return TRUE;
  for (guint i = 0; i < names->added->len; i++)
    if (strcmp(g_array_index(names->added, NewCard, i).name, word) == 0)
      return TRUE;
  return FALSE;
}

static char *
dup_free_word(const PwCardNames *names)
{
  for (gsize i = 0; i < G_N_ELEMENTS(WORDS); i++)
    if (!is_taken(names, WORDS[i]))
      return g_strdup(WORDS[i]);
  for (guint n = G_N_ELEMENTS(WORDS) + 1;; n++) {
    g_autofree char *word = g_strdup_printf("card-%u", n);
    if (!is_taken(names, word))
      return g_steal_pointer(&word);
  }
}

/* The entry of volume.yaml for that copy (-1: one that does not say which), no other card of the
 * photograph bearing its name. */
static const char *
entry_for(const PwCardNames *names, PwCardSize size, int copy, GPtrArray *used)
{
  for (gsize i = 0; names->volume && i < names->volume->n_cards; i++) {
    const PwCard *card = &names->volume->cards[i];
    PwCardSize its_size;
    int its_copy;
    if (card->design != NULL && pw_card_parse(card->design, &its_size, &its_copy) &&
        its_size == size && its_copy == copy &&
        !g_ptr_array_find_with_equal_func(used, card->name, g_str_equal, NULL))
      return card->name;
  }
  return NULL;
}

static const char *
added_for(const PwCardNames *names, PwCardSize size, int copy)
{
  for (guint i = 0; i < names->added->len; i++) {
    const NewCard *card = &g_array_index(names->added, NewCard, i);
    if (card->size == size && card->copy == copy)
      return card->name;
  }
  return NULL;
}

static const char *
name_for(PwCardNames *names, const PwFoundCard *found, GPtrArray *used)
{
  const char *name = entry_for(names, found->size, found->copy, used);
  name = name ? name : added_for(names, found->size, found->copy);
  name = name ? name : entry_for(names, found->size, -1, used);
  if (name != NULL)
    return name;
  NewCard card = {dup_free_word(names), found->size, found->copy};
  g_array_append_val(names->added, card);
  return card.name;
}

/* The sheet that `lens` wants is no scale, though it may well lie about. */
char **
pw_card_names_dup_of(PwCardNames *names, const PwFound *found)
{
  g_autoptr(GPtrArray) used = g_ptr_array_new();
  for (gsize i = 0; i < found->n_cards; i++)
    if (found->cards[i].size != PW_CARD_SHEET)
      g_ptr_array_add(used, (gpointer)name_for(names, &found->cards[i], used));
  g_ptr_array_add(used, NULL);
  return g_strdupv((char **)used->pdata);
}

guint
pw_card_names_n_new(const PwCardNames *names)
{
  return names->added->len;
}

gboolean
pw_card_names_has_new(const PwCardNames *names, char **of)
{
  for (guint i = 0; i < names->added->len; i++)
    if (g_strv_contains((const char *const *)of, g_array_index(names->added, NewCard, i).name))
      return TRUE;
  return FALSE;
}

gboolean
pw_card_names_lack_offset(const PwCardNames *names, char **of)
{
  const PwVolume *volume = names->volume;
  if (volume != NULL && volume->plane_offset.node != NULL)
    return FALSE;
  guint stated = 0;
  for (gsize i = 0; volume && i < volume->n_cards; i++)
    if (volume->cards[i].plane_offset.node != NULL &&
        g_strv_contains((const char *const *)of, volume->cards[i].name))
      stated++;
  return stated < g_strv_length(of);
}

gboolean
pw_card_names_enter(const PwCardNames *names, PwYaml *yaml, GError **error)
{
  for (guint i = 0; i < names->added->len; i++) {
    const NewCard *card = &g_array_index(names->added, NewCard, i);
    g_autofree char *design = pw_card_dup_name(card->size, card->copy);
    g_autofree char *path = g_strconcat("cards/", card->name, NULL);
    g_autofree char *flow = g_strdup_printf("{design: \"%s\"}", design);
    if (!pw_yaml_set_flow(yaml, path, flow, error))
      return FALSE;
  }
  return TRUE;
}

void
pw_card_names_tell(const PwCardNames *names, PwComplaints *complaints)
{
  for (guint i = 0; i < names->added->len; i++) {
    const NewCard *card = &g_array_index(names->added, NewCard, i);
    g_autofree char *design = pw_card_dup_name(card->size, card->copy);
    pw_complaints_add(complaints, PW_VOLUME_FILE, 0, 0, "new card", PW_SEVERITY_NOTE, NULL,
                      "a card %s was found and is entered under `cards:` as %s; measure the two "
                      "check lines printed with it and write them there as check-along and "
                      "check-across: until then every length carries 0.5 %% of doubt",
                      design, card->name);
  }
}
