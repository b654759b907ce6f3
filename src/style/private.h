/* What the sources of style share: a style or words under way, and the tables of keys that read
 * them. */
#ifndef PW_STYLE_PRIVATE_H
#define PW_STYLE_PRIVATE_H

#include <platewright/style.h>
#include <platewright/yaml.h>

enum { PW_N_LENGTHS = 38, PW_N_INKS = 12, PW_N_GROUPS = 9 };

typedef struct {
  double short_mm, long_mm; /* 0: not told */
} PwStylePaper;

struct PwStyle {
  char *name;
  PwStylePaper page;
  gboolean grey;
  double lengths[PW_N_LENGTHS];    /* in the order of pw_style_length_keys; NAN: not told */
  PwInk inks[PW_N_INKS];           /* pw_style_ink_keys; r NAN: not told */
  PwType types[PW_N_ROLES];        /* family NULL, size_pt NAN: not told */
  PwGroupLook groups[PW_N_GROUPS]; /* pw_style_group_keys; name NULL: not told */
  int type_inks[PW_N_ROLES],
      group_inks[PW_N_GROUPS]; /* the ink by its place; -1: a colour of its own */
};

/* A file being read into a style or into words, which may hold what it is based on already. */
typedef struct {
  const PwYaml *yaml;
  PwComplaints *complaints;
  PwStyle *style; /* or NULL */
  PwWords *words; /* or NULL */
  gboolean based; /* on another: words that it lacks are slips of the pen */
} PwStyleReading;

/* A kind of file that may be based on another of its kind. */
typedef struct {
  const char *format; /* its first line: "platewright-style 1" */
  const char *what;   /* as it is asked for: "style" */
  const char *folder; /* where they lie in the folders of styles; "" */
  void (*read)(const PwStyleReading *reading, const PwYamlNode *root);
  void (*check_whole)(const PwStyleReading *reading, const PwYamlNode *root);
} PwStyleKind;

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
/* Of keys that were read before the rest, by chain.c. */
void pw_style_read_already(const PwStyleReading *reading, const PwYamlNode *value,
                           const PwStyleKey *key, void *into);
/* Text of a scalar that nothing was cut from; NULL, complained of, otherwise. Not a copy. */
const char *pw_style_peek_prose(const PwStyleReading *reading, const PwYamlNode *value);

/* sheet.c: the mappings of a style. */
extern const PwStyleKey pw_style_length_keys[], pw_style_ink_keys[], pw_style_group_keys[],
    pw_style_type_keys[];
void pw_style_read_sheet(const PwStyleReading *reading, const PwYamlNode *root);
/* Complains of what a style must tell and does not. */
void pw_style_check_whole(const PwStyleReading *reading, const PwYamlNode *root);

/* find.c: where the file of that name lies, other than at `except` (or NULL); yours. */
char *pw_style_dup_path(const PwStyleKind *kind, const char *name, const char *except,
                        GError **error);
/* What can be asked for of that folder, each once and in order, NULL-terminated; yours. */
char **pw_style_dup_names(const char *folder);
/* Words under way; what is NULL is not told. */
struct PwWords {
  char *language, *decimal, *groups;
  PwStylePaper paper;
  char *date, *moment;      /* phrases */
  char *months[12];
  GHashTable *phrases;      /* key -> char * */
  GHashTable *terms;        /* English -> PwTermWords */
  GHashTable *parts, *views, *lights; /* English -> char * */
  PwWords *english;         /* what is read when this has no phrase; NULL: this is English */
  GMutex lock;              /* of `missing` alone */
  GPtrArray *missing;       /* keys, in order */
};

/* The words of a term; what is NULL is not told. */
typedef struct {
  char *word, *meaning, *caution, *caution_for_owner, *source;
} PwTermWords;

/* words_read.c */
void pw_words_read_sheet(const PwStyleReading *reading, const PwYamlNode *root);
void pw_words_check_whole(const PwStyleReading *reading, const PwYamlNode *root);
/* words.c: the next blank of `phrase`, from its '{' to behind its '}'; NULL when there is none. */
const char *pw_words_next_blank(const char *phrase, const char **end);
/* Fills the blanks from pairs of name and value; one without a value stays. Yours. */
char *pw_words_dup_filled(const char *phrase, const GPtrArray *pairs);

/* chain.c: reads a file over what it is based on. FALSE with a GError when one cannot be read or is
 * complained of with severity error; only in the first case the GError is set. */
gboolean pw_style_read_chain(const PwStyleKind *kind, const char *name, PwStyle *style,
                             PwWords *words, PwComplaints *complaints, GError **error);

#endif
