/* Sheet: the mappings of a style and what may stand in them. docs/styles.md tells users the same.
 *
 * Lengths are mm on paper, type sizes points.
 */
#include "private.h"

#include <math.h>

/* Below these a reader at arm's length gives up: the floor for any word, and for a callout's. */
static const double smallest_pt = 6.5, smallest_callout_pt = 7, largest_pt = 72;
/* Lines closer than this lie on each other, and farther apart are no paragraph. */
static const double least_leading = 0.9, most_leading = 4;

/* Of these four tables a key's place is its place in the style's array. */
static void
read_length(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
            void *into)
{
  PwStyleKey number = *key;
  number.offset = (gsize)(key - pw_style_length_keys) * sizeof(double);
  pw_style_read_number(reading, value, &number, into);
}

const PwStyleKey pw_style_length_keys[] = {
    {"margin", read_length, 0, 5, 60},           /* of the paper, all round */
    {"callout-column", read_length, 0, 25, 120}, /* its width */
    {"column-gap", read_length, 0, 0, 20},       /* callout column to picture */
    {"gutter", read_length, 0, 0, 30},           /* picture to picture */
    {"number-column", read_length, 0, 2, 20},    /* a callout's number, left of its words */
    {"callout-gap", read_length, 0, 0, 20},      /* least white between two callouts */
    {"title-gap", read_length, 0, 0, 30},        /* title rule to pictures */
    {"caption-gap", read_length, 0, 0, 20},      /* picture to the words under it */
    {"foot-gap", read_length, 0, 0, 30},         /* above the key */
    {"outline", read_length, 0, 0.1, 2},         /* of a mark; its casing lies under it */
    {"casing", read_length, 0, 0.2, 4},
    {"hatch", read_length, 0, 0.05, 1},
    {"hatch-casing", read_length, 0, 0.05, 2},
    {"line", read_length, 0, 0.1, 2}, /* a mark that is a line */
    {"line-casing", read_length, 0, 0.2, 4},
    {"point", read_length, 0, 0.3, 5}, /* radius of the ring of a point */
    {"earlier", read_length, 0, 0.1, 2},
    {"earlier-dash", read_length, 0, 0.3, 10},
    {"leader", read_length, 0, 0.05, 1},
    {"leader-casing", read_length, 0, 0.1, 2},
    {"leader-dot", read_length, 0, 0.1, 2},  /* radius */
    {"leader-level", read_length, 0, 0, 20}, /* how far it runs level from the column */
    {"hairline", read_length, 0, 0.05, 0.5},
    {"bar-height", read_length, 0, 0.3, 5}, /* the scale bar */
    {"bar-longest", read_length, 0, 10, 200},
    {"swatch-width", read_length, 0, 2, 30}, /* in the key */
    {"swatch-height", read_length, 0, 1, 20},
    {"grid", read_length, 0, 0, 10},          /* step of the baselines of callouts; 0: none */
    {"document-left", read_length, 0, 5, 60}, /* white round a page of text */
    {"document-right", read_length, 0, 5, 60},
    {"document-top", read_length, 0, 5, 60},
    {"document-foot", read_length, 0, 12, 60},     /* with the running foot in it */
    {"document-measure", read_length, 0, 60, 200}, /* the column of text, at most */
    {"document-gap", read_length, 0, 3, 20},       /* from the margin column to it */
    {"document-grid", read_length, 0, 2, 15},      /* step of the baselines of text */
    {"document-rule", read_length, 0, 0.1, 1},     /* of sums, cautions, heads of tables */
    {"document-bar", read_length, 0, 0.5, 3},      /* beside what cannot be missed */
    {"sign-room", read_length, 0, 8, 40},          /* above a line to sign on */
    {0}};

G_STATIC_ASSERT(G_N_ELEMENTS(pw_style_length_keys) == PW_N_LENGTHS + 1);

/* An ink may be told by the name of another, as it stands by then. */
static void
read_named_ink(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
               void *into)
{
  PwInk *inks = into;
  int named = -1;
  pw_style_read_ink(reading, value, &inks[key - pw_style_ink_keys], &named);
  if (named >= 0)
    inks[key - pw_style_ink_keys] = inks[named];
}

const PwStyleKey pw_style_ink_keys[] = {
    {"ink", read_named_ink, 0, 0, 0},      /* words and scale bar */
    {"soft-ink", read_named_ink, 0, 0, 0}, /* notes, captions, file facts */
    {"casing", read_named_ink, 0, 0, 0},   /* beneath marks and leaders */
    {"earlier", read_named_ink, 0, 0, 0},  /* a mark of an earlier stage */
    {"leader", read_named_ink, 0, 0, 0},
    {"hairline", read_named_ink, 0, 0, 0},
    {"private", read_named_ink, 0, 0, 0},      /* what private parts are covered with */
    {"difference-1", read_named_ink, 0, 0, 0}, /* how far colours differ, from hardly to most */
    {"difference-2", read_named_ink, 0, 0, 0},
    {"difference-3", read_named_ink, 0, 0, 0},
    {"difference-4", read_named_ink, 0, 0, 0},
    {"difference-5", read_named_ink, 0, 0, 0},
    {0}};
G_STATIC_ASSERT(G_N_ELEMENTS(pw_style_ink_keys) == PW_N_INKS + 1);

static void
read_size(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key, void *into)
{
  PwType *type = into;
  gsize role = (gsize)(type - reading->style->types);
  gboolean callout = role == PW_ROLE_NUMBER || role == PW_ROLE_HEAD || role == PW_ROLE_SIZE ||
                     role == PW_ROLE_NOTE || role == PW_ROLE_INFERRED;
  double least = callout ? smallest_callout_pt : smallest_pt, size;
  const char *text = pw_yaml_node_peek_text(value);
  if (text != NULL && pw_parse_double(text, &size) && size > 0 && size < least)
    pw_style_fault(reading, value, "too small", "%s is smaller than %s pt; it would not be read",
                   callout ? "no callout" : "nothing printed", callout ? "7" : "6.5");
  else
    pw_style_read_number(reading, value,
                         &(PwStyleKey){key->name, NULL, key->offset, least, largest_pt}, into);
}

static void
read_type_ink(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
              void *into)
{
  PwType *type = into;
  (void)key;
  pw_style_read_ink(reading, value, &type->ink,
                    &reading->style->type_inks[type - reading->style->types]);
}

static const PwStyleKey face_keys[] = {
    {"family", pw_style_read_prose, G_STRUCT_OFFSET(PwType, family), 0, 0},
    {"size", read_size, G_STRUCT_OFFSET(PwType, size_pt), 0, 0},
    {"leading", pw_style_read_number, G_STRUCT_OFFSET(PwType, leading_pt), 1, 300},
    {"bold", pw_style_read_yes, G_STRUCT_OFFSET(PwType, bold), 0, 0},
    {"italic", pw_style_read_yes, G_STRUCT_OFFSET(PwType, italic), 0, 0},
    {"tabular", pw_style_read_yes, G_STRUCT_OFFSET(PwType, tabular), 0, 0},
    {"ink", read_type_ink, 0, 0, 0},
    {0}};

static void
read_type(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key, void *into)
{
  PwType *type = (PwType *)into + (key - pw_style_type_keys);
  pw_style_read_keys(reading, value, face_keys, "a type", type);
  if (type->leading_pt < least_leading * type->size_pt ||
      type->leading_pt > most_leading * type->size_pt)
    pw_style_fault(reading, value, "leading", "the leading does not go with the size");
}

/* In the order of PwRole. */
const PwStyleKey pw_style_type_keys[] = {
    /* Of plates. */
    {"title", read_type, 0, 0, 0},
    {"subtitle", read_type, 0, 0, 0},
    {"number", read_type, 0, 0, 0},
    {"head", read_type, 0, 0, 0},
    {"size", read_type, 0, 0, 0},
    {"note", read_type, 0, 0, 0},
    {"inferred", read_type, 0, 0, 0},
    {"stage", read_type, 0, 0, 0},
    {"caption", read_type, 0, 0, 0},
    {"file", read_type, 0, 0, 0},
    {"foot", read_type, 0, 0, 0},
    {"key", read_type, 0, 0, 0},
    {"scale", read_type, 0, 0, 0},
    /* Of documents. */
    {"document-title", read_type, 0, 0, 0},
    {"document-subject", read_type, 0, 0, 0},
    {"document-who", read_type, 0, 0, 0},
    {"document-head-1", read_type, 0, 0, 0},
    {"document-head-2", read_type, 0, 0, 0},
    {"document-head-3", read_type, 0, 0, 0},
    {"document-lead", read_type, 0, 0, 0},
    {"document-body", read_type, 0, 0, 0},
    {"document-label", read_type, 0, 0, 0},
    {"document-numeral", read_type, 0, 0, 0},
    {"document-note", read_type, 0, 0, 0},
    {"document-caption", read_type, 0, 0, 0},
    {"document-column", read_type, 0, 0, 0},
    {"document-cell", read_type, 0, 0, 0},
    {"document-figures", read_type, 0, 0, 0},
    {"document-drawing", read_type, 0, 0, 0},
    {0}};
G_STATIC_ASSERT(G_N_ELEMENTS(pw_style_type_keys) == PW_N_ROLES + 1);

static void
read_look_ink(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
              void *into)
{
  PwGroupLook *look = into;
  (void)key;
  pw_style_read_ink(reading, value, &look->ink,
                    &reading->style->group_inks[look - reading->style->groups]);
}

/* A style has no language. */
static void
read_spoken(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
            void *into)
{
  (void)into;
  pw_style_fault(reading, value, "moved key",
                 "\"%s\" stands in a file of words now, which is named by --language; "
                 "docs/words.md tells how",
                 key->name);
}

static const PwStyleKey look_keys[] = {
    {"label", read_spoken, 0, 0, 0},
    {"ink", read_look_ink, 0, 0, 0},
    {"angle", pw_style_read_number, G_STRUCT_OFFSET(PwGroupLook, hatch_angle_deg), -180, 180},
    {"gap", pw_style_read_number, G_STRUCT_OFFSET(PwGroupLook, hatch_gap_mm), 0, 20},
    {"dash", pw_style_read_dash, G_STRUCT_OFFSET(PwGroupLook, hatch_dash_mm), 0, 0},
    {"line-dash", pw_style_read_dash, G_STRUCT_OFFSET(PwGroupLook, line_dash_mm), 0, 0},
    {0}};

/* Hatch lines nearer than three casings would hide more than they show. */
static void
check_gap(const PwStyleReading *reading, const PwYamlNode *value, const PwGroupLook *look)
{
  int casing = pw_style_key_index(pw_style_length_keys, "hatch-casing");
  double least = 3 * reading->style->lengths[casing];
  if (look->hatch_gap_mm > 0 && look->hatch_gap_mm < least)
    pw_style_fault(reading, value, "hatch",
                   "these hatch lines hide the surface; the gap is 0 or at least three times the "
                   "length \"hatch-casing\"");
}

static void
read_look(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key, void *into)
{
  PwGroupLook *look = (PwGroupLook *)into + (key - pw_style_group_keys);
  pw_style_read_keys(reading, value, look_keys, "a group's look", look);
  g_free(look->name);
  look->name = g_strdup(key->name);
  check_gap(reading, value, look);
}

const PwStyleKey pw_style_group_keys[] = {
    {"missing", read_look, 0, 0, 0},   {"parted", read_look, 0, 0, 0},
    {"worn", read_look, 0, 0, 0},      {"stained", read_look, 0, 0, 0},
    {"distorted", read_look, 0, 0, 0}, {"living", read_look, 0, 0, 0},
    {"added", read_look, 0, 0, 0},     {"noted", read_look, 0, 0, 0},
    {"other", read_look, 0, 0, 0},     {0}};
G_STATIC_ASSERT(G_N_ELEMENTS(pw_style_group_keys) == PW_N_GROUPS + 1);

/* ---- The whole --------------------------------------------------------------------- */

static void
read_lengths(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
             void *into)
{
  (void)key;
  pw_style_read_keys(reading, value, pw_style_length_keys, "the lengths",
                     ((PwStyle *)into)->lengths);
}

static void
read_inks(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key, void *into)
{
  (void)key;
  pw_style_read_keys(reading, value, pw_style_ink_keys, "the inks", ((PwStyle *)into)->inks);
}

static void
read_types(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
           void *into)
{
  (void)key;
  pw_style_read_keys(reading, value, pw_style_type_keys, "the types", ((PwStyle *)into)->types);
}

static void
read_groups(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
            void *into)
{
  (void)key;
  pw_style_read_keys(reading, value, pw_style_group_keys, "the groups", ((PwStyle *)into)->groups);
}

static void
read_pictures(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
              void *into)
{
  const char *text = pw_yaml_node_peek_text(value);
  (void)key;
  ((PwStyle *)into)->grey = g_strcmp0(text, "grey") == 0;
  if (g_strcmp0(text, "grey") != 0 && g_strcmp0(text, "colour") != 0)
    pw_style_fault(reading, value, "unknown word", "pictures are printed in colour or grey");
}

/* Lengths before groups, whose gaps are measured by them. */
static const PwStyleKey sheet_keys[] = {
    {"format", pw_style_read_already, 0, 0, 0},
    {"based-on", pw_style_read_already, 0, 0, 0},
    {"name", pw_style_read_prose, G_STRUCT_OFFSET(PwStyle, name), 0, 0},
    {"page", pw_style_read_page, G_STRUCT_OFFSET(PwStyle, page), 0, 0},
    {"pictures", read_pictures, 0, 0, 0},
    {"lengths", read_lengths, 0, 0, 0},
    {"inks", read_inks, 0, 0, 0},
    {"types", read_types, 0, 0, 0},
    {"groups", read_groups, 0, 0, 0},
    {"words", read_spoken, 0, 0, 0},
    {0}};

/* At the end, so that an ink changed in a style is changed in all that its base has in that ink. */
static void
settle_inks(PwStyle *style)
{
  for (int i = 0; i < PW_N_ROLES; i++)
    if (style->type_inks[i] >= 0)
      style->types[i].ink = style->inks[style->type_inks[i]];
  for (int i = 0; i < PW_N_GROUPS; i++)
    if (style->group_inks[i] >= 0)
      style->groups[i].ink = style->inks[style->group_inks[i]];
}

void
pw_style_read_sheet(const PwStyleReading *reading, const PwYamlNode *root)
{
  pw_style_read_keys(reading, root, sheet_keys, "a style", reading->style);
  settle_inks(reading->style);
}

static void
check_told(const PwStyleReading *reading, const PwYamlNode *root, gboolean told, const char *what,
           const char *name)
{
  if (!told)
    pw_style_fault(reading, root, "missing key", "the style does not tell %s \"%s\"", what, name);
}

void
pw_style_check_whole(const PwStyleReading *reading, const PwYamlNode *root)
{
  const PwStyle *style = reading->style;
  for (int i = 0; i < PW_N_LENGTHS; i++)
    check_told(reading, root, !isnan(style->lengths[i]), "the length",
               pw_style_length_keys[i].name);
  for (int i = 0; i < PW_N_INKS; i++)
    check_told(reading, root, !isnan(style->inks[i].r), "the ink", pw_style_ink_keys[i].name);
  for (int i = 0; i < PW_N_ROLES; i++)
    check_told(reading, root, style->types[i].family != NULL && !isnan(style->types[i].size_pt),
               "family and size of the type", pw_style_type_keys[i].name);
  for (int i = 0; i < PW_N_GROUPS; i++)
    check_told(reading, root, style->groups[i].name != NULL, "the group",
               pw_style_group_keys[i].name);
}
