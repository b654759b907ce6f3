/* Finding the cards of a picture: tags are seen at one decimation after the other and put together
 * by card, until a whole card is there.
 *
 * Coarse first, since it is quick, and since a blurred or noisy tag is seen better in fewer pixels
 * than in all. The second search is smoothed and takes less contrast, for dark, blurred and noisy
 * pictures; the small tags that it may lose are left to the third. A card that is partly covered is
 * sought at every decimation before it is taken as it is; one that is cut off by the picture's
 * edge, until all tags are there that can be.
 */
#include "fit.h"

#include <string.h>

static const PwTagWay WAYS[] = {{3, TRUE, FALSE}, {2, TRUE, TRUE}, {1, TRUE, FALSE}};
/* Of a sheet, whose tags may be out of the picture, this part is taken for all of it. */
static const double MOST_OF_A_SHEET = 0.6;
enum { MOST_TAGS = 64 /* on one card; dropped ones are told in 64 bits */ };

/* The tags that were seen of one card. */
typedef struct {
  PwCardSize size;
  int copy;
  PwTag tags[MOST_TAGS];
  int numbers[MOST_TAGS];
  gsize n;
  guint n_mirrored;
  guint64 doubled; /* tags seen at two places, and so at none */
} Group;

void
pw_found_clear(PwFound *found)
{
  for (gsize i = 0; i < found->n_cards; i++) {
    g_free(found->cards[i].px);
    g_free(found->cards[i].mm);
  }
  g_free(found->cards);
  g_strfreev(found->refused);
  *found = (PwFound){0};
}

/* ---- Tags by card ------------------------------------------------------------------ */

static void
remove_from_group(Group *group, gsize i)
{
  group->n--;
  for (; i < group->n; i++) {
    group->tags[i] = group->tags[i + 1];
    group->numbers[i] = group->numbers[i + 1];
  }
}

static void
add_to_group(Group *group, int number, const PwSeenTag *seen)
{
  const guint64 bit = G_GUINT64_CONSTANT(1) << number;
  if (seen->mirrored) {
    group->n_mirrored++;
    return;
  }
  if (group->doubled & bit)
    return;
  for (gsize i = 0; i < group->n; i++)
    if (group->numbers[i] == number) {
      group->doubled |= bit;
      remove_from_group(group, i);
      return;
    }
  group->tags[group->n] = seen->tag;
  group->numbers[group->n++] = number;
}

/* The tags of one card and copy. FALSE when none was seen. */
static gboolean
gather(const GArray *tags, PwCardSize size, int copy, Group *group)
{
  *group = (Group){.size = size, .copy = copy};
  for (guint i = 0; i < tags->len; i++) {
    const PwSeenTag *seen = &g_array_index(tags, PwSeenTag, i);
    PwCardSize its_size;
    int its_copy, number;
    if (pw_card_of_id(seen->tag.id, &its_size, &its_copy, &number) && its_size == size &&
        its_copy == copy)
      add_to_group(group, number, seen);
  }
  return group->n > 0 || group->n_mirrored > 0 || group->doubled != 0;
}

/* ---- What is refused --------------------------------------------------------------- */

static int
count_bits(guint64 bits)
{
  int n = 0;
  for (; bits != 0; bits &= bits - 1)
    n++;
  return n;
}

static void refuse(GPtrArray *refused, const Group *group, const char *format, ...)
    G_GNUC_PRINTF(3, 4);

/* "card a6 b: " and the reason. */
static void
refuse(GPtrArray *refused, const Group *group, const char *format, ...)
{
  va_list arguments;
  g_autofree char *name = pw_card_dup_name(group->size, group->copy);
  va_start(arguments, format);
  g_autofree char *why = g_strdup_vprintf(format, arguments);
  va_end(arguments);
  g_ptr_array_add(refused, g_strdup_printf("card %s: %s", name, why));
}

/* One tag alone, mirrored or doubled, may be a chance likeness: only two are worth a word. */
static void
refuse_strangers(GPtrArray *refused, const Group *group)
{
  if (group->n_mirrored >= 2)
    refuse(refused, group,
           "%u of its tags are mirrored, so that nothing can be measured by them; the picture was "
           "flipped, or shows the card in a mirror or through its sheet",
           group->n_mirrored);
  if (count_bits(group->doubled) >= 1 && group->n + (gsize)count_bits(group->doubled) >= 2)
    refuse(refused, group,
           "%d of its tags are seen twice; lay only one card of that letter into a picture",
           count_bits(group->doubled));
}

static void
refuse_dropped(GPtrArray *refused, const Group *group, guint64 dropped)
{
  if (dropped != 0)
    refuse(refused, group,
           "%d of its tags do not lie in the plane of the others and were left out; is the card "
           "bent, or part of another one in the picture?",
           count_bits(dropped));
}

static void
refuse_group(GPtrArray *refused, const Group *group)
{
  if (group->n >= 2)
    refuse(refused, group,
           "its %d tags do not lie in one plane; is the card bent, or are they of two cards?",
           (int)group->n);
  else if (group->n == 1 && group->doubled == 0)
    refuse(refused, group, "only one of its tags was seen; two at least are needed");
}

/* ---- Cards ------------------------------------------------------------------------- */

static gboolean
is_in_picture(const PwFoundCard *card, const PwHomography *to_px, int tag, const PwPlane *grey)
{
  for (int corner = 0; corner < 4; corner++) {
    PwMm mm = pw_card_corner(card->size, tag, corner);
    double x, y;
    pw_homography_apply(to_px, mm.x, mm.y, &x, &y);
    if (!(x >= 0 && y >= 0 && x <= grey->width && y <= grey->height))
      return FALSE;
  }
  return TRUE;
}

/* Of a card that is cut off by the picture's edge, nothing more is sought than what is in it. */
static int
count_tags_in_picture(const PwFoundCard *card, const PwPlane *grey)
{
  PwHomography to_px;
  int n_tags = pw_card_design(card->size)->n_tags, n = 0;
  if (!pw_homography_invert(&card->h, &to_px))
    return n_tags;
  for (int tag = 0; tag < n_tags; tag++)
    n += is_in_picture(card, &to_px, tag, grey) ? 1 : 0;
  return n;
}

static gboolean
is_whole(const PwFoundCard *card, const PwPlane *grey)
{
  int n_tags = count_tags_in_picture(card, grey);
  return card->size == PW_CARD_SHEET ? card->n_tags >= MOST_OF_A_SHEET * n_tags
                                     : card->n_tags >= n_tags;
}

static void
add_card(const Group *group, GArray *cards, GPtrArray *refused)
{
  PwFoundCard card = {0};
  guint64 dropped;
  refuse_strangers(refused, group);
  if (pw_card_fit(group->size, group->tags, group->numbers, group->n, &card, &dropped)) {
    card.copy = group->copy;
    g_array_append_val(cards, card);
    refuse_dropped(refused, group, dropped);
  } else {
    refuse_group(refused, group);
  }
}

/* Puts the tags together; what cannot be used is told. TRUE when there is a card and no part of
 * another one, so that nothing more need be sought. */
static gboolean
put_together(const GArray *tags, const PwPlane *grey, PwFound *found)
{
  GArray *cards = g_array_new(FALSE, TRUE, sizeof(PwFoundCard));
  GPtrArray *refused = g_ptr_array_new();
  gboolean whole = TRUE;
  Group group;
  for (int size = 0; size < PW_N_CARD_SIZES; size++)
    for (int copy = 0; copy < pw_card_design((PwCardSize)size)->n_copies; copy++)
      if (gather(tags, (PwCardSize)size, copy, &group)) {
        guint before = cards->len;
        add_card(&group, cards, refused);
        whole = whole && cards->len > before &&
                is_whole(&g_array_index(cards, PwFoundCard, before), grey);
      }
  whole = whole && cards->len > 0;
  g_ptr_array_add(refused, NULL);
  found->n_cards = cards->len;
  found->cards = (PwFoundCard *)(void *)g_array_free(cards, cards->len == 0);
  found->refused = (char **)g_ptr_array_free(refused, FALSE);
  return whole;
}

static gboolean
check_plane(const PwPlane *grey, GError **error)
{
  const gint64 most = 1000 * 1000 * 1000;
  if (grey->channels == 1 && grey->width >= PW_TAG_SIDE_MIN && grey->height >= PW_TAG_SIDE_MIN &&
      (gint64)grey->width * grey->height <= most && grey->stride >= (gsize)grey->width &&
      grey->stride <= G_MAXINT32)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
              "a picture of %d x %d pixels is no photograph in which a card can be sought",
              grey->width, grey->height);
  return FALSE;
}

gboolean
pw_card_find(const PwPlane *grey, PwFound *found, GError **error)
{
  *found = (PwFound){0};
  if (!check_plane(grey, error))
    return FALSE;
  GArray *tags = g_array_new(FALSE, FALSE, sizeof(PwSeenTag));
  gboolean whole = FALSE;
  for (gsize i = 0; i < G_N_ELEMENTS(WAYS) && !whole; i++) {
    pw_tags_see(grey, &WAYS[i], tags);
    pw_found_clear(found);
    whole = put_together(tags, grey, found);
  }
  g_array_free(tags, TRUE);
  return TRUE;
}
