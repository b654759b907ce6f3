/* The designs: where the tags lie on each card. Everything else on a card is for the eye. */
#include <platewright/card.h>

#include <string.h>

/* Ids are taken from the end of the family's 587, where few other makers' tags lie. A tag is ten
 * cells wide, of which the black square takes eight; the white cell round it must stay white. */
static const PwCardDesign DESIGNS[PW_N_CARD_SIZES] = {
    [PW_CARD_ID1] = {"id1", 85.60, 53.98, 12, 4, 400, 8},
    [PW_CARD_A6] = {"a6", 148, 105, 20, 4, 440, 2},
    [PW_CARD_STRIP] = {"strip", 150, 22, 7.2, 4, 460, 8},
    [PW_CARD_SHEET] = {"sheet", 175, 225, 20, 63, 500, 1},
};
enum { N_CORNER_TAGS = 4, SHEET_COLUMNS = 7 };
static const double SHEET_PITCH_MM = 25;

/* Upper left corners of the black squares: upper left, upper right, lower right, lower left tag.
 * Outside, the squares of id1 and a6 span whole centimetres or halves, to which the graduations
 * run: 75 x 45 and 130 x 90 mm. */
static const PwMm CORNER_PLACES[][N_CORNER_TAGS] = {
    [PW_CARD_ID1] = {{7, 2}, {70, 2}, {70, 35}, {7, 35}},
    [PW_CARD_A6] = {{9, 6}, {119, 6}, {119, 76}, {9, 76}},
    [PW_CARD_STRIP] = {{1.4, 1.6}, {141.4, 1.6}, {141.4, 13.2}, {1.4, 13.2}},
};

const PwCardDesign *
pw_card_design(PwCardSize size)
{
  return &DESIGNS[size];
}

PwMm
pw_card_tag_place(PwCardSize size, int tag)
{
  if (size != PW_CARD_SHEET)
    return CORNER_PLACES[size][tag];
  double margin = (SHEET_PITCH_MM - DESIGNS[size].tag_mm) / 2;
  return (PwMm){margin + SHEET_PITCH_MM * (tag % SHEET_COLUMNS),
                margin + SHEET_PITCH_MM * (tag / SHEET_COLUMNS)};
}

PwMm
pw_card_corner(PwCardSize size, int tag, int corner)
{
  PwMm at = pw_card_tag_place(size, tag);
  double edge = DESIGNS[size].tag_mm;
  return (PwMm){at.x + (corner == 1 || corner == 2 ? edge : 0), at.y + (corner >= 2 ? edge : 0)};
}

gboolean
pw_card_parse(const char *word, PwCardSize *size, int *copy)
{
  for (int i = 0; i < PW_N_CARD_SIZES; i++) {
    gsize length = strlen(DESIGNS[i].name);
    if (strncmp(word, DESIGNS[i].name, length) != 0)
      continue;
    const char *rest = word + length;
    gboolean has_copy = rest[0] == ' ' && rest[1] >= 'a' && rest[1] < 'a' + DESIGNS[i].n_copies;
    if (rest[0] != '\0' && !(has_copy && rest[2] == '\0'))
      continue;
    *size = (PwCardSize)i;
    *copy = has_copy ? rest[1] - 'a' : -1;
    return TRUE;
  }
  return FALSE;
}

char *
pw_card_dup_name(PwCardSize size, int copy)
{
  return g_strdup_printf("%s %c", DESIGNS[size].name, 'a' + copy);
}

gboolean
pw_card_of_id(int id, PwCardSize *size, int *copy, int *tag)
{
  for (int i = 0; i < PW_N_CARD_SIZES; i++) {
    int at = id - DESIGNS[i].first_id;
    if (at < 0 || at >= DESIGNS[i].n_tags * DESIGNS[i].n_copies)
      continue;
    *size = (PwCardSize)i;
    *copy = at / DESIGNS[i].n_tags;
    *tag = at % DESIGNS[i].n_tags;
    return TRUE;
  }
  return FALSE;
}
