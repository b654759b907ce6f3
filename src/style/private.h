/* What the sources of style share: a style under way, and the tables of keys that read it. */
#ifndef PW_STYLE_PRIVATE_H
#define PW_STYLE_PRIVATE_H

#include <platewright/style.h>
#include <platewright/yaml.h>

enum { PW_N_LENGTHS = 38, PW_N_INKS = 7, PW_N_GROUPS = 9 };

struct PwStyle {
  char *name;
  double short_mm, long_mm;
  gboolean grey;
  double lengths[PW_N_LENGTHS];    /* in the order of pw_style_length_keys; NAN: not told */
  PwInk inks[PW_N_INKS];           /* pw_style_ink_keys; r NAN: not told */
  PwType types[PW_N_ROLES];        /* family NULL, size_pt NAN: not told */
  PwGroupLook groups[PW_N_GROUPS]; /* pw_style_group_keys; label NULL: not told */
  int type_inks[PW_N_ROLES],
      group_inks[PW_N_GROUPS]; /* the ink by its place; -1: a colour of its own */
  GHashTable *words;           /* key -> phrase */
};

/* A file being read into a style, which may hold the style it is based on already. */
typedef struct {
  const PwYaml *yaml;
  PwComplaints *complaints;
  PwStyle *style;
  gboolean based; /* on another style: words that it lacks are slips of the pen */
} PwStyleReading;

typedef struct PwStyleKey PwStyleKey;
/* Reads the value of a key into the field that stands `key->offset` bytes into `into`. */
typedef void (*PwStyleRead)(const PwStyleReading *reading, const PwYamlNode *value,
                            const PwStyleKey *key, void *into);
struct PwStyleKey {
  const char *name; /* NULL ends a table */
  PwStyleRead read;
  gsize offset;
  double least, most; /* of numbers */
};

/* Reads a mapping by its table, in the order of the table, and complains of keys that are not in
 * it. `what` names the mapping: "a style". */
void pw_style_read_keys(const PwStyleReading *reading, const PwYamlNode *node,
                        const PwStyleKey *keys, const char *what, void *into);
G_GNUC_PRINTF(4, 5)
void pw_style_fault(const PwStyleReading *reading, const PwYamlNode *node, const char *kind,
                    const char *format, ...);
/* The place of `name` in a table; -1 without one. */
int pw_style_key_index(const PwStyleKey *keys, const char *name);

/* value.c: the values that several tables have. */
void pw_style_read_number(const PwStyleReading *reading, const PwYamlNode *value,
                          const PwStyleKey *key, void *into);
void pw_style_read_yes(const PwStyleReading *reading, const PwYamlNode *value,
                       const PwStyleKey *key, void *into);
void pw_style_read_prose(const PwStyleReading *reading, const PwYamlNode *value,
                         const PwStyleKey *key, void *into);
/* An ink by its digits, or by the name of one, whose place is then told in `named` (else -1). */
void pw_style_read_ink(const PwStyleReading *reading, const PwYamlNode *value, PwInk *ink,
                       int *named);
void pw_style_read_dash(const PwStyleReading *reading, const PwYamlNode *value,
                        const PwStyleKey *key, void *into);
void pw_style_read_page(const PwStyleReading *reading, const PwYamlNode *value,
                        const PwStyleKey *key, void *into);
/* Text of a scalar that nothing was cut from; NULL, complained of, otherwise. Not a copy. */
const char *pw_style_peek_prose(const PwStyleReading *reading, const PwYamlNode *value);

/* sheet.c: the mappings of a style. */
extern const PwStyleKey pw_style_length_keys[], pw_style_ink_keys[], pw_style_group_keys[],
    pw_style_type_keys[];
void pw_style_read_sheet(const PwStyleReading *reading, const PwYamlNode *root);
/* Complains of what a style must tell and does not. */
void pw_style_check_whole(const PwStyleReading *reading, const PwYamlNode *root);

/* words.c */
void pw_style_read_words(const PwStyleReading *reading, const PwYamlNode *value,
                         const PwStyleKey *key, void *into);

/* find.c: where the style of that name lies; yours. */
char *pw_style_dup_path(const char *name, GError **error);

#endif
